"""Whose limit a task works by: the kitchen's own wherever it has one, and never another's without its name.

A task that reads a record works by a card. The card is the kitchen's own: its rule, or that rule held for
longer. A task that teaches the text of another place says so, and asks by that text.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from kit.exercises.engine.kitchen_rules import limit_of, numbered, source_of
from kit.marking.draw import Draw
from kit.rules import HoldRow, Profile, Rule, load

_HELD_MIN = (5.0, 8.0, 10.0, 12.0, 15.0, 20.0)
_MADE_UP = (HoldRow(72.0, 10.0), HoldRow(74.0, 5.0), HoldRow(76.0, 10.0))


class CookCard(NamedTuple):
    """A core temperature [°C] and a hold [min], in words, and where both come from, in a sentence."""

    core_c: float
    minutes: float
    words: str
    whose: str


def cook_card(draw: Draw, profile: Profile, *, least_min: float = 2.0, hottest_c: float = 90.0) -> CookCard:
    """Return the card of a cook under the kitchen's own rules.

    A rule with several rows gives one of them. Where the rule asks for no hold, or a shorter one than
    ``least_min``, the card holds it for some minutes more. Where the rules give no number, or one above
    ``hottest_c``, the card is made up, and says so.

    Examples
    --------
    >>> from kit import rules
    >>> card = cook_card(Draw(1), rules.load("us-processor"))
    >>> card.words
    '62.8 °C or more for 30 min without a break'
    >>> card.whose
    'The card is your own rule (United States, fish processors): 62.8 °C or more for 30 min.'
    >>> cook_card(Draw(1), rules.load("codex")).whose
    'The card is made up: your own rules (Codex Alimentarius) give no number for the cook.'
    """
    own = [rule for rule in numbered(profile.answering("cook")) if rule.holds]
    row = _row(draw, own)
    if row is None or row.temp_c > hottest_c:
        made_up = draw.pick(_MADE_UP)
        lacks = "give no number for the cook" if row is None else "ask for a hotter core"
        return _card(made_up, f"The card is made up: your own rules ({profile.title}) {lacks}.")
    asked = "; ".join(limit_of(rule) for rule in own)
    if row.minutes < least_min:
        held = HoldRow(
            row.temp_c, draw.pick([each for each in _HELD_MIN if each >= least_min] or [least_min])
        )
        return _card(held, f"The card is tighter than your own rule ({profile.title}): {asked}.")
    return _card(row, f"The card is your own rule ({profile.title}): {asked}.")


def _card(row: HoldRow, whose: str) -> CookCard:
    return CookCard(row.temp_c, row.minutes, f"{row.words} without a break", whose)


def _row(draw: Draw, own: list[Rule]) -> HoldRow | None:
    """Return a row that meets every rule: one of the list where there is one rule, else the hardest."""
    if not own:
        return None
    if len(own) == 1:
        longer = [row for row in own[0].holds if row.minutes >= 2] or list(own[0].holds)
        return draw.pick(longer)
    rows = [rule.holds[0] for rule in own]
    return HoldRow(max(row.temp_c for row in rows), max(row.minutes for row in rows))


def by_that_text(rule: Rule, lender: Profile, profile: Profile) -> str:
    """Return the sentence that says whose text a task asks by, and whether it is the kitchen's own.

    Examples
    --------
    >>> from kit import rules
    >>> ie, us = rules.load("ie"), rules.load("us-retail")
    >>> print(by_that_text(ie["ie-fridge"], ie, ie))
    The text: Advice for businesses about food temperatures, Food Safety Authority of Ireland. It is your own.
    >>> print(by_that_text(ie["ie-fridge"], ie, us))
    The text: Advice ... Ireland. It is not your own (United States, ...): answer by it all the same.
    """
    own = any(each.source == rule.source for each in profile)
    label = f" ({rule.label})" if rule.label else ""
    said = "It is your own." if own else f"It is not your own ({profile.title}): answer by it all the same."
    return f"The text: {source_of(rule, lender)}{label}. {said}"


def texts_named(texts: Sequence[tuple[Rule, Profile]], profile: Profile) -> str:
    """Return the sentence that names several texts that a task compares, and whose each of them is.

    Examples
    --------
    >>> from kit import rules
    >>> ie, uk = rules.load("ie"), rules.load("uk")
    >>> print(texts_named([(ie["ie-cook-75"], ie), (uk["uk-cook-equal"], uk)], ie))
    The texts: Guidance Note 15: ... (Ireland, your own); Cooking advice ... (United Kingdom, not your own).
    """
    own = {rule.source for rule in profile}
    said = {
        f"{lender.sources[rule.source].title} "
        f"({f'{profile.title}, your own' if rule.source in own else f'{lender.title}, not your own'}"
        f"{'; ' + rule.label if rule.label else ''})": None
        for rule, lender in texts
    }
    return f"The texts: {'; '.join(said)}."


class Lent(NamedTuple):
    """A rule to work by, the profile that it stands in, and the sentence that says whose it is."""

    rule: Rule
    lender: Profile
    says: str


def own_or_lent(profile: Profile, rules_of: str, lender: str, *, pack: str = "", quantity: str = "") -> Lent:
    """Return the kitchen's own rule with a number at a point, else the one of another place, named.

    Examples
    --------
    >>> from kit import rules
    >>> found = own_or_lent(rules.load("us-retail"), "store", "ie")
    >>> found.rule.id, found.says[:9]
    ('us-retail-cold-hold', 'The text:')
    >>> own_or_lent(rules.load("codex"), "store", "ie", quantity="store_temp_c").rule.id
    'ie-store-3'
    """
    for each in (profile, load(lender)):
        for rule in numbered(each.answering(rules_of, pack=pack)):
            if not quantity or rule.quantity == quantity:
                return Lent(rule, each, by_that_text(rule, each, profile))
    raise LookupError(rules_of)


def freezing(profile: Profile) -> Lent:
    """Return the kitchen's rule on freezing against parasites, the longest at the least cold; else Ireland's.

    Examples
    --------
    >>> from kit import rules
    >>> [freezing(rules.load(name)).rule.id for name in ("uk", "us-retail", "codex")]
    ['eu-parasite-freeze-24h', 'us-retail-parasite-7d', 'eu-parasite-freeze-24h']
    """
    for each in (profile, load("ie")):
        found = [rule for rule in each if rule.purpose == "parasites" and rule.holds and rule.holds[0].cold]
        if found:
            rule = max(found, key=lambda one: one.holds[0].minutes)
            return Lent(rule, each, by_that_text(rule, each, profile))
    raise LookupError("freezing")
