"""Lesson 6, by the rules of the apprentice's own kitchen: the window, four logs, the store, the last day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from kit.exercises.engine import exercise
from kit.exercises.engine.kitchen_rules import (
    all_told,
    judged,
    limit_words,
    numbered,
    together,
    where_of,
)
from kit.marking.authored import AuthoredOption, option
from kit.marking.build import number, one, several
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.physics.trace import Phase, Trace
from kit.rules import PACKS, Profile, Rule, judge_rule, load
from kit.rules.purposes import Pack

_HOT_C = 66.0
_EVERY_MIN = 2.0
_LONGEST_DAYS = 30
_LONGEST_PLAN = 18  # so that the last day lies in the same month


def _signed(temp_c: float) -> str:
    return f"{temp_c:.4g}".replace("-", "−")


def _clock(minute: float) -> str:
    return f"{int(minute) // 60 % 24:02d}:{int(minute) % 60:02d}"


@exercise("By your own rule: cold by when?", criteria=["CHL-K01"], prepares_for=["CHL-P01"])
def own_cold_by(draw: Draw, profile: Profile) -> Question:
    """Find the latest time that the kitchen's own window allows."""
    rule = draw.pick(judged(profile.answering("chill")))
    out = draw.step(12 * 60, 14 * 60, 5)
    fell = out + draw.step(5, 15, 5)
    into = fell + draw.step(5, 20, 5)
    last = into + draw.step(40, 60, 5)
    from_c = rule.from_c if rule.from_c is not None else 57.0
    times = {"door": out, "temperature": fell, "chiller": into}
    if from_c < 30:  # the second of two stages: its clock starts in the chiller
        times["temperature"] = last
    told_c = [(out, "left the heat"), (into, "went into the chiller"), (times["temperature"], "fell")]
    story = " ".join(
        f"At {_clock(at)} the core fell through {from_c:g} °C."
        if what == "fell"
        else f"At {_clock(at)} the fish {what}."
        for at, what in sorted(told_c)
    )
    target = "in the chiller" if rule.until == "chiller" else f"at {rule.maximum or 0.0:g} °C or less"
    asks = f"By when, at the latest, must it be {target}?" if rule.has_number else "By when must it be cold?"
    return one(
        draw,
        f"{all_told([rule], profile, 'the chill')} {story} {asks}",
        _deadlines(rule, times),
        hints=[
            "Does your rule give a time? Where does its clock start?",
            "Add the minutes of the rule to the time at which the clock starts.",
        ],
        worked=_deadline_worked(rule, times, profile),
    )


_START = {
    "door": "when the fish leaves the heat",
    "chiller": "when the fish goes into the chiller",
    "temperature": "when the core falls through the first temperature",
}


def _deadlines(rule: Rule, times: dict[str, int]) -> list[AuthoredOption]:
    no_time = "No time stands in the rule: cool it at once, and ask the competent person"
    room = option(
        "When there is room", says="Warm fish cannot wait for room. Tell Chef at once.", name="room"
    )
    if not rule.has_number:
        none = "Your rule gives no number of minutes. A time from another rule is not yours."
        wrong = [
            option(_clock(at + wait), says=none, name=f"{wait} min from the {name}")
            for (name, at), wait in zip(times.items(), (90, 150, 240), strict=True)
        ]
        return [option(no_time, right=True, name="no number"), room, *wrong]
    minutes = judge_rule({rule.id: 0.0, "chill_start_min": 0.0}, rule).limit or 0.0
    options = [
        option(
            _clock(at + minutes),
            right=clock == rule.clock,
            says=f"Your clock starts {_START[rule.clock]}.",
            name=f"clock: {clock}",
        )
        for clock, at in times.items()
    ]
    says = "Your rule does give a time. Read it again."
    return [*options, option(no_time, says=says, name="no number"), room]


def _deadline_worked(rule: Rule, times: dict[str, int], profile: Profile) -> str:
    where = f"({where_of(rule, profile)})"
    if not rule.has_number:
        return f"The rule has no number {where}. So cool it at once, and ask which time counts."
    start = times[rule.clock]
    minutes = rule.minutes or 0.0
    return (
        f"The clock starts {_START[rule.clock]}: at {_clock(start)}. The rule gives {minutes:g} min {where}. "
        f"{_clock(start)} and {minutes:g} min: {_clock(start + minutes)}."
    )


