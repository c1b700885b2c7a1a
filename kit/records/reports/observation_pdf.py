"""One observation as it was recorded, as PDF: for the apprentice's own copy and for a folder."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from kit.exercises.catalogue import Catalogue
from kit.records.competence.observations import MEASURES
from kit.records.competence.readings import despite_words
from kit.records.people.named_acts import Told, day_words, listed, many, pairs
from kit.records.reports import pdf_style
from kit.records.reports.board_page import step_title
from kit.records.reports.pdf_style import gap, table
from kit.records.reports.pdf_text import marked, say, text
from kit.rules import FROM_MEMORY


def observation_record(told: Told, person: str, now: datetime, catalogue: Catalogue) -> bytes:
    """Return one recorded observation as PDF.

    Parameters
    ----------
    told : Told
        An act of the kind ``observed``, told.
    person : str
        The apprentice's name.
    now : datetime
        When the paper is made, with a zone.
    catalogue : Catalogue
        The criteria.
    """
    facts = told.facts
    story = [
        text("Smokehouse kit · observation on record", "kicker"),
        text(f"{step_title(str(facts.get('step', '')))}: {person}", "title"),
        _facts(told),
        *_part("What was seen", _points(told, catalogue)),
        *_asked(told),
        *_verdicts(told),
        *_part("Notes", text(str(facts.get("notes") or "none"))),
        gap(2),
        text("An observation decides nothing by itself. A tutor decides, one criterion at a time.", "small"),
    ]
    signed = "signature fits" if told.signed else "signature does NOT fit"
    foot = f"act {told.number} · {told.hash[:24]} · {signed}"
    return pdf_style.as_pdf(
        story, pdf_style.Paper(f"Observation of {day_words(told.day)}: {person}", now, foot)
    )


def measures_of(told: Told) -> list[str]:
    """Return the weights and temperatures of an observation in words."""
    found = []
    for name, value in pairs(told.facts.get("measures")):
        unit = MEASURES.get(name, "")
        label = name.rpartition("_")[0].replace("_", " ")
        found.append(f"{label.replace('temp', 'temperature')} {_figure(value)} {unit}".strip())
    if isinstance(told.facts.get("read_at"), str):
        found.append(f"read at {told.facts['read_at']}")
    return found


def _part(title: str, body: Any) -> list[Any]:
    return pdf_style.section(title, [body], room_mm=25, style="subhead")


def _facts(told: Told) -> Any:
    facts = told.facts
    signed = "fits" if told.signed else "does NOT fit"
    rows = [
        ["Day and batch", f"{day_words(told.day)}, {f'batch {told.batch}' if told.batch else 'no batch'}"],
        ["How", str(facts.get("method", ""))],
        ["Observer", f"{told.by}, signature {signed}"],
        ["Own work", "declared by the apprentice" if facts.get("declared") else "NOT declared"],
        ["Supports used", listed(map(str, many(facts.get("supports"))))],
        ["Weights and temperatures", listed(measures_of(told))],
        *([["Against it", despite_words(facts)]] if facts.get("against") else []),
        ["Files", listed(f"{str(each)[:24]}…" for each in many(facts.get("files")))],
    ]
    return table([[text(name, "bold"), said] for name, said in rows], [38, 146], head=False)


def _points(told: Told, catalogue: Catalogue) -> Any:
    rows: list[list[Any]] = [["Criterion", "Outcome"]]
    for name, outcome in pairs(told.facts.get("points")):
        known = catalogue.criteria.get(name)
        words = known.text if known is not None else "not in this kit"
        rows.append([marked(f"<b>{say(name)}</b> {say(words)}", "cell"), text(outcome, "bold")])
    return table(rows, [154, 30])


def _asked(told: Told) -> list[Any]:
    rows: list[list[Any]] = [["Asked aloud", "Said in brief", "Judged"]]
    for each in many(told.facts.get("asked")):
        judged = "met" if each.get("met") else "not met"
        rows.append([str(each.get("question", "")), str(each.get("answer", "")), judged])
    return _part("Oral questions", table(rows, [76, 84, 24])) if len(rows) > 1 else []


def _verdicts(told: Told) -> list[Any]:
    rows: list[list[Any]] = [["Rule", "What the logger’s file shows", "Measured and limit", "Source"]]
    for each in many(told.facts.get("verdicts")):
        unit = str(each.get("unit", ""))
        figures = f"{_figure(each.get('measured'))} and {_figure(each.get('limit'))} {unit}".strip()
        source = f"{each.get('source', '')} {each.get('locator', '')}".strip()
        source += "" if each.get("seen", True) else f" ({FROM_MEMORY})"
        rows.append([str(each.get("rule", "")), str(each.get("outcome", "")), figures, source])
    return _part("Logger", table(rows, [44, 36, 44, 60])) if len(rows) > 1 else []


def _figure(value: object) -> str:
    return f"{value:g}" if isinstance(value, int | float) else "–"
