"""Lesson 5, whose rule: another kitchen's card, and the rule of the apprentice's own kitchen."""

from __future__ import annotations

from collections.abc import Sequence

from kit.exercises.engine import exercise
from kit.exercises.engine.kitchen_rules import (
    all_told,
    judged,
    limit_of,
    limit_words,
    numbered,
    together,
    under,
    where_of,
)
from kit.marking.authored import AuthoredOption, option
from kit.marking.build import one
from kit.marking.draw import Draw
from kit.marking.model import Question
from kit.rules import PROBE_ERROR_C, Profile, Rule, judge_rule, load
from kit.rules.model import Answer

_ELSEWHERE = ("ie", "uk", "us-processor", "us-retail")
"""Whose cards turn up. Named on purpose: each has a number, and a new profile changes no old question."""
_ASK = "The rule has no number: ask the competent person which limit counts"


_MET = "Fit to go on: your own rule is met"
_CARD = "Fit to go on: the limit of the other card counts"
_MISSED = "Hold and report: your own rule is not met"
_DOUBT = "Hold and report: your own rule is not proven"
_TRUTHS = {"met": _MET, "not met": _MISSED, "cannot tell": _DOUBT}


@exercise("Whose limit counts in your kitchen?", criteria=["COK-K01"], prepares_for=["COK-P02"], version=4)
def own_rule_counts(draw: Draw, profile: Profile) -> Question:
    """A batch is judged by the kitchen's own rule, whatever a card from elsewhere says."""
    mine = judged(profile.answering("cook"))
    theirs = load(draw.pick([name for name in _ELSEWHERE if name != profile.id]))
    card = draw.pick(numbered(theirs.answering("cook", plate=True)))
    who = draw.pick(["Femi", "Oisín", "Tomasz"])
    core_c, minutes, outcome = _reading(draw, mine, card, profile)
    truth = _TRUTHS[outcome] if numbered(mine) else _ASK
    held = f"for {minutes:g} min" if minutes else "for a moment"
    return one(
        draw,
        f"{who} comes from a kitchen that works under: {theirs.title}. The card from there says: "
        f"{limit_of(card)} (from: {theirs.sources[card.source].title}). "
        f"{all_told(mine, profile, 'the cook')} {who} cooks in your kitchen now. "
        f"The log: {core_c:g} °C {held} at the core. The probe’s stated error is {PROBE_ERROR_C:g} °C. "
        "What do you say?",
        _options(truth, bool(numbered(mine))),
        hints=["In which kitchen is this batch cooked?", "Put the log beside the rule of that kitchen."],
        worked=f"{truth}. "
        + " ".join(f"{limit_words(rule)} ({where_of(rule, profile)})." for rule in mine)
        + (" Your kitchen has made it tighter, and that counts." if any(r.tightened for r in mine) else "")
        + " A card from elsewhere counts there. Ask Chef before you change anything.",
    )


def _reading(draw: Draw, mine: Sequence[Rule], card: Rule, profile: Profile) -> tuple[float, float, Answer]:
    """Return a core temperature, its minutes, and what the kitchen's own rules say of them."""
    rows = [row for rule in (*mine, *(under(each, profile) for each in mine), card) for row in rule.holds]
    lift, more = draw.step(0.9, 1.9, 0.1), draw.whole(1, 4)
    tried = [(round(row.temp_c + lift, 1), float(round(row.minutes) + more)) for row in rows]
    tried += [(round(row.temp_c + 0.2, 1), float(round(row.minutes) + more)) for row in rows]
    tried += [(round(row.temp_c - lift, 1), float(round(row.minutes) + more)) for row in rows]
    tried += [(round(row.temp_c + lift, 1), float(int(row.minutes * 0.7))) for row in rows if row.minutes > 2]
    tried += [(59.0 + lift, float(more))]
    found: dict[Answer, list[tuple[float, float]]] = {}
    for core_c, minutes in dict.fromkeys(tried):
        values = {"core_temp_c": core_c, "hold_min": minutes}
        said = together([judge_rule(values, under(rule, profile)) for rule in mine])
        found.setdefault(said, []).append((core_c, minutes))
    core_c, minutes = draw.pick(found[draw.pick(sorted(found))])
    values = {"core_temp_c": core_c, "hold_min": minutes}
    return core_c, minutes, together([judge_rule(values, rule) for rule in mine])


def _options(truth: str, has_number: bool) -> list[AuthoredOption]:
    """Return what may be said of the batch; each wrong one with its idea."""
    says = {
        _MET: "Put the log beside your own rule again, and let the probe’s error count against you."
        if has_number
        else "Your rule has no number, so no log meets it. Ask which limit counts.",
        _CARD: "That limit counts in the other kitchen. Here your own rule counts.",
        _MISSED: "The log does not show a miss of your own rule for sure. Read both again."
        if has_number
        else "Your rule has no number, so no log misses it. Ask which limit counts.",
        _DOUBT: "The log is clear of your own limit, or shows a miss for sure. Read both again.",
        _ASK: "Your rule does have a number. Read it again.",
    }
    offered = [_MET, _CARD, _MISSED, _DOUBT if has_number else _ASK]
    return [option(text, right=text == truth, says=says[text]) for text in offered]
