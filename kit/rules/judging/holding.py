"""Reaching a core temperature is not holding it: how long a record shows a temperature without a break."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kit.rules.judging.finding import Finding
from kit.rules.judging.readings import NOISE, Array, Readings, fits
from kit.rules.model import Answer, HoldRow, minutes_words


@dataclass(frozen=True)
class _Held:
    """The longest stretch held: proven by readings, and the most it could have been. [min]"""

    minutes: float
    from_min: float
    to_min: float
    reached: bool

    def lasts(self, minutes: float) -> bool:
        """Return whether the temperature was reached, and held that long."""
        return self.reached and fits(minutes, self.minutes)


def judge_hold(record: Readings, rows: tuple[HoldRow, ...]) -> Finding:
    """Return the finding for a hold: meeting one of the rows meets it.

    A row is met only if it is met however wrong the probe may be within its stated error, and counting only
    from the first reading that shows the temperature to the last. It is not met only if no reading of the
    record could meet it. Between the two, the record cannot tell.
    """
    findings = [_judge_row(record, row) for row in rows]
    for outcome in ("met", "cannot tell"):
        for finding in findings:
            if finding.outcome == outcome:
                return finding
    return max(findings, key=lambda finding: (finding.measured or 0) / max(finding.limit or 0, 0.01))


def _judge_row(record: Readings, row: HoldRow) -> Finding:
    cold = -1.0 if row.cold else 1.0
    warmth = cold * (record.core_c - row.temp_c)  # at or above 0: this reading shows the temperature
    plain = _longest(record.time_min, warmth >= 0, record.max_gap_min)
    proven = _longest(record.time_min, warmth >= record.error_c - NOISE, record.max_gap_min)
    extreme = float(np.min(record.core_c) if row.cold else np.max(record.core_c))
    outcome, why = _outcome(record, row, warmth, plain, proven)
    reach = row.minutes == 0
    return Finding(
        outcome,
        f"{_shows(plain, row, extreme)} {why}",
        measured=extreme if reach else round(plain.minutes, 4),
        limit=row.temp_c if reach else row.minutes,
        unit="°C" if reach else "min",
        from_min=plain.from_min if plain.reached else None,
        to_min=plain.to_min if plain.reached else None,
        highest_c=extreme,
    )


def _outcome(
    record: Readings, row: HoldRow, warmth: Array, plain: _Held, proven: _Held
) -> tuple[Answer, str]:
    if proven.lasts(row.minutes):
        return "met", f"The rule asks for {row.words}."
    asks = f"The rule asks for {row.words}"
    if plain.lasts(row.minutes):
        return "cannot tell", (
            f"{asks}, and the readings lie within the probe's error of {record.error_c:g} °C of that limit."
        )
    possible = warmth >= -record.error_c + NOISE if record.error_c else warmth >= 0
    most = _longest(record.time_min, possible, record.max_gap_min, outer=True)
    if most.lasts(row.minutes):
        return (
            "cannot tell",
            f"{asks}; with the probe's error and the time between readings it may have been met.",
        )
    joined = _longest(record.time_min, possible, np.inf, outer=True)
    if joined.lasts(row.minutes):
        silence = record.longest_silence(joined.from_min, joined.to_min)
        return "cannot tell", (
            f"{asks}, and nothing was recorded from {silence[0]:g} to {silence[1]:g} min: "
            f"more than {record.max_gap_min:g} min, so the clock starts again."
        )
    return "not met", f"{asks}.{_break_words(record, warmth, plain)}"


def _shows(held: _Held, row: HoldRow, extreme: float) -> str:
    word = "Lowest" if row.cold else "Highest"
    if not held.reached:
        return f"{word} core reading {extreme:.1f} °C: {row.temp_c:g} °C was not reached."
    side = "below" if row.cold else "above"
    if row.minutes == 0:
        return f"{word} core reading {extreme:.1f} °C."
    longest = minutes_words(round(held.minutes, 1))
    return (
        f"Longest stretch at or {side} {row.temp_c:g} °C without a break: {longest}"
        f" ({word.lower()} {extreme:.1f} °C)."
    )


def _break_words(record: Readings, warmth: Array, held: _Held) -> str:
    """Say where a hold was broken by a reading, if it was."""
    shows = warmth >= 0
    if not held.reached or shows.sum() < 2:
        return ""
    first, last = np.flatnonzero(shows)[[0, -1]]
    dips = np.flatnonzero(~shows[first:last])
    if not dips.size:
        return ""
    dip = first + int(dips[0])
    when, read = record.time_min[dip], record.core_c[dip]
    return f" At {when:g} min the core read {read:.1f} °C, so the clock started again."


def _longest(time_min: Array, shows: np.ndarray, max_gap_min: float, *, outer: bool = False) -> _Held:
    """Return the longest run of rows that show the temperature, with no silence over ``max_gap_min`` in it.

    ``outer`` stretches a run to the neighbouring readings: the most it could have been between readings. It
    never stretches over a silence longer than ``max_gap_min``.
    """
    if not shows.any():
        return _Held(0.0, 0.0, 0.0, reached=False)
    silent = np.diff(time_min) > max_gap_min
    joined = shows[:-1] & shows[1:] & ~silent
    starts = np.flatnonzero(shows & ~np.concatenate(([False], joined)))
    ends = np.flatnonzero(shows & ~np.concatenate((joined, [False])))
    first, last = time_min[starts].copy(), time_min[ends].copy()
    if outer:
        before, after = np.maximum(starts - 1, 0), np.minimum(ends + 1, time_min.size - 1)
        near = first - time_min[before] <= max_gap_min
        first[near] = time_min[before][near]
        near = time_min[after] - last <= max_gap_min
        last[near] = time_min[after][near]
    best = int(np.argmax(last - first))
    return _Held(float(last[best] - first[best]), float(first[best]), float(last[best]), reached=True)
