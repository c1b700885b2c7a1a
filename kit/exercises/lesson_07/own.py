"""Lesson 7, deviations at the limits of the apprentice's own kitchen: what is one, and what comes first."""

from __future__ import annotations

from dataclasses import dataclass

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.exercises.engine.kitchen_rules import (
    SHORT_MIN,
    all_told,
    judged,
    limit_of,
    numbered,
    source_of,
    under,
    under_profile,
    where_of,
)
from kit.marking.authored import AuthoredOption, Joined, option
from kit.marking.build import match, one
from kit.marking.draw import Draw
from kit.marking.model import Question
from kit.rules import PROBE_ERROR_C, Profile, Rule, judge_rule

_MET, _MISSED, _DOUBT = "Met", "Missed: a deviation", "Not proven: hold it and report"
_WORDS = {"met": _MET, "not met": _MISSED, "cannot tell": _DOUBT}
_LOOKS = ("good", "bad", "near")


@dataclass(frozen=True)
class _Reading:
    """One line of the day's record under a rule, and what the rule says of it."""

    words: str
    outcome: str


def _around(draw: Draw, rule: Rule, profile: Profile) -> Rule:
    """Return the rule with or without its house limit: a reading may meet the one and miss the other."""
    return draw.pick([rule, under(rule, profile)])


def _cook(draw: Draw, rule: Rule, around: Rule, look: str) -> _Reading:
    row = draw.pick(around.holds) if around.holds else None
    temp_c, need = (row.temp_c, row.minutes) if row else (66.0, 0.0)
    above = {"good": 1.4, "bad": -2.4, "near": 0.2}[look]
    core_c = round(temp_c + above + draw.step(0.0, 0.2, 0.1), 1)
    held = 0.0 if need < SHORT_MIN and look == "bad" else float(round(need + 1))
    if look == "bad" and need >= 5:  # hot enough, but too short
        core_c, held = round(temp_c + 1.4, 1), float(int(need * 0.7))
    outcome = judge_rule({"core_temp_c": core_c, "hold_min": held}, rule).outcome
    stayed = f"for {held:g} min" if held else "for a moment"
    return _Reading(f"Cook: {limit_of(rule)}. The core was at {core_c:g} °C {stayed}", outcome)


def _chill(draw: Draw, rule: Rule, around: Rule, look: str) -> _Reading:
    minutes = around.minutes or 120.0
    share = {"good": 0.8, "bad": 1.2, "near": 0.9}[look]
    took = float(5 * round(share * minutes / 5) + draw.pick([0, 5]))
    outcome = judge_rule({rule.id: took, "chill_start_min": took}, rule).outcome
    return _Reading(f"Chill: {limit_of(rule)}. It took {took:g} min", outcome)


def _store(draw: Draw, rule: Rule, around: Rule, look: str) -> _Reading:
    limit_c = float(around.maximum or 0.0)
    off = {"good": -1.2, "bad": 1.3, "near": 0.2}[look]
    store_c = round(limit_c + off + draw.step(0.0, 0.2, 0.1), 1)
    outcome = judge_rule({rule.quantity: store_c}, rule).outcome
    shown = f"{store_c:g}".replace("-", "−")
    return _Reading(f"Store: {limit_of(rule)}. The probe read {shown} °C", outcome)


_SAYS = {
    _MET: "Met needs proof. Put the reading beside the limit, and let the probe’s error count against you.",
    _MISSED: "Look again. A miss must be shown for sure, by more than the probe’s error.",
    _DOUBT: "Look again. There is a number, and the reading is clear of it.",
}


