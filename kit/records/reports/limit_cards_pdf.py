"""Cards of A6 for the wall: one limit of the kitchen each, large, with its source."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

from kit.exercises.engine.kitchen_rules import where_of
from kit.records.reports import pdf_style
from kit.records.reports.pdf_text import text
from kit.rules import STEPS, Profile, Rule

_MISSED = {
    "tools": "Outside it? Put the probe aside, label it, and tell the person in charge.",
    "air": "Over it, or an alarm? Everybody out. Tell the person in charge. Nobody goes back in before "
    "they say.",
}
_FISH = "Missed, or not proven? Hold the fish, keep it safe, label it, and tell the person in charge."
_WITHOUT = "Your own rules give no number here. Ask the person in charge before you go on."
_ON_THE_WALL = (
    *("cold", "cook", "chill", "store", "life", "salt", "salt-air"),
    *("probe-ice", "probe-boil", "air-8h"),
)
_SHORT, _MIDDLE = 30, 90
"""How many characters of a limit fit in the largest letters, and in those below."""
_WIDE_MM = 105 - 2 * pdf_style.MARGIN_MM


def limit_cards_pdf(
    profile: Profile, *, kitchen: str = "", on: date | None = None, now: datetime | None = None
) -> bytes:
    """Return a card for each limit of a kitchen's own day, one a page.

    Parameters
    ----------
    profile : Profile
        The rules of the kitchen, with its house limits.
    kitchen : str
        Its name.
    on : date, optional
        The day whose law counts. Default: today.
    now : datetime, optional
        When it is made, with a zone. Default: the clock.
    """
    moment = now or datetime.now(UTC)
    story: list[Any] = []
    for step, rule in limits_of(profile, on):
        story += [*_card(step, rule, profile, kitchen), pdf_style.new_page()]
    foot = f"Rules {profile.id} {profile.fingerprint[:8]}; printed {moment.astimezone():%Y-%m-%d}"
    return pdf_style.as_pdf(story[:-1], pdf_style.Paper(f"Limits: {profile.title}", moment, foot), size="A6")


def limits_of(profile: Profile, on: date | None = None) -> Iterator[tuple[str, Rule]]:
    """Yield each limit of the day once, with the step that it belongs to, in the order of the day.

    Examples
    --------
    >>> from kit import rules
    >>> [rule.id for _, rule in limits_of(rules.load("uk"))][:3]
    ['uk-cook-equal', 'uk-chill-start-30', 'uk-chill-90']
    """
    found = {rule.id: rule for point in _ON_THE_WALL for rule in profile.answering(point, on=on)}
    order = list(STEPS)
    for rule in sorted(found.values(), key=lambda rule: order.index(rule.step)):
        yield STEPS[rule.step], rule


def _card(step: str, rule: Rule, profile: Profile, kitchen: str) -> list[Any]:
    packs = f"For fish packed in: {', '.join(rule.pack)}." if rule.pack else ""
    says = "" if rule.rows else rule.says  # a list is its own words
    return [
        text(kitchen or profile.title, "certificate small"),
        text(step, "card head"),
        text(rule.title, "sheet bold"),
        pdf_style.framed(_limit(rule), strong=True, width_mm=_WIDE_MM),
        *(text(words, "sheet") for words in (says, packs) if words),
        pdf_style.gap(1),
        text(_MISSED.get(rule.step, _FISH), "sheet bold"),
        pdf_style.gap(1),
        text(f"Source: {where_of(rule, profile)}.", "certificate small"),
    ]


def _limit(rule: Rule) -> list[Any]:
    """Return a limit in the largest letters that fit; a list row by row, for any one of them will do."""
    if not rule.has_number:
        return [text(_WITHOUT, "card small")]
    notes = [note for note in ("house limit" if rule.tightened else "", rule.label) if note]
    if len(rule.holds) > 1:
        rows = [*(row.words for row in rule.holds), *(["an equal treatment"] if rule.equal else [])]
        return [text("one of these:", "sheet"), *(text(row, "card middle") for row in (*rows, *notes))]
    limit = re.sub(r"(?<![\w–-])-(?=\d)", "−", rule.limit)
    size = "card" if len(limit) <= _SHORT else "card middle" if len(limit) <= _MIDDLE else "card small"
    return [text(limit, size), *(text(f"({note})", "sheet bold") for note in notes)]
