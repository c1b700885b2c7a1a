"""A logger's file against the rules of a profile: one check for the command and the records."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kit.logs.phases import Found, find_phases
from kit.logs.reading import Log, LogOptions, read_log
from kit.process.microbes.death import Lethality, lethality
from kit.rules import MAX_GAP_MIN, PROBE_ERROR_C, Profile, Verdict, judge

STEPS = ("cook", "chill")


@dataclass(frozen=True)
class LogCheck:
    """A logger's file as it was read, the phases found in it, a verdict on each rule, and the kill."""

    log: Log
    found: Found
    verdicts: tuple[Verdict, ...]
    kill: Lethality
    profile: Profile


def check_log(
    source: str | Path | bytes,
    profile: Profile,
    *,
    name: str = "",
    how: LogOptions | None = None,
    cook: tuple[float, float] | None = None,
    chill: tuple[float, float] | None = None,
    steps: Iterable[str] = STEPS,
    probe_error_c: float = PROBE_ERROR_C,
    max_gap_min: float = MAX_GAP_MIN,
) -> LogCheck:
    """Read a logger's file and judge it against the cook and chill rules of a profile.

    Parameters
    ----------
    source : path or bytes
        What the logger exported: see ``read_log``.
    profile : Profile
        The rules.
    name : str
        What to call the file in messages.
    how : LogOptions, optional
        What the file does not say itself.
    cook, chill : tuple of two float, optional
        Start and end of the phase, if they are known. [min since the record began]
    steps : iterable of str
        The steps to judge.
    probe_error_c : float
        The probe's stated error. [°C]
    max_gap_min : float
        The longest silence allowed inside a claimed hold or window. [min]

    Raises
    ------
    BadData
        If the file cannot be read, or could be read in two ways.

    Examples
    --------
    >>> from kit import rules
    >>> rows = "".join(f"{minute};66.0\\n" for minute in range(40))
    >>> checked = check_log(b"time (min);Core (C)\\n" + rows.encode(), rules.load("us-processor"))
    >>> checked.verdicts[0].rule, len(checked.found.trace.core_c)
    ('us-processor-cook-hold', 40)
    """
    log = read_log(source, how, name=name)
    found = find_phases(log.trace, cook=cook, chill=chill)
    verdicts = [
        verdict
        for step in steps
        for verdict in judge(
            found.trace, profile, step=step, probe_error_c=probe_error_c, max_gap_min=max_gap_min
        )
    ]
    kill = lethality(found.trace.time_min, found.trace.core_c, "listeria", max_gap_min=max_gap_min)
    return LogCheck(log, found, tuple(verdicts), kill, profile)


def as_facts(verdict: Verdict) -> dict[str, Any]:
    """Return a verdict as plain data that any file can hold: rule, outcome, measured, limit and source.

    Examples
    --------
    >>> from kit import rules
    >>> (found,) = rules.judge({"core_temp_c": 60.0, "hold_min": 1}, rules.load("ie"), step="cook")[:1]
    >>> as_facts(found)["outcome"]
    'not met'
    """
    return {
        "rule": verdict.rule,
        "outcome": verdict.outcome,
        "measured": _finite(verdict.measured),
        "limit": _finite(verdict.limit),
        "unit": verdict.unit,
        "source": verdict.source,
        "locator": verdict.locator,
        "seen": verdict.seen,
        "extrapolated": verdict.extrapolated,
    }


def _finite(number: float | None) -> float | None:
    return None if number is None or not math.isfinite(number) else round(float(number), 4)
