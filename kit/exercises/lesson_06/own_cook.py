"""Lesson 6, at the cabinet's door: is the batch cooked by the rule of the apprentice's own kitchen?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.exercises.engine.kitchen_rules import (
    SHORT_MIN,
    all_told,
    hardest_row,
    judged,
    limit_words,
    numbered,
    together,
    under,
    where_of,
)
from kit.marking.authored import option
from kit.marking.build import number, one, recommend
from kit.marking.draw import Draw
from kit.marking.model import Decision, Picture, Question, Slip
from kit.process.physics.trace import Trace
from kit.rules import PROBE_ERROR_C, HoldRow, Profile, Rule, judge_rule

_CLOCK_MIN = 5.0
"""Of a list of rows, those with at least so many minutes can be read off a log. [min]"""
_COOL_C = 62.0
"""Too cool, for some minutes, to come near an equal treatment. [°C]"""
_EVERY_MIN = 2

READS = {
    "met": "Met: the log proves it",
    "not met": "Not met: the log shows a miss",
    "near": "Cannot tell: the probe may be wrong by that much",
    "gap": "Cannot tell: readings are missing",
    "equal": "Cannot tell: a competent person must say whether it is equal",
    "words": "Cannot tell: the rule has no number",
}
"""What an apprentice can read off a log, by a short name."""

_LOOK_AGAIN = {
    "met": "Look again. Is the whole time there, at the core, by more than the probe’s error?",
    "not met": "Look again. The readings do not show a miss for sure.",
    "near": "Look again. How far is the core from the limit? The probe may be wrong by 0.5 °C.",
    "gap": "Look again. Is there a reading every 2 min?",
    "equal": "Look again. The log meets the limit itself, or is far too cool for that, or too near to it.",
    "words": "Your rule does have a number. Read it again.",
}
_NO_NUMBER = "Your rule gives no number. So no log can prove it. Hold the fish and ask the competent person."


@dataclass(frozen=True)
class _Log:
    """A drawn record, and what the rules say of it: a key of ``READS``."""

    case: str
    reads: str
    picture: Picture


def _base(draw: Draw, rules: Sequence[Rule]) -> HoldRow | None:
    """Return the core temperature and time that the record is drawn around."""
    row = hardest_row(rules)
    if len(rules) == 1 and len(rules[0].holds) > 1:
        long = [each for each in rules[0].holds if each.minutes >= _CLOCK_MIN]
        return draw.pick(long) if long else row
    return row


def cases(rules: Sequence[Rule], row: HoldRow | None) -> tuple[str, ...]:
    """Return the kinds of record that a rule can meet or miss: no gap breaks what only has to be reached."""
    if row is None:
        return ("words",)
    equal = any(rule.equal for rule in rules)
    if row.minutes >= SHORT_MIN and not equal:
        return ("met", "broken", "gap", "near")
    return ("met", "near", "low", "equal") if equal and row.minutes < SHORT_MIN else ("met", "near", "low")


def _draw_log(draw: Draw, profile: Profile) -> _Log:
    rules = judged(profile.answering("cook"))
    row = _base(draw, rules)
    case = draw.pick(cases(rules, row))
    limit_c = row.temp_c if row else 66.0
    equal = any(rule.equal for rule in rules)
    low_c = min(limit_c - 2.2, _COOL_C if equal else limit_c)
    time, core = _record(draw, case, limit_c, row.minutes if row else 0.0, low_c)
    reads = reading(case, tuple(time), tuple(core), profile)
    from_c = min(limit_c, low_c) - 10
    told_c = "; ".join(
        f"no reading at {minute:g} min" if value is None else f"{value:g} °C at {minute:g} min"
        for minute, value in zip(time, core, strict=True)
        if value is None or value > from_c
    )
    line = f" A dashed line marks {limit_c:g} °C." if row else ""
    data = {"time_min": time, "core_c": core, "y_from_c": from_c, **({"limit_c": limit_c} if row else {})}
    return _Log(case, reads, Picture("cook-record", data, f"A core record every 2 min.{line} {told_c}."))


def _record(
    draw: Draw, case: str, limit_c: float, need_min: float, low_c: float
) -> tuple[list[float], list[float | None]]:
    """Return a record every 2 min: the come-up, then what this case does around the limit."""
    come_up = draw.step(36, 48, 2)
    hold = _EVERY_MIN * int(need_min / _EVERY_MIN + draw.pick([4, 5, 6]))
    middle, gap = come_up + 2 * (hold // 4), draw.pick([12, 14, 16])
    lift = draw.step(1.2, 1.8, 0.1)
    top = {"near": limit_c + 0.2, "low": low_c, "equal": limit_c - 2.5}.get(case, limit_c + lift)
    time = [float(minute) for minute in range(0, come_up + hold + 1, _EVERY_MIN)]
    core: list[float | None] = []
    for minute in time:
        wobble = draw.step(-0.1, 0.1, 0.1)
        if minute < come_up:
            rising = top - 58 * ((come_up - minute) / come_up) ** 1.5
            core.append(round(min(rising, limit_c - 0.8), 1))
        elif case == "gap" and abs(minute - middle) <= gap / 2 - 2:
            core.append(None)
        elif case == "broken" and abs(minute - middle) <= 4:
            core.append(round(limit_c - 1.6 + wobble, 1))
        else:
            core.append(round(top + wobble, 1))
    return time, core


def reading(case: str, time: tuple[float, ...], core: tuple[float | None, ...], profile: Profile) -> str:
    """Return what the kitchen's own rules for the cook say of a record: a key of ``READS``."""
    rules = judged(profile.answering("cook"))
    values = np.array([np.nan if value is None else value for value in core], dtype=float)
    trace = Trace(np.array(time), values)
    outcome = together([judge_rule(trace, rule) for rule in rules])
    if not numbered(rules):
        return "words"
    if outcome != "cannot tell":
        return outcome
    if case in ("near", "gap", "equal"):
        return case
    return "equal" if any(rule.equal for rule in rules) else "near"