@dataclass(frozen=True)
class _ChillLog:
    """A chilling as drawn: when it went into the chiller and when the core passed each temperature. [min]"""

    out: int
    wait: float
    passed: tuple[tuple[float, float], ...]
    gap: tuple[float, float] | None = None

    @property
    def words(self) -> str:
        told_c = ", ".join(
            f"{temp_c:g} °C at {_clock(self.out + at)}" for temp_c, at in self.passed if temp_c < _HOT_C
        )
        gap = f"; no reading from {self._at(0)} to {self._at(1)}" if self.gap else ""
        into = _clock(self.out + self.wait)
        return f"Out of the heat {_clock(self.out)}, in the chiller {into}. Core: {told_c}{gap}"

    def _at(self, end: int) -> str:
        return _clock(self.out + (self.gap or (0, 0))[end])

    @property
    def trace(self) -> Trace:
        """The log itself: a reading every 2 min, straight between the times told, then colder."""
        last_c, last = self.passed[-1]
        temps = [temp_c for temp_c, _ in self.passed] + [last_c - 1.5]
        at = [minute for _, minute in self.passed] + [last + 4.0]
        time = np.append(np.arange(0.0, at[-1], _EVERY_MIN), at[-1])
        core = np.interp(time, at, temps)
        kept = np.ones(time.size, dtype=bool)
        if self.gap:
            kept = (time <= self.gap[0]) | (time >= self.gap[1])
        phases = (Phase("carry-over", 0.0, self.wait), Phase("chill", self.wait, float(time[-1])))
        return Trace(time[kept], core[kept], phases=phases)


def chill_log(draw: Draw, rules: Sequence[Rule], case: str) -> _ChillLog:
    """Return a log drawn to meet every window, to be late in one of them, or to have a gap."""
    late = draw.pick(rules) if case == "late" else None
    took = {
        rule.id: (rule.minutes or 0.0) * draw.pick([1.15, 1.2, 1.25] if rule is late else [0.6, 0.7, 0.75])
        for rule in rules
    }
    wait = next((_five(took[rule.id]) for rule in rules if rule.until == "chiller"), draw.pick([15, 20, 25]))
    if late is not None and late.clock == "door" and late.until != "chiller":
        wait, took[late.id] = 35.0, (late.minutes or 0.0) + 15.0  # in time only if the wait is left out
    out = draw.step(12 * 60, 14 * 60, 5)
    rising = _passed(rules, took, float(wait), late)
    from_min, to_min = rising[-2][1], rising[-1][1]
    silence = (_five(from_min + 0.4 * (to_min - from_min)), _five(from_min + 0.8 * (to_min - from_min)))
    return _ChillLog(out, float(wait), rising, silence if case == "gap" else None)


def _passed(
    rules: Sequence[Rule], took: Mapping[str, float], wait: float, late: Rule | None
) -> tuple[tuple[float, float], ...]:
    """Return when the core passes each temperature that a rule names, hottest first. [°C], [min]"""
    passed = {_HOT_C: 0.0}
    for rule in sorted(rules, key=lambda each: -(each.maximum or 0.0)):
        if rule.until == "chiller":
            continue
        starts = {"door": 0.0, "chiller": wait}
        start = starts.get(rule.clock)
        if start is None:
            start = passed.setdefault(float(rule.from_c or 0.0), 10.0)
        target = float(rule.maximum or 0.0)
        end = _five(start + took[rule.id])
        passed[target] = end if rule is late else min(end, passed.get(target, end))
    steps = sorted(passed.items(), key=lambda step: -step[0])
    return tuple((temp_c, max(at, 5.0 * place)) for place, (temp_c, at) in enumerate(steps))


def _five(minutes: float) -> float:
    return float(5 * max(1, round(minutes / 5)))


def chill_outcome(log: _ChillLog, rules: Sequence[Rule]) -> str:
    """Return what the kitchen's own rules say of a log: met, not met or cannot tell."""
    return together([judge_rule(log.trace, rule) for rule in rules])


_OF_A_LOG = {
    "not met": "Count again on your own rule’s clock. This log is too late.",
    "cannot tell": "A gap proves nothing. Nobody knows what the core did in it.",
}


@exercise("By your own rule: which logs pass?", criteria=["CHL-K01"], prepares_for=["CHL-P02", "CHL-P03"])
def own_chill_logs(draw: Draw, profile: Profile) -> Question:
    """Pick the chill logs that prove the kitchen's own rule."""
    rules = judged(profile.answering("chill"))
    windows = numbered(profile.answering("chill")) or numbered(load().answering("chill"))
    kinds = draw.shuffle(["good", "late", "gap", draw.pick(["good", "late"])])
    logs = [chill_log(draw, windows, kind) for kind in kinds]
    found = [chill_outcome(log, rules) for log in logs]
    words = not numbered(rules)
    options = [
        option(
            log.words,
            right=outcome == "met",
            says=_NO_LOG if words else _OF_A_LOG.get(outcome, "This log proves your rule. Count again."),
            safety=outcome != "met",
            name=f"log {place}: {outcome}",
        )
        for place, (log, outcome) in enumerate(zip(logs, found, strict=True), start=1)
    ]
    none = "met" not in found
    options.append(
        option(
            "None of these logs proves it",
            right=none,
            says="" if none else "At least one of the logs does prove your rule.",
            name="none",
        )
    )
    return several(
        draw,
        f"{all_told(rules, profile, 'the chill')} Each logger wrote every 2 min, and the core went on "
        "falling. Which logs prove your rule? Pick all of them.",
        options,
        hints=["Where does the clock of your rule start?", "Is the log whole? Is each time short enough?"],
        worked=" ".join(
            f"{log.words}: {'the rule has no number' if words else outcome}."
            for log, outcome in zip(logs, found, strict=True)
        )
        + " Hold and report what is not met or not proven.",
    )


