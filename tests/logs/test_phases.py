"""Where the cook and the chilling were: told, or seen in the air, or not claimed at all."""

from __future__ import annotations

import numpy as np
import pytest

from kit.basics.errors import BadData
from kit.logs import find_phases
from kit.process.physics.trace import Trace

TIME = np.arange(0.0, 121.0)
CORE = np.where(TIME < 60, 5 + TIME, 65 - (TIME - 60))


def trace(air: np.ndarray | None) -> Trace:
    return Trace(TIME, CORE, air_c=air)


def names(found) -> dict[str, tuple[float, float]]:
    return {phase.name: (phase.start_min, phase.end_min) for phase in found.trace.phases}


def test_the_door_and_the_chiller_are_seen_in_the_air():
    air = np.select([TIME < 60, TIME < 75], [78.0, 20.0], 1.0)
    assert names(find_phases(trace(air))) == {"cook": (0, 59), "chill": (75, 120)}


def test_a_look_through_the_door_is_not_the_end_of_the_cook():
    air = np.where(TIME < 60, 78.0, 1.0)
    air[50:54] = 40.0
    assert names(find_phases(trace(air)))["cook"] == (0, 59)


def test_from_the_core_alone_no_phase_is_claimed():
    found = find_phases(trace(None))
    assert names(found) == {}
    assert "--cook" in found.says[0]


def test_what_is_told_comes_first():
    air = np.where(TIME < 60, 78.0, 1.0)
    assert names(find_phases(trace(air), cook=(5, 70), chill=(80, 120))) == {
        "cook": (5, 70),
        "chill": (80, 120),
    }


@pytest.mark.parametrize(
    "told",
    [{"cook": (50, 40)}, {"cook": (0, 500)}, {"chill": (-5, 20)}, {"cook": (0, 80), "chill": (60, 100)}],
)
def test_a_phase_that_cannot_be_is_refused(told):
    with pytest.raises(BadData):
        find_phases(trace(None), **told)
