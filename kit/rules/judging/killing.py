"""The kill a record adds up to, and how much of it the published table stands behind."""

from __future__ import annotations

import numpy as np

from kit.rules.judging.finding import Finding
from kit.rules.judging.readings import NOISE, Readings
from kit.rules.model import LethalityLimit, kill_words

_SHOWN_LOGS = 0.01


def judge_kill(record: Readings, kill: LethalityLimit) -> Finding:
    """Return the finding for a kill, added up over the readings of a record.

    Only the part at or above the table's lowest temperature can meet the rule. Credit below it is
    extrapolated: shown, and never enough by itself. A silence longer than allowed earns nothing.
    """
    error_c = record.error_c
    published = _logs(record, kill, shift_c=-error_c, table_only=True)
    likely = _logs(record, kill)
    above = _logs(record, kill, table_only=True)
    most = _logs(record, kill, shift_c=error_c, fill=True)
    finding = _weigh(kill, published, above, likely, most, error_c)
    span = (float(record.time_min[0]), float(record.time_min[-1]))
    highest = float(np.max(record.core_c))
    return Finding(
        **{**finding.__dict__, "from_min": span[0], "to_min": span[1], "highest_c": highest},
    )


def judge_constant(temp_c: float, hold_min: float, kill: LethalityLimit, error_c: float) -> Finding:
    """Return the finding for a kill at one steady core temperature."""
    inside = temp_c >= kill.table_from_c
    sure = temp_c - error_c >= kill.table_from_c
    published = constant_logs(temp_c - error_c, hold_min, kill) if sure else 0.0
    likely = constant_logs(temp_c, hold_min, kill)
    most = constant_logs(temp_c + error_c, hold_min, kill)
    return _weigh(kill, published, likely if inside else 0.0, likely, most, error_c)


def constant_logs(temp_c: float, minutes: float, kill: LethalityLimit) -> float:
    """Return the log reduction of some minutes at one temperature. [log10]

    Examples
    --------
    >>> kill = LethalityLimit("listeria", 6, 70, 7.5, 2, 63)
    >>> round(constant_logs(70, 2, kill), 3)
    6.0
    """
    from kit.process.microbes import death

    worth = float(death.equivalent_minutes(minutes, temp_c, kill.ref_c, kill.z_c))
    return kill.logs * worth / kill.minutes


def _weigh(
    kill: LethalityLimit, published: float, above: float, likely: float, most: float, error_c: float
) -> Finding:
    below = likely - above
    why = f"The core added up to a {likely:.2f}-log kill; the rule asks for a {kill_words(kill)}."
    if below >= _SHOWN_LOGS and above < kill.logs:
        why += (
            f" Of that, {below:.2f} log is extrapolated: it was earned below {kill.table_from_c:g} °C, "
            "where the published table stops."
        )
        extrapolated = True
    else:
        extrapolated = False
    if published >= kill.logs - NOISE:
        outcome = "met"
    elif most < kill.logs:
        outcome = "not met"
    else:
        outcome = "cannot tell"
        why += _doubt(kill, above, likely, error_c)
    return Finding(
        outcome,  # type: ignore[arg-type]  # one of the three answers, set above
        why,
        measured=round(likely, 4),
        limit=kill.logs,
        unit="log10",
        extrapolated=extrapolated,
    )


def _doubt(kill: LethalityLimit, above: float, likely: float, error_c: float) -> str:
    if above >= kill.logs:
        return f" A probe {error_c:g} °C off would change that."
    if likely >= kill.logs:
        return " An extrapolated kill is no proof."
    return f" With the probe's error of {error_c:g} °C, or in a silence of the record, it may have been more."


def _logs(
    record: Readings,
    kill: LethalityLimit,
    *,
    shift_c: float = 0.0,
    table_only: bool = False,
    fill: bool = False,
) -> float:
    """Return the log reduction of a record. [log10]

    ``table_only`` leaves out what was earned below the table; ``fill`` credits each silence with the warmer
    of its two ends, the most it could have been if the core did not peak inside it.
    """
    from kit.process.microbes import death

    time_min, core_c = record.time_min, record.core_c + shift_c
    if time_min.size < 2:
        return 0.0
    worth = death.trace_minutes(
        time_min,
        core_c,
        kill.ref_c,
        kill.z_c,
        credit_from_c=kill.table_from_c if table_only else None,
        max_gap_min=record.max_gap_min,
    )
    if fill:
        length = np.diff(time_min)
        silent = length > record.max_gap_min
        warmer = np.maximum(core_c[:-1], core_c[1:])[silent]
        worth += float(np.sum(death.equivalent_minutes(length[silent], warmer, kill.ref_c, kill.z_c)))
    return kill.logs * float(worth) / kill.minutes