_NO_LOG = "Your rule gives no number of minutes. So no log can prove it: hold and ask."


@exercise(
    "By your own rule: how warm may the store read?",
    criteria=["CHL-K01", "PLS-K03"],
    prepares_for=["CHL-P02", "PLS-P04"],
    version=2,
)
def own_store_reading(draw: Draw, profile: Profile) -> Question:
    """Give the warmest reading that still proves the kitchen's own rule for the store."""
    rules = numbered(profile.answering("store"))
    rule = min(rules, key=lambda each: each.maximum if each.maximum is not None else 99.0)
    limit_c = float(rule.maximum or 0.0)
    error_c = draw.step(0.2, 0.9, 0.1)
    truth = round(limit_c - error_c, 2)
    frozen = "frozen " if rule.quantity == "frozen_store_temp_c" else ""
    who = draw.pick(["Femi", "Oisín", "Tomasz"])
    return number(
        f"{all_told(rules, profile, 'the store')} {who} checks the {frozen}store with a probe. Its stated "
        f"error is {error_c:g} °C. What is the warmest reading that still proves the rule? Give 1 decimal.",
        truth,
        "°C",
        one_sided="at most",
        far=round(truth - 0.2, 2),
        decimals=1,
        slips=[
            Slip("gave the limit", limit_c, "At the limit the probe may be wrong, and the store too warm."),
            Slip(
                "added the error",
                round(limit_c + error_c, 2),
                "You let the error help you. It must count against you.",
            ),
        ],
        hints=["The probe may read too cold. By how much?", "Take the error from the limit of your rule."],
        worked=f"{_signed(limit_c)} − {error_c:g} = {_signed(truth)} °C. "
        f"The limit: {where_of(rule, profile)}. A warmer reading does not prove it: hold and report.",
    )


_PACKED: tuple[Pack, ...] = ("air", "vacuum")
_MADE = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday")


@exercise(
    "By your own rule: the last day on the label", criteria=["PLS-K02"], prepares_for=["PLS-P03"], version=2
)
def own_last_day(draw: Draw, profile: Profile) -> Question:
    """Give the last use-by day that the kitchen's own rule and plan allow."""
    asked = {pack: judged(profile.answering("life", pack=pack)) for pack in _PACKED}
    pack = draw.pick([each for each in _PACKED if numbered(asked[each])] or [*filter(asked.get, _PACKED)])
    rules, packed = asked[pack], PACKS[pack]
    allowed = most_days(rules)
    made = draw.whole(3, 9)
    plan = draw.whole(max(2, allowed - 2), allowed + 4) if allowed else draw.whole(4, 12)
    plan = min(plan, _LONGEST_PLAN)
    life = min(plan, allowed) if allowed else plan
    slips = [
        Slip("counted from the next day", float(made + life), "The day of making is day 1. Count it too."),
        Slip("gave the days", float(life), "That is how many days it lives. Which day of the month is last?"),
    ]
    if allowed and plan != allowed:
        longer = max(plan, allowed)
        says = (
            "The plan may be shorter than the rule, and then it wins."
            if plan < allowed
            else "The rule is a ceiling. A plan cannot give more."
        )
        slips.append(Slip("took the longer life", float(made + longer - 1), says))
    return number(
        f"{all_told(rules, profile, f'the life of fish {packed}')} This fish is {packed}. Your kitchen’s "
        f"written plan gives it {plan} days. The batch was made on {draw.pick(_MADE)}, the {_ordinal(made)}. "
        "Count the day of making as day 1. Which day of the month is the last use-by day that you may print? "
        "Write it as a number.",
        float(made + life - 1),
        "",
        one_sided="at most",
        abs_tol=0.01,
        decimals=0,
        slips=slips,
        hints=["Which is shorter, the rule or the plan?", "Day 1 is the day of making. Count on from there."],
        worked=(
            f"The rule allows {' and '.join(limit_words(rule) for rule in rules)}, the plan {plan} days. The "
            f"shorter wins: {life} days."
            if allowed
            else f"The rule has no number of days. So the written plan decides: {life} days."
        )
        + f" Day 1 is the {_ordinal(made)}, so day {life} is the {_ordinal(made + life - 1)}. "
        f"The rule: {where_of(rules[0], profile)}. A competent person sets the date.",
    )


def most_days(rules: Sequence[Rule]) -> int:
    """Return the longest life in whole days that every rule allows, up to 30; 0 if no rule has a number.

    Examples
    --------
    >>> from kit import rules
    >>> most_days(rules.load("uk").answering("life", pack="vacuum"))
    10
    """
    if not numbered(rules):
        return 0
    fit = [
        days
        for days in range(1, _LONGEST_DAYS + 1)
        if together([judge_rule({"shelf_life_days": float(days)}, rule) for rule in rules]) == "met"
    ]
    return max(fit, default=1)


def _ordinal(day: int) -> str:
    ending = "th" if 10 < day < 20 else {1: "st", 2: "nd", 3: "rd"}.get(day % 10, "th")
    return f"{day}{ending}"
