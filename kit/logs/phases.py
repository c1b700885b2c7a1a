"""Where in a record the cook was and where the chilling: told by a person, or seen in the cabinet's air."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData
from kit.logs.doubts import silences
from kit.process.physics.trace import Phase, Trace
from kit.rules import MAX_GAP_MIN

Array = NDArray[np.float64]

HEAT_FROM_C = 40.0
"""Air this warm cooks or smokes. [°C]"""
DOOR_FALL_C = 15.0
"""Air that falls by this much and stays down has left the heat. [°C]"""
SETTLE_MIN = 10.0
"""How long it must stay down: a look through the door is shorter. [min]"""
COLD_AIR_C = 12.0
"""Air this cold is a chiller. [°C]"""
COOKED_FROM_C = 45.0
"""A core below this was hardly cooking. [°C]"""


@dataclass(frozen=True)
class Found:
    """A trace with its phases, and how they are known, in plain words."""

    trace: Trace
    says: tuple[str, ...]


def find_phases(
    trace: Trace,
    *,
    cook: tuple[float, float] | None = None,
    chill: tuple[float, float] | None = None,
    max_gap_min: float = MAX_GAP_MIN,
) -> Found:
    """Return the trace with the phases ``cook`` and ``chill`` where they are known.

    Told phases come first. Otherwise the door is looked for in the air column: hot air that falls by 15 °C
    or more and stays down for 10 min. From the core alone nobody can see when the fish left the heat,
    because it goes on warming; then no phase is claimed, and rules that need it cannot tell. Nor is a phase
    claimed to end or begin in a silence of the record.

    Parameters
    ----------
    trace : Trace
        From ``read_log``.
    cook, chill : tuple of two float, optional
        Start and end of the phase. [min since the record began]
    max_gap_min : float
        The longest silence in which the door may have been opened unseen. [min]

    Raises
    ------
    BadData
        If a told phase is not inside the record, or chilling is told to begin before the cook does.

    Examples
    --------
    >>> time = np.arange(0.0, 60.0)
    >>> air = np.where(time < 30, 75.0, 2.0)
    >>> found = find_phases(Trace(time, np.where(time < 30, 40.0 + time, 70.0 - time / 2), air_c=air))
    >>> [(phase.name, phase.start_min, phase.end_min) for phase in found.trace.phases]
    [('cook', 0.0, 29.0), ('chill', 30.0, 59.0)]
    """
    says: list[str] = []
    seen_cook, seen_chill = _seen(trace, max_gap_min)
    phases = []
    if cook is not None:
        phases.append(_told(trace, "cook", cook))
        says.append(f"Cook: {cook[0]:g} to {cook[1]:g} min, as told.")
    elif seen_cook is not None:
        phases.append(Phase("cook", *seen_cook))
        says.append(f"Cook: {seen_cook[0]:g} to {seen_cook[1]:g} min, seen in the air of the cabinet.")
    else:
        says.append("The record does not show when the fish left the heat. Tell it with --cook FROM TO.")
    if chill is not None:
        phases.append(_told(trace, "chill", chill))
        says.append(f"Chilling: {chill[0]:g} to {chill[1]:g} min, as told.")
    elif seen_chill is not None and (cook is None or seen_chill[0] >= cook[1]):
        phases.append(Phase("chill", *seen_chill))
        says.append(f"Chilling: {seen_chill[0]:g} to {seen_chill[1]:g} min, seen in the air.")
    if len(phases) == 2 and phases[1].start_min < phases[0].end_min:
        raise BadData(
            "--cook and --chill",
            f"chilling from {phases[1].start_min:g} min starts before the cook ends at {phases[0].end_min:g}",
            "chilling after the cook",
        )
    return Found(replace(trace, phases=tuple(phases)), tuple(says))


def _told(trace: Trace, name: str, span: tuple[float, float]) -> Phase:
    first, last = float(trace.time_min[0]), float(trace.time_min[-1])
    start, end = span
    if not (np.isfinite(start) and np.isfinite(end) and first <= start < end <= last + 1e-9):
        raise BadData(
            f"--{name}",
            f"{start:g} to {end:g} min is not inside the record",
            f"two times from {first:g} to {last:g} min, the earlier one first",
        )
    return Phase(name, start, end)


def _seen(trace: Trace, max_gap_min: float) -> tuple[tuple[float, float] | None, tuple[float, float] | None]:
    """Look for the door and the chiller in the air column, outside every silence."""
    air, time = trace.air_c, trace.time_min
    if air is None:
        return None, None
    there = np.isfinite(air)
    silent = [*silences(time, air, max_gap_min), *silences(time, trace.core_c, max_gap_min)]
    air, time = air[there], time[there]
    hot = np.flatnonzero(air >= HEAT_FROM_C)
    if hot.size == 0:
        cold = np.flatnonzero(air <= COLD_AIR_C)
        whole = bool(cold.size) and cold.size == air.size
        return None, ((float(time[0]), float(time[-1])) if whole and time.size > 1 else None)
    door = _door(trace, time, air, int(hot[0]))
    if door is None or _touches(silent, float(time[door]), float(time[door + 1])):
        return None, None
    cook = (float(time[hot[0]]), float(time[door]))
    cold = np.flatnonzero((air <= COLD_AIR_C) & (time > time[door]))
    last = float(trace.time_min[-1])
    known = cold.size and not _touches(silent, float(time[cold[0] - 1]), float(time[cold[0]]))
    chill = (float(time[cold[0]]), last) if known and time[cold[0]] < last else None
    return (cook if cook[1] > cook[0] else None), chill


def _touches(silent: list[tuple[float, float]], start: float, end: float) -> bool:
    return any(first < end and start < last for first, last in silent)


def _door(trace: Trace, time: Array, air: Array, first_hot: int) -> int | None:
    """Return the last row in the heat before the air falls and stays down, once the core was hot."""
    core = trace.core_c
    warm = np.flatnonzero(np.isfinite(core) & (core >= COOKED_FROM_C))
    if warm.size == 0:
        return None
    ready = float(trace.time_min[warm[0]])
    for index in range(first_hot, air.size - 1):
        if time[index + 1] < ready:
            continue
        before = air[max(first_hot, index - 5) : index + 1].max()
        later = (time > time[index]) & (time <= time[index] + SETTLE_MIN)
        whole = time[-1] - time[index] >= min(SETTLE_MIN, 2 * (time[1] - time[0]))
        if whole and np.all(air[later] <= before - DOOR_FALL_C):
            return index
    return None