def _offered(rules: Sequence[Rule]) -> list[str]:
    return [name for name in READS if name != "equal" or any(rule.equal for rule in rules)]


_SAT = f"The probe sat in the core of the thickest piece. Its stated error is {PROBE_ERROR_C:g} °C."


@exercise(
    "Does the log meet your own rule?", criteria=["COK-K04", "COK-K01"], prepares_for=["COK-P02", "COK-P05"]
)
def own_cook_log(draw: Draw, profile: Profile) -> Question:
    """Read a core record against the kitchen's own rule for the cook."""
    rules = judged(profile.answering("cook"))
    log = _draw_log(draw, profile)
    words = log.reads == "words"
    return one(
        draw,
        f"Before the fish goes to the cold: is it cooked? {all_told(rules, profile, 'the cook')} {_SAT} "
        "It logs every 2 min. Read the log. What does it say about the rule?",
        [
            option(READS[name], right=name == log.reads, says=_NO_NUMBER if words else _LOOK_AGAIN[name])
            for name in _offered(rules)
        ],
        picture=log.picture,
        hints=[
            "Read the rule first. Does it have a number? Does it ask for a time?",
            "Then read the log: how hot, for how long, with no gap, and by more than the probe’s error?",
        ],
        worked=f"{READS[log.reads]}. {_where(rules, profile)}"
        + ("" if log.reads == "met" else " Not met or not proven: hold the batch and report it."),
    )


def _where(rules: Sequence[Rule], profile: Profile) -> str:
    """Say each rule with its place, and what is to know about it: for whom it was written, for instance."""
    return " ".join(
        f"The rule: {limit_words(rule)} ({where_of(rule, profile)}). {rule.note}".strip() for rule in rules
    )


_REASONS = {
    "met": "The log proves the rule",
    "not met": "The log shows that the rule was missed",
    "near": "So near the limit that the probe’s error decides",
    "gap": "Readings are missing, so nothing is proven",
    "equal": "Perhaps an equal treatment: a competent person must say",
    "words": "No number: a competent person must say what counts",
}
_LOOKS = option(
    "The fish looks and smells well cooked", says="Looks and smell prove nothing about the core.", name="look"
)


@exercise(
    "By your own rule: may it leave the heat?",
    criteria=["COK-K04", "COK-K01"],
    prepares_for=["COK-P05"],
    version=3,
)
def own_cook_batch(draw: Draw, profile: Profile) -> Question:
    """Read a record against the kitchen's own rule, and recommend."""
    rules = judged(profile.answering("cook"))
    log = _draw_log(draw, profile)
    fish, kg, stood = any_fish(draw), draw.step(6, 18, 1), draw.chance(0.5)
    lost = log.reads == "not met" and stood
    note = (
        f"Then the power failed. The fish stood at {draw.step(22, 26, 1)} °C for {draw.step(4, 6, 1)} h."
        if lost
        else "The fish is still in the hot cabinet."
    )
    others = draw.sample([name for name in _offered(rules) if name != log.reads], 3)
    reasons = [
        option(
            _REASONS[name],
            right=name == log.reads,
            says=_NO_NUMBER if log.reads == "words" else _LOOK_AGAIN[name],
        )
        for name in (log.reads, *others)
    ]
    decision, wrong = _decide(log.reads, lost)
    return recommend(
        draw,
        f"{kg} kg of {fish} wait at the door of the cabinet. {all_told(rules, profile, 'the cook')} {_SAT} "
        f"It logs every 2 min. {note} Read the log. What do you recommend to Chef, and why?",
        decision,
        [*reasons, _LOOKS],
        wrong,
        picture=log.picture,
        hints=["Does the log prove your rule?", "Go on only with proof. Reject only what cannot be saved."],
        worked=f"{_REASONS[log.reads]}. {_where(rules, profile)} You recommend. A competent person decides.",
    )


def _decide(reads: str, lost: bool) -> tuple[Decision, dict[Decision, str]]:
    if reads == "met":
        proven = "The log does prove the rule. Read the limit and the minutes once more."
        return "go on", {"hold": proven, "reject": proven}
    go_on = "No proof, no pass. A limit that is missed or not proven never goes on."
    if lost:
        return "reject", {
            "go on": go_on,
            "hold": "It missed the rule and stood warm for hours. Poisons may be in it, and heat does not "
            "remove them. Recommend to reject it.",
        }
    return "hold", {
        "go on": go_on,
        "reject": "Rejecting is not needed yet. It is hot, it may be put right, and Chef decides.",
    }


