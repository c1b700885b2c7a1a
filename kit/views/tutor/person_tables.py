"""The plain tables of one person's page: appeals, notes, and what other kitchens saw and decided."""

from __future__ import annotations

from typing import Any

from kit.records.reports.board_page import long_day
from kit.records.reports.person_page import PersonPage
from kit.views.tutor.pages import Block, table, title, words


def elsewhere(page: PersonPage) -> list[Block]:
    """Return what other kitchens saw and decided, told apart from what was seen here."""
    if not page.elsewhere:
        return []
    head = ("Kitchen", "Day", "Who", "What", "Their signature")
    rows = [
        (
            one.kitchen,
            long_day(one.day),
            one.maker,
            " ".join(part for part in (one.kind, one.criterion, one.says) if part),
            "fits" if one.signed else "does not fit",
        )
        for one in page.elsewhere
    ]
    return [
        title("Seen elsewhere", level=4),
        words("Another kitchen's word, as signed there. Nothing of it counts here by itself.", note=True),
        table("Seen elsewhere", head, rows),
    ]


def appeals(page: PersonPage) -> list[Block]:
    """Return appeals and how they were settled."""
    if not page.appeals:
        return []
    rows = [
        (
            long_day(act.at.astimezone().date()),
            str(act.criterion),
            "appeal" if act.kind == "appealed" else f"settled: {act.facts['outcome']}",
            f"act {act.number}",
        )
        for act in page.appeals
    ]
    return [title("Appeals", level=4), table("Appeals", ("Day", "Criterion", "What", "Act"), rows)]


def notes(page: PersonPage) -> list[Block]:
    """Return what was noted and agreed."""
    if not page.notes:
        return []
    rows = []
    for one in page.notes:
        said: list[Any] = [
            f"{one.facts['hours']:g} h" if "hours" in one.facts else "",
            str(one.facts.get("version", "")),
        ]
        said += [", ".join(one.facts.get("agreed", ())), one.text]
        rows.append((long_day(one.day), one.topic, "; ".join(part for part in said if part), one.by_name))
    return [title("Notes", level=4), table("Notes", ("Day", "About", "Says", "By"), rows)]
