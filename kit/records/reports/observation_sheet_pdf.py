"""The observation sheet as PDF: A4, to write on, 11 pt and more so that it reads at arm’s length."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from kit.records.reports import pdf_style
from kit.records.reports.pdf_style import BOX, form, framed, table
from kit.records.reports.pdf_text import SOLID, marked, say, text
from kit.records.reports.sheet_content import (
    DECLARATION,
    OBSERVED,
    OUTCOMES,
    PLAIN_WORDS,
    SUPPORTS,
    ObservationSheet,
    SheetCriterion,
)

FIELD_MM = 13
_BLANK_ROWS, _BLANK_LINES, _NOTES_MM = 4, 2, 30
_FOOT_LETTERS = 40
LOOK, LOOKS = "sheet", ("sheet", "sheet bold")
_COLUMNS = {  # width in mm
    "Time": 22,
    "Weight before, g": 42,
    "Weight after, g": 40,
    "Core, °C": 28,
    "Air, °C": 24,
    "Probe no.": 28,
}


def as_pdf(sheet: ObservationSheet, now: datetime) -> bytes:
    """Return the sheet as PDF: two pages, three where a step has many criteria."""
    kitchen = f" · {sheet.kitchen}" if sheet.kitchen else ""
    story = [
        text(f"Smokehouse kit · observation sheet{kitchen}", LOOK),
        text(sheet.title, "sheet title"),
        _head(sheet),
        _ticks(sheet),
        framed([marked(f"<b>Caution.</b> {say(sheet.caution)}", LOOK)]),
        *_criteria(sheet),
        *_readings(sheet),
        *_questions(sheet),
        *_signatures(),
    ]
    # a second page is told from another's by what is written at its foot
    foot = f"Step {sheet.step}, smokehouse kit {sheet.kit_version}. Enter it, then keep this paper."
    who = f"apprentice {sheet.person[:_FOOT_LETTERS] or '_' * 28}, batch {'_' * 14}"
    return pdf_style.as_pdf(story, pdf_style.Paper(f"{sheet.title}: {who}", now, foot))


def _head(sheet: ObservationSheet) -> Any:
    who = marked(f"Apprentice<br/><b>{say(sheet.person)}</b>", "sheet")
    return form([[who, "Observer", "Date", "Batch"]], [66, 58, 26, 34], FIELD_MM, LOOK)


def _ticks(sheet: ObservationSheet) -> Any:
    ways = " &nbsp; ".join(f"{BOX}\u00a0{say(name).replace(' ', SOLID)}" for name in sheet.methods)
    helps = " &nbsp; ".join(f"{BOX}\u00a0{say(name).replace(' ', SOLID)}" for name in SUPPORTS)
    only = "Only an observation on a real batch proves skill."
    rows = [
        [text("How it was seen", "sheet bold"), marked(f"{ways}<br/>{only}", "sheet")],
        [
            text("Supports used", "sheet bold"),
            marked(f"{helps} &nbsp; {BOX} other: ____________________", "sheet"),
        ],
    ]
    return table(rows, [38, 146], head=False, looks=LOOKS)


def _criteria(sheet: ObservationSheet) -> list[Any]:
    head = ["Criterion, and what to look for", *(text(each, "sheet bold") for each in OUTCOMES)]
    story: list[Any] = []
    for looks, title in ((sheet.doing, "Doing"), (sheet.knowing, "Knowing: asked aloud, or seen on the day")):
        if looks:
            rows = [head, *([_look(each), *[text(BOX, "box")] * len(OUTCOMES)] for each in looks)]
            story += pdf_style.section(
                title, [table(rows, [127, 14, 21, 22], looks=LOOKS)], room_mm=30, style="sheet head"
            )
    dagger = "† safety-critical: a mistake here can hurt someone. All of these must be met; nothing averages."
    return [*story, text(dagger, "sheet")]


def _look(each: SheetCriterion) -> Any:
    sign = " †" if each.criterion.safety_critical else ""
    small = f" ({say(each.small)})" if each.small else ""
    first = f"<b>{each.criterion.id}{sign}</b> {say(each.criterion.text)}"
    if each.criterion.kind == "knowledge":
        return marked(first + small, "sheet")
    return marked(f"{first}<br/>{' · '.join(say(point) for point in each.points)}.{small}", "sheet")


def _readings(sheet: ObservationSheet) -> list[Any]:
    head = [[text(name, "sheet") for name in _COLUMNS]]
    blank = [[""] * len(_COLUMNS) for _ in range(_BLANK_ROWS)]
    story = [
        text("Weights and temperatures, written when read", "sheet head"),
        form([*head, *blank], list(_COLUMNS.values()), 9),
    ]
    if sheet.limits:
        rows: list[list[Any]] = [[f"Limits in force: {sheet.rules_title}", "Limit", "Where it stands"]]
        rows += [[limit.title, text(limit.words, "sheet bold"), limit.source] for limit in sheet.limits]
        story.append(table(rows, [48, 46, 90], looks=LOOKS))
    return [pdf_style.together(story)]


def _questions(sheet: ObservationSheet) -> list[Any]:
    rows: list[list[Any]] = []
    room = "<br/>&nbsp;" * _BLANK_LINES
    for number, each in enumerate(sheet.asks, start=1):
        said = f"<b>{number}. {say(each.ask)}</b><br/>Good: {say(each.good)}<br/>Said in brief:{room}"
        rows.append([marked(said, "sheet"), marked(f"{BOX} met<br/>{BOX} not{SOLID}met", "sheet")])
    made = form(rows, [156, 28], None, LOOK)
    return [
        pdf_style.together(
            [text("Oral questions: the answer in brief, and the judgement", "sheet head"), made]
        )
    ]


def _signatures() -> list[Any]:
    notes = form(
        [["Notes: what went well, what was corrected and how, feedback given"]], [184], _NOTES_MM, LOOK
    )
    rows = [
        [marked(f"<b>Apprentice.</b> {say(DECLARATION)}", "sheet"), "Signature", "Date"],
        [marked(f"<b>Observer.</b> {say(OBSERVED)}", "sheet"), "Signature", "Date"],
    ]
    return [pdf_style.together([notes, form(rows, [96, 58, 30], None, LOOK), text(PLAIN_WORDS, "sheet")])]
