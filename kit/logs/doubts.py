"""What in a record must not be believed at once: silences, and readings that no fish can have."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

BOILING_C = 100.0
"""No wet flesh in an open cabinet is hotter than boiling water. [°C]"""
RATE_C_PER_MIN = 15.0
"""A core that warms or cools by more than this in a minute was hardly in the fish. Ours: a fillet of 15 mm
warms by 12 °C in its fastest minute at 80 °C, and one of 10 mm cools by 11 °C in ice. [°C/min]"""
SPIKE_C = 3.0
"""One reading this far above, or below, both its neighbours is no temperature of a core. Ours. [°C]"""
_SHOWN = 3


@dataclass(frozen=True)
class Doubt:
    """Readings that stop "met" until a person confirms them: what they do, when, and what they could fake.

    ``fakes`` names the steps whose rules such readings could seem to meet.
    """

    core: str
    what: str
    times_min: tuple[float, ...]
    fakes: tuple[str, ...]

    @property
    def says(self) -> str:
        """The doubt in one sentence.

        Examples
        --------
        >>> Doubt("Core", "warms by more than 15 °C in a minute", (4.0,), ("cook",)).says
        'Core warms by more than 15 °C in a minute, at 4 min.'
        """
        shown = ", ".join(f"{time:g}" for time in self.times_min[:_SHOWN])
        more = len(self.times_min) - _SHOWN
        return f"{self.core} {self.what}, at {shown} min{f' and {more} times more' if more > 0 else ''}."


def silences(time_min: Array, core_c: Array, max_gap_min: float) -> list[tuple[float, float]]:
    """Return from when to when a record says nothing for longer than ``max_gap_min``. [min]

    Examples
    --------
    >>> silences(np.array([0.0, 1.0, 9.0, 10.0]), np.array([60.0, 61.0, np.nan, 65.0]), 5.0)
    [(1.0, 10.0)]
    """
    heard = time_min[np.isfinite(core_c)]
    ends = np.concatenate([time_min[:1], heard, time_min[-1:]])
    long = np.flatnonzero(np.diff(ends) > max_gap_min)
    return [(float(ends[at]), float(ends[at + 1])) for at in long]


def doubts_of(core: str, time_min: Array, core_c: Array) -> tuple[Doubt, ...]:
    """Return what in one core's readings no fish can have: too hot, too fast, or one reading alone.

    Parameters
    ----------
    core : str
        What to call it.
    time_min : array of shape (n,)
        Time, rising. [min]
    core_c : array of shape (n,)
        Readings as they were written, NaN for none. [°C]

    Examples
    --------
    >>> doubts_of("Core", np.arange(4.0), np.array([50.0, 51.0, 75.0, 52.0]))[-1].what
    'stands in one reading more than 3 °C above both its neighbours'
    """
    there = np.isfinite(core_c)
    return tuple(_doubts(core, time_min[there], core_c[there]))


def _doubts(core: str, time: Array, read: Array) -> Iterator[Doubt]:
    before = np.interp(time - 1, time, read)
    left, right = read[:-2], read[2:]
    faults = (
        (read > BOILING_C, f"reads more than {BOILING_C:g} °C", ("cook", "chill")),
        (read - before > RATE_C_PER_MIN, f"warms by more than {RATE_C_PER_MIN:g} °C in a minute", ("cook",)),
        (before - read > RATE_C_PER_MIN, f"cools by more than {RATE_C_PER_MIN:g} °C in a minute", ("chill",)),
        (
            _inside(read[1:-1] - np.maximum(left, right) > SPIKE_C),
            f"stands in one reading more than {SPIKE_C:g} °C above both its neighbours",
            ("cook",),
        ),
        (
            _inside(np.minimum(left, right) - read[1:-1] > SPIKE_C),
            f"stands in one reading more than {SPIKE_C:g} °C below both its neighbours",
            ("chill",),
        ),
    )
    for found, what, fakes in faults:
        if found.any():
            yield Doubt(core, what, tuple(float(each) for each in time[found]), fakes)


def _inside(found: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Give the first and the last reading their places: they have one neighbour and are never alone."""
    return np.concatenate([[False], found, [False]]) if found.size else np.zeros(found.size + 2, dtype=bool)