@exercise("What is still missing by your own rule?", criteria=["COK-K01"], prepares_for=["COK-P02"])
def own_cook_missing(draw: Draw, profile: Profile) -> Question:
    """Say how many minutes, or how many degrees, are missing until the rule is met for sure."""
    rule = draw.pick(numbered(profile.answering("cook")) or numbered(profile.answering("store")))
    long = [row for row in rule.holds if row.minutes >= _CLOCK_MIN]
    return _minutes(draw, profile, rule, draw.pick(long)) if long else _degrees(draw, profile, rule)


def _minutes(draw: Draw, profile: Profile, rule: Rule, row: HoldRow) -> Question:
    core_c = round(row.temp_c + PROBE_ERROR_C + draw.pick([0.4, 0.6, 0.8]), 1)
    held = float(draw.step(2, int(row.minutes) - 2, 1))
    come_up, start = draw.step(30, 45, 5), draw.step(600, 720, 5)
    seen = judge_rule({"core_temp_c": core_c, "hold_min": held}, replace(rule, rows=(row,), equal=None))
    need = float(seen.limit or 0.0)
    left = need - float(seen.measured or 0.0)
    in_at, then, now = (_clock(start + at) for at in (0, come_up, come_up + int(held)))
    slips = [
        Slip("gave the time held", held, "That is how long it was held so far. How much is still missing?"),
        Slip("started again", need, "There was no break. The minutes held so far count."),
        Slip(
            "counted from the door",
            need - held - come_up,
            "You started the clock when the fish went in. The hold starts when the core is at the limit.",
        ),
    ]
    colder = [each.minutes for each in rule.holds if each.temp_c > row.temp_c and each.minutes > held]
    if colder:
        slips.append(
            Slip(
                "took the row above",
                max(colder) - held,
                "That row is for a hotter core. Take the row at or below your core.",
            )
        )
    return number(
        f"{all_told([rule], profile, 'the cook')} The fish went in at {in_at}. "
        f"From {then} until now the core was at {core_c:g} °C, without a break. "
        f"The probe’s stated error is {PROBE_ERROR_C:g} °C. It is {now}. "
        "How many more minutes must it hold, at least?",
        left,
        "min",
        one_sided="at least",
        far=left + 1.0,
        decimals=0,
        slips=slips,
        hints=["Which minutes count for the hold?", "How many does the rule ask for at this core?"],
        worked=f"From {then} to {now}: {held:g} min. The rule asks for {need:g} min at {row.temp_c:g} °C or "
        f"more ({where_of(rule, profile)}). {need:g} − {held:g} = {left:g} min.",
    )


def _sure_from(rule: Rule) -> float:
    """Return the temperature that the rule asks for at once. [°C]"""
    return float(rule.maximum or 0.0) if rule.form == "value" else rule.holds[0].temp_c


def _degrees(draw: Draw, profile: Profile, rule: Rule) -> Question:
    cold = rule.form == "value"
    sign = -1.0 if cold else 1.0
    limit_c = _sure_from(rule)
    reads_c = round(_sure_from(under(rule, profile)) - sign * draw.step(1.6, 5.2, 0.1), 1)
    away = sign * (limit_c - reads_c)
    truth = round(away + PROBE_ERROR_C, 2)
    point = "the store" if cold else "the cook"
    frozen = rule.quantity == "frozen_store_temp_c"
    fish = "middle of the frozen fish" if frozen else "warmest fish of the store"
    what, verb = (fish, "fall") if cold else ("core", "rise")
    return number(
        f"{all_told([rule], profile, point)} The probe in the {what} reads {_signed(reads_c)} °C. "
        f"Its stated error is {PROBE_ERROR_C:g} °C. How many degrees must the reading still {verb}, at "
        "least, to be sure? Give 1 decimal.",
        truth,
        "°C",
        one_sided="at least",
        far=truth + 0.3,
        difference=True,
        decimals=1,
        slips=[
            Slip(
                "forgot the probe's error",
                round(away, 2),
                "At the limit itself the probe may still be wrong. Go past the limit by its error.",
            ),
            Slip(
                "took the error off",
                round(away - PROBE_ERROR_C, 2),
                "You let the error help you. It must count against you.",
            ),
        ],
        hints=["Which reading is sure, however wrong the probe is?", "Then take the reading now from it."],
        worked=f"The limit is {_signed(limit_c)} °C ({where_of(rule, profile)}). To be sure the reading "
        f"must be {PROBE_ERROR_C:g} °C past it: {_signed(limit_c + sign * PROBE_ERROR_C)} °C. "
        f"From {_signed(reads_c)} °C that is {truth:g} °C."
        + (" Then ask the competent person about the time." if rule.minutes else ""),
    )


def _signed(temp_c: float) -> str:
    return f"{temp_c:.4g}".replace("-", "−")


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"
