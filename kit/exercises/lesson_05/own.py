"""Lesson 5, whose rule: another kitchen's card, and the rule of the apprentice's own kitchen."""

from __future__ import annotations

from kit.exercises.engine import exercise
from kit.exercises.engine.kitchen_rules import (
    all_told,
    judged,
    limit_of,
    limit_words,
    numbered,
    where_of,
)
from kit.marking.authored import AuthoredOption, option
from kit.marking.build import one
from kit.marking.draw import Draw
from kit.marking.model import Question
from kit.rules import Profile, Rule, load

_ELSEWHERE = ("ie", "uk", "us-processor", "us-retail")
"""Whose cards turn up. Named on purpose: each has a number, and a new profile changes no old question."""
_ASK = "The rule has no number: ask the competent person which limit counts"


@exercise("Whose limit counts in your kitchen?", criteria=["COK-K01"], prepares_for=["COK-P02"], version=2)
def own_rule_counts(draw: Draw, profile: Profile) -> Question:
    """A card from another kitchen meets the kitchen's own rule for the cook."""
    mine = judged(profile.answering("cook"))
    theirs = load(draw.pick([name for name in _ELSEWHERE if name != profile.id]))
    card = draw.pick(numbered(theirs.answering("cook", plate=True)))
    who = draw.pick(["Femi", "Oisín", "Tomasz"])
    return one(
        draw,
        f"{who} comes from a kitchen that works under: {theirs.title}. The card from there says: "
        f"{limit_of(card)}. {all_told(mine, profile, 'the cook')} {who} cooks in your kitchen now. "
        "What counts?",
        _options(mine, card),
        hints=["In which kitchen is this batch cooked?", "Read the rule of that kitchen, with its number."],
        worked=" ".join(f"{limit_words(rule)} ({where_of(rule, profile)})." for rule in mine)
        + (" Your kitchen has made it tighter, and that counts." if any(r.tightened for r in mine) else "")
        + " A card from elsewhere counts there. Ask Chef before you change anything.",
    )


def _options(mine: tuple[Rule, ...], card: Rule) -> list[AuthoredOption]:
    has_number = bool(numbered(mine))
    own = "; and also ".join(limit_words(rule) for rule in mine) if has_number else _ASK
    found = [
        option(own[0].upper() + own[1:], right=True, name="own rule"),
        option(
            f"As on the card: {limit_words(card)}",
            says="That limit counts in the other kitchen. Here your own rule counts.",
            name="the other card",
        ),
        option(
            "Whichever of the two is done sooner",
            says="A limit is not a choice of the day. Your kitchen’s rule counts.",
            name="the sooner one",
        ),
        option(
            "Neither: cook until it looks done",
            says="Looks prove nothing about the core.",
            name="looks done",
        ),
    ]
    if any(rule.tightened for rule in mine):
        says = "Your kitchen has made this limit tighter. The tighter one counts."
        found.append(
            option("The rule under it, as before it was made tighter", says=says, name="the rule under it")
        )
    if has_number:
        found.append(option(_ASK, says="Your rule does have a number. Read it again.", name="no number"))
    return found
