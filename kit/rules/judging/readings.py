"""The core readings that a rule is judged on: which rows count, where the gaps are, when the door opened."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import check_range
from kit.basics.quantities import term
from kit.process.physics.trace import Trace

Array = NDArray[np.float64]

NOISE = 1e-9
"""Room for the last bits of a sum of minutes or degrees: 3 times 0.1 is 0.3. [min], [°C]"""

HEAT = ("smoke", "cook", "hold")
_COOKED = ("cook", "hold")


@dataclass(frozen=True)
class Readings:
    """Times and core temperatures with the gaps left out, not filled. [min], [°C]

    ``error_c`` is how far a reading may be from the truth; ``max_gap_min`` is the longest silence allowed
    inside a claimed hold or window.
    """

    time_min: Array
    core_c: Array
    error_c: float
    max_gap_min: float

    def __len__(self) -> int:
        return int(self.time_min.size)

    def between(self, start_min: float, end_min: float) -> Readings:
        """Return the readings from ``start_min`` to ``end_min``, both included."""
        keep = (self.time_min >= start_min) & (self.time_min <= end_min)
        return Readings(self.time_min[keep], self.core_c[keep], self.error_c, self.max_gap_min)

    def longest_silence(self, start_min: float, end_min: float) -> tuple[float, float]:
        """Return the longest stretch without a reading that touches the given one, as (from, to). [min]"""
        first = max(int(np.searchsorted(self.time_min, start_min, side="right")) - 1, 0)
        last = min(int(np.searchsorted(self.time_min, end_min, side="left")), len(self) - 1)
        times = self.time_min[first : last + 1]
        if times.size < 2:
            return (start_min, start_min)
        widest = int(np.argmax(np.diff(times)))
        return (float(times[widest]), float(times[widest + 1]))


def fits(took_min: float, allowed_min: float) -> bool:
    """Return whether a time is no longer than allowed; exactly as long is not longer.

    Examples
    --------
    >>> fits(0.1 + 0.2, 0.3), fits(0.301, 0.3)
    (True, False)
    """
    return took_min <= allowed_min + NOISE


def readings(trace: Trace, error_c: float, max_gap_min: float) -> Readings:
    """Return the core readings of a trace, gaps dropped; refuse one that no core can have."""
    there = ~np.isnan(trace.core_c)
    bounds = term("core_temp_c")
    check_range("core_c", trace.core_c[there], at_least=bounds.low, at_most=bounds.high)
    return Readings(trace.time_min[there], trace.core_c[there], error_c, max_gap_min)


def cook_span(trace: Trace) -> tuple[float, float]:
    """Return the stretch in which heat at the core counts as cooking: from the fire to the chiller. [min]

    Carry-over counts, because it is read at the core. A trace without phases counts whole.
    """
    starts = [phase.start_min for phase in trace.phases if phase.name in HEAT]
    chill = trace.phase("chill")
    start = min(starts) if starts else -np.inf
    return (start, chill.start_min if chill else np.inf)


def door_min(trace: Trace) -> float | None:
    """Return when the fish left the heat, or None if the record does not show it. [min]"""
    ends = [phase.end_min for phase in trace.phases if phase.name in _COOKED]
    if ends:
        return max(ends)
    carry = trace.phase("carry-over")
    return carry.start_min if carry else None


def frozen_span(trace: Trace) -> tuple[float, float] | None:
    """Return the stretch named ``store``, in which a hold in the cold is looked for. [min]"""
    store = trace.phase("store")
    if store is not None:
        return (store.start_min, store.end_min)
    return None if trace.phases else (-np.inf, np.inf)
