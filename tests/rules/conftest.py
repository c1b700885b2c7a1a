import numpy as np
import pytest

from kit.process.physics.trace import Phase, Trace


def _trace(points, phases=(), every=1.0):
    minutes, temps = zip(*points, strict=True)
    time = np.arange(minutes[0], minutes[-1] + every / 2, every)
    return Trace(time, np.interp(time, minutes, temps), phases=tuple(Phase(*phase) for phase in phases))


@pytest.fixture(scope="session")
def trace():
    """A maker of traces: straight lines between (minute, °C) points, one reading every ``every`` minutes."""
    return _trace


@pytest.fixture(scope="session")
def cooked_and_chilled():
    """A cook to 76 °C with a long hold above 63 °C, in the chiller after 10 min, at 1 °C after 75 more."""
    points = [(0, 4), (60, 66), (90, 66), (100, 76.5), (110, 76.5), (120, 70), (160, 15), (185, 2), (195, 1)]
    phases = (("smoke", 0, 20), ("cook", 20, 110), ("carry-over", 110, 120), ("chill", 120, 195))
    return _trace(points, phases)
