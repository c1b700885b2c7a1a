"""A logger's file against the rules of a profile: one check for the command and the records."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import OutOfRange
from kit.basics.typed_text import LEAST_REASON
from kit.logs.doubts import Doubt, silences
from kit.logs.phases import Found, find_phases
from kit.logs.reading import Log, LogOptions, read_log
from kit.process.microbes.death import Lethality, lethality
from kit.rules import MAX_GAP_MIN, PACKS, PROBE_ERROR_C, Profile, Verdict, judge

STEPS = ("cook", "chill")
NO_YEAR = 1900
"""The year of a clock without a date."""


@dataclass(frozen=True)
class LogCheck:
    """A logger's file as it was read, the phases found in it, a verdict on each rule, and the least kill.

    ``silences`` are from when to when the record says nothing of a core. [min] ``confirmed`` is why the
    doubts of the log do not count; without it no rule that they could fake is met. ``asked`` says for which
    pack and by the law of which day it was judged, where that was asked for.
    """

    log: Log
    found: Found
    verdicts: tuple[Verdict, ...]
    kill: Lethality
    profile: Profile
    silences: tuple[tuple[float, float], ...] = ()
    confirmed: str = ""
    asked: tuple[str, ...] = ()

    @property
    def says(self) -> tuple[str, ...]:
        """How the file was read, what was found in it, each silence and each doubt, in plain words."""
        silent = (
            f"Silent from {start:g} to {end:g} min, for {end - start:g} min." for start, end in self.silences
        )
        doubtful = tuple(doubt.says for doubt in self.log.doubts)
        why = (f"Confirmed by a person: {self.confirmed}",) if doubtful and self.confirmed else ()
        return (*self.asked, *self.log.notes, *self.found.says, *silent, *doubtful, *why)


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
    confirmed: str = "",
    purpose: str = "",
    pack: str = "",
    on: date | None = None,
) -> LogCheck:
    """Read a logger's file and judge it against the cook and chill rules of a profile.

    With several cores each is judged, and the worst verdict on a rule is the one that counts. Readings that
    no fish can have (see ``Log.doubts``) turn "met" into "cannot tell" until a person confirms them.

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
    confirmed : str
        Why the doubtful readings are right all the same, in the words of the person who looked.
    purpose : str
        What the record is to prove, such as ``plate`` for fish that is eaten at once: see ``judge``.
    pack : str
        How the fish is packed, of ``rules.PACKS``: rules for other packs are left out.
    on : date, optional
        The day whose law counts. Default: that of the record's first stamp; without one, today.

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
    if 0 < len(confirmed.strip()) < LEAST_REASON:
        raise OutOfRange("the confirmation", repr(confirmed), "a few words: why the readings are right")
    log = read_log(source, how, name=name)
    found = find_phases(log.trace, cook=cook, chill=chill, max_gap_min=max_gap_min)
    traces = {heading: replace(found.trace, core_c=core) for heading, core in log.cores.items()}
    verdicts: list[Verdict] = []
    for step in steps:
        faked = () if confirmed.strip() else tuple(each for each in log.doubts if _fakes(each, found, step))
        told = [
            judge(
                trace,
                profile,
                step=step,
                probe_error_c=probe_error_c,
                max_gap_min=max_gap_min,
                purpose=purpose if step == "cook" else "",
                pack=pack,
                on=on or _day_of(log),
            )
            for trace in traces.values()
        ]
        of_each_rule = zip(*told, strict=True)
        badness = [_badness(trace.core_c, step) for trace in traces.values()]
        verdicts += [_doubted(_worst(tuple(traces), verdict, badness), faked) for verdict in of_each_rule]
    kills = [
        lethality(trace.time_min, trace.core_c, "listeria", max_gap_min=max_gap_min)
        for trace in traces.values()
    ]
    silent = {
        span for trace in traces.values() for span in silences(trace.time_min, trace.core_c, max_gap_min)
    }
    least = min(kills, key=lambda kill: kill.log_reduction)
    return LogCheck(
        log,
        found,
        tuple(verdicts),
        least,
        profile,
        tuple(sorted(silent)),
        confirmed.strip(),
        _asked(pack, on),
    )


def _asked(pack: str, on: date | None) -> tuple[str, ...]:
    for_pack = (f"Judged as {PACKS[pack]}.",) if pack else ()
    return (*for_pack, f"Judged by the law of {on.isoformat()}.") if on else for_pack


def _day_of(log: Log) -> date | None:
    """Return the day on which the record began, if its stamps say so."""
    return log.began.date() if log.began and log.began.year > NO_YEAR else None


def _badness(core_c: NDArray[np.float64], step: str) -> float:
    """Return how badly a core did: the coldest in the cook, the warmest in the chill is worst."""
    return float(np.nanmin(core_c)) if step == "chill" else -float(np.nanmax(core_c))


def _worst(cores: tuple[str, ...], told: tuple[Verdict, ...], badness: Sequence[float]) -> Verdict:
    """Return the verdict of the core that does worst on one rule, and say which core that is."""
    order = ("not met", "cannot tell", "met")
    ranked = sorted(zip(cores, told, badness, strict=True), key=lambda each: -each[2])
    core, worst, _ = min(ranked, key=lambda each: order.index(each[1].outcome))
    if len(cores) == 1 or worst.for_person:
        return worst
    return replace(worst, why=f"{core}: {worst.why}")


def _fakes(doubt: Doubt, found: Found, step: str) -> bool:
    """Whether a doubtful reading lies where it could seem to meet a rule of the step."""
    if step not in doubt.fakes:
        return False
    spans = {phase.name: (phase.start_min, phase.end_min) for phase in found.trace.phases}
    times = doubt.times_min
    if step == "cook" and "chill" in spans:
        return min(times) <= spans["chill"][0]
    if step == "chill" and "cook" in spans:
        return max(times) > spans["cook"][1]
    return True


def _doubted(verdict: Verdict, doubts: tuple[Doubt, ...]) -> Verdict:
    if verdict.outcome != "met" or not doubts:
        return verdict
    why = " ".join(doubt.says for doubt in doubts)
    return replace(verdict, outcome="cannot tell", why=f"{why} No fish does that: a person must look first.")


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
