"""Cooling windows: the same words, different clocks, from a temperature, the door or the chiller."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kit.basics.errors import check_range
from kit.process.physics.trace import Trace
from kit.rules.judging.finding import Finding
from kit.rules.judging.readings import NOISE, Readings, door_min, fits
from kit.rules.model import Rule


@dataclass(frozen=True)
class _Start:
    """When the clock starts: the earliest it can be, the latest, and the likely one. [min]

    ``sure`` is False if the record only shows that the clock started no later than ``latest``.
    """

    earliest: float
    latest: float
    likely: float
    words: str
    sure: bool = True


def judge_window(trace: Trace, record: Readings, rule: Rule) -> Finding:
    """Return the finding for a window: the end temperature reached before the time runs out.

    The start and the end each lie between two readings. The window is met if even the longest time fits, and
    not met if even the shortest does not. The end must be reached by the probe's error and more.
    """
    minutes = rule.minutes or 0.0
    if rule.until == "chiller":
        return _judge_transfer(trace, minutes)
    start = _start(trace, record, rule)
    if start is None:
        return Finding("cannot tell", _no_start(rule), limit=minutes, unit="min")
    if not len(record.between(start.earliest, np.inf)):
        return Finding("cannot tell", "The record stops before the cooling.", limit=minutes, unit="min")
    return _compare(record, start, rule, minutes)


def _compare(record: Readings, start: _Start, rule: Rule, minutes: float) -> Finding:
    target = rule.maximum or 0.0
    time = record.time_min
    proven = _first_at_or_below(record, target - record.error_c, start.latest)
    plain = _first_at_or_below(record, target, start.latest)
    possible = _first_at_or_below(record, target + record.error_c, start.latest)
    likely = max(_crossing(record, plain, target) if plain is not None else time[-1], start.likely)
    took = float(likely - start.likely)
    above = len(record) if possible is None else possible  # so many readings come before it can be reached
    shortest = time[above - 1] - start.latest if above else 0.0
    reached = (
        f"The core was at {target:g} °C" if plain is not None else f"The core was still above {target:g} °C"
    )
    why = f"{reached} {took:.0f} min after {start.words}; the limit is {minutes:g} min."
    outcome = "cannot tell"
    if not fits(shortest, minutes):
        outcome = "not met"
    elif proven is not None and start.sure and fits(time[proven] - start.earliest, minutes):
        silence = record.longest_silence(start.earliest, time[proven])
        if fits(silence[1] - silence[0], record.max_gap_min):
            outcome = "met"
        else:
            why += f" But nothing was recorded from {silence[0]:g} to {silence[1]:g} min."
    else:
        why += _doubt(start, None if plain is None else time[plain], record, target, minutes)
    return Finding(
        outcome,  # type: ignore[arg-type]  # one of the three answers, set above
        why,
        measured=round(took, 4),
        limit=minutes,
        unit="min",
        from_min=start.likely,
        to_min=float(likely),
    )


def _doubt(start: _Start, plain: float | None, record: Readings, target: float, minutes: float) -> str:
    if not start.sure:
        return " The record does not show when that clock started, so the true time may be longer."
    if plain is None:
        return " The record stops before the limit."
    if fits(plain - start.earliest, minutes):
        return f" But the reading lies within the probe's error of {record.error_c:g} °C of {target:g} °C."
    return " The limit falls between two readings, or within the probe's error."


def _judge_transfer(trace: Trace, minutes: float) -> Finding:
    """Return the finding for the time from the heat to the chiller, which the phases alone tell."""
    door, chill = door_min(trace), trace.phase("chill")
    if door is None or chill is None:
        missing = "left the heat" if door is None else "went into the chiller"
        return Finding(
            "cannot tell", f"The record does not show when the fish {missing}.", None, minutes, "min"
        )
    took = chill.start_min - door
    check_range("chill_start_min", took, at_least=0, likely_cause="Does the chilling begin inside the cook?")
    why = f"The fish was in the chiller {took:.0f} min after it left the heat; the limit is {minutes:g} min."
    outcome = "met" if fits(took, minutes) else "not met"
    return Finding(outcome, why, took, minutes, "min", from_min=door, to_min=chill.start_min)  # type: ignore[arg-type]


def _start(trace: Trace, record: Readings, rule: Rule) -> _Start | None:
    chill = trace.phase("chill")
    if rule.clock == "chiller":
        return _at(chill.start_min, "the fish went into the chiller") if chill else None
    if rule.clock == "temperature":
        return _at_temperature(record, rule.from_c or 0.0)
    door = door_min(trace)
    if door is not None:
        return _at(door, "the fish left the heat")
    if not len(record):
        return None
    if chill is not None:
        known, words = chill.start_min, "chilling started"
    else:
        known, words = float(record.time_min[int(np.argmax(record.core_c))]), "the core was hottest"
    return replace(_at(known, words), sure=False)


def _at(minute: float, words: str) -> _Start:
    return _Start(float(minute), float(minute), float(minute), words)


def _at_temperature(record: Readings, from_c: float) -> _Start | None:
    """Find the last time that the core fell through ``from_c``.

    A core that never was that warm starts its clock at its peak. A record that begins below that temperature,
    and falling, hides the start.
    """
    if not len(record):
        return None
    time, peak = record.time_min, int(np.argmax(record.core_c))
    last, early, late = (
        _last_at_or_above(record, limit_c)
        for limit_c in (from_c, from_c + record.error_c, from_c - record.error_c)
    )
    if last is None or late is None:
        top = float(record.core_c[peak])
        if peak == 0:
            return replace(_at(time[peak], f"the record began at {top:.1f} °C"), sure=False)
        return _at(time[peak], f"its peak of {top:.1f} °C (it never was at {from_c:g} °C)")
    end = len(record) - 1
    return _Start(
        earliest=float(time[peak if early is None else early]),
        latest=float(time[min(late + 1, end)]),
        likely=_crossing(record, min(last + 1, end), from_c),
        words=f"it fell through {from_c:g} °C",
    )


def _last_at_or_above(record: Readings, limit_c: float) -> int | None:
    found = np.flatnonzero(record.core_c >= limit_c - NOISE)
    return int(found[-1]) if found.size else None


def _first_at_or_below(record: Readings, limit_c: float, not_before: float) -> int | None:
    found = np.flatnonzero((record.core_c <= limit_c + NOISE) & (record.time_min >= not_before))
    return int(found[0]) if found.size else None


def _crossing(record: Readings, row: int, limit_c: float) -> float:
    """Return where the straight line from the reading before to this one meets the limit. [min]"""
    before = max(row - 1, 0)
    t0, t1 = float(record.time_min[before]), float(record.time_min[row])
    c0, c1 = float(record.core_c[before]), float(record.core_c[row])
    if c1 >= limit_c:
        return t1
    return t0 if c0 <= limit_c else t0 + (t1 - t0) * (c0 - limit_c) / (c0 - c1)


def _no_start(rule: Rule) -> str:
    if rule.clock == "chiller":
        return "The record does not show when the fish went into the chiller."
    return "The record holds no core reading."