@exercise(
    "Your own limits: which lines are deviations?",
    criteria=["REC-K01", "REC-K03"],
    prepares_for=["REC-P01", "REC-P03"],
    version=2,
)
def own_readings_today(draw: Draw, profile: Profile) -> Question:
    """Join lines of the record with what the kitchen's own rules say of them."""
    cook, chill, store = (draw.pick(judged(profile.answering(point))) for point in ("cook", "chill", "store"))
    looks = draw.shuffle(_LOOKS)
    again = draw.pick([look for look in _LOOKS if look != looks[2]])
    lines = [
        _cook(draw, cook, _around(draw, cook, profile), looks[0]),
        _chill(draw, chill, _around(draw, chill, profile), looks[1]),
        _store(draw, store, _around(draw, store, profile), looks[2]),
        _store(draw, store, _around(draw, store, profile), again),
    ]
    pairs = {line.words: _WORDS[line.outcome] for line in lines}
    sources = list(dict.fromkeys(source_of(rule, profile) for rule in (cook, chill, store)))
    return match(
        draw,
        f"Four lines of today’s record, each after your own rule for it. The probe’s stated error is "
        f"{PROBE_ERROR_C:g} °C. Join each line with what it shows. {under_profile(profile)}. "
        f"{' '.join(f'Source: {source}.' for source in sources)}",
        pairs,
        [
            Joined(line, wrong, _SAYS[wrong], f"{place}: {wrong}")
            for place, line in enumerate(pairs, start=1)
            for wrong in _WORDS.values()
            if wrong != pairs[line]
        ],
        extra=list(_WORDS.values()),
        must=[line for line, outcome in pairs.items() if outcome != _MET],
        hints=[
            "Does the rule have a number at all?",
            "Is the reading past the limit by more than the error?",
        ],
        worked=" ".join(f"{line}: {outcome[0].lower()}{outcome[1:]}." for line, outcome in pairs.items())
        + " Missed or not proven: hold and report.",
    )


_GO = "Write it down as met, and let the fish go on"
_MISS = "Write it down as missed, hold the fish cold, tell Chef"
_OPEN = "Write it down as not proven, hold it cold, tell Chef"
_STEP_FOR = {"met": _GO, "not met": _MISS, "cannot tell": _OPEN}

_WRONG = (
    ("Measure until one reading fits, and write that down", "The first reading is true too. Write all."),
    ("Change the limit on the card, so that it fits", "Only a competent person changes a limit, in writing."),
    ("Throw the fish away before anybody sees it", "Hiding it helps nobody. Chef decides, on the record."),
    ("Let it go on, and tell Chef when the shift ends", "Fish in doubt waits for Chef. Tell Chef now."),
    ("Leave the line empty, as nobody can be sure", "What was seen is written, whatever it says."),
    ("Ask a friend to sign it, and let the fish go on", "A second name proves nothing about the fish."),
)


@exercise(
    "At your own limit: what do you do first?", criteria=["REC-K03"], prepares_for=["REC-P03"], version=3
)
def own_first_step(draw: Draw, profile: Profile) -> Question:
    """A reading at the kitchen's own limit: is it a deviation, and what comes first?"""
    found: dict[str, list[tuple[str, Rule, _Reading]]] = {}
    for point, read in (("chill", _chill), ("store", _store)):
        rule = draw.pick(judged(profile.answering(point)))
        base = under(rule, profile)
        for look in _LOOKS:  # twice the same numbers: as the house has it, and as the rule under it does
            line, plain = (read(draw.fork(look), each, base, look) for each in (rule, base))
            found.setdefault(plain.outcome, []).append((point, rule, line))
    point, rule, line = draw.pick(found[draw.pick(sorted(found))])
    shown = line.words.rsplit(". ", 1)[-1]
    return one(
        draw,
        f"{all_told([rule], profile, f'the {point}')} The record of today’s {any_fish(draw)}: "
        f"{shown[0].lower()}{shown[1:]}. The probe’s stated error is {PROBE_ERROR_C:g} °C. "
        "What do you do first?",
        _steps(draw, line.outcome, bool(numbered([rule]))),
        hints=["Is your rule met, and for sure?", "What keeps people safe while somebody decides?"],
        worked=f"By your rule this is: {line.outcome} ({where_of(rule, profile)}). "
        f"{_STEP_FOR[line.outcome]}." + ("" if line.outcome == "met" else " Chef decides, on the record."),
    )


def _steps(draw: Draw, outcome: str, has_number: bool) -> list[AuthoredOption]:
    says = {
        _GO: "Your rule is missed or not proven. That is a deviation: the fish never goes on by your word.",
        _MISS: "You may always stop. But this is no sure miss: put the reading beside the limit again.",
        _OPEN: "You may always stop. But here the reading is clear of the limit: read both again.",
    }
    if not has_number:
        says |= dict.fromkeys((_GO, _MISS), "Your rule has no number. So nobody knows yet: hold and ask.")
    right = _STEP_FOR[outcome]
    return [
        *(option(text, right=text == right, says=words) for text, words in says.items()),
        *(option(text, says=words) for text, words in draw.sample(_WRONG, 2)),
    ]
