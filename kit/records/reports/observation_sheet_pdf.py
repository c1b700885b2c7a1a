"""The observation sheet as PDF: A4, to write on."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from kit.records.reports import pdf_style
from kit.records.reports.pdf_style import BOX, SOLID, form, framed, marked, say, table, text
from kit.records.reports.sheet_content import (
    DECLARATION,
    OBSERVED,
    OUTCOMES,
    PLAIN_WORDS,
    SUPPORTS,
    ObservationSheet,
    SheetCriterion,
)

FIELD_MM = 10.5
ONE_PAGE = 4  # criteria; a longer sheet takes a second page, with more room to write
_COLUMNS = ("Time", "Weight before, g", "Weight after, g", "Core, °C", "Air, °C", "Probe no.")


def as_pdf(sheet: ObservationSheet, now: datetime) -> bytes:
    """Return the sheet as PDF: one page for a short step, else two."""
    roomy = len(sheet.doing) + len(sheet.knowing) > ONE_PAGE
    kitchen = f" · {sheet.kitchen}" if sheet.kitchen else ""
    story = [
        text(f"Smokehouse kit · observation sheet{kitchen}", "kicker"),
        text(sheet.title, "title"),
        _head(sheet),
        _ticks(sheet),
        framed([marked(f"<b>Caution.</b> {say(sheet.caution)}", "read")]),
        *_criteria(sheet),
        *_readings(sheet, 5 if roomy else 4),
    ]
    if roomy:
        story += [pdf_style.new_page(), _head(sheet)]
    story += [*_questions(sheet, 4 if roomy else 1), *_signatures(52 if roomy else 24)]
    foot = f"step {sheet.step} · smokehouse kit {sheet.kit_version} · enter it, then keep this paper"
    return pdf_style.as_pdf(story, pdf_style.Paper(f"Observation sheet: {sheet.title}", now, foot))


def _head(sheet: ObservationSheet) -> Any:
    who = marked(f"Apprentice<br/><b>{say(sheet.person)}</b>", "cell")
    return form([[who, "Observer", "Date", "Batch"]], [66, 58, 26, 34], FIELD_MM)


def _ticks(sheet: ObservationSheet) -> Any:
    ways = " &nbsp; ".join(f"{BOX}\u00a0{say(name).replace(' ', SOLID)}" for name in sheet.methods)
    helps = " &nbsp; ".join(f"{BOX}\u00a0{say(name).replace(' ', SOLID)}" for name in SUPPORTS)
    only = "Only an observation on a real batch proves skill."
    rows = [
        [text("How it was seen", "bold"), marked(f"{ways}<br/>{only}", "read")],
        [text("Supports used", "bold"), marked(f"{helps} &nbsp; {BOX} other: ____________________", "read")],
    ]
    return table(rows, [30, 154], head=False)


def _criteria(sheet: ObservationSheet) -> list[Any]:
    head = ["Criterion, and what to look for", *(text(each, "column") for each in OUTCOMES)]
    story: list[Any] = []
    for looks, title in ((sheet.doing, "Doing"), (sheet.knowing, "Knowing: asked aloud, or seen on the day")):
        if looks:
            rows = [head, *([_look(each), *[text(BOX, "box")] * len(OUTCOMES)] for each in looks)]
            story += pdf_style.section(title, [table(rows, [142, 12, 15, 15])], room_mm=30, style="subhead")
    dagger = "† safety-critical: a mistake here can hurt someone. All of these must be met; nothing averages."
    return [*story, text(dagger, "small")]


def _look(each: SheetCriterion) -> Any:
    sign = " †" if each.criterion.safety_critical else ""
    small = f" <font size='6.6'>({say(each.small)})</font>" if each.small else ""
    first = f"<b>{each.criterion.id}{sign}</b> {say(each.criterion.text)}"
    if each.criterion.kind == "knowledge":
        return marked(first + small, "read")
    return marked(f"{first}<br/>{' · '.join(say(point) for point in each.points)}.{small}", "read")


def _readings(sheet: ObservationSheet, rows_blank: int) -> list[Any]:
    head = [[text(name, "cell") for name in _COLUMNS]]
    blank = [[""] * len(_COLUMNS) for _ in range(rows_blank)]
    widths = [184 / len(_COLUMNS)] * len(_COLUMNS)
    story = [
        text("Weights and temperatures, written when read", "subhead"),
        form([*head, *blank], widths, 6.4),
    ]
    if sheet.limits:
        rows: list[list[Any]] = [[f"Limits in force: {sheet.rules_title}", "Limit", "Where it stands"]]
        rows += [[limit.title, text(limit.words, "bold"), limit.source] for limit in sheet.limits]
        story.append(table(rows, [48, 50, 86]))
    return [pdf_style.together(story)]


def _questions(sheet: ObservationSheet, lines: int) -> list[Any]:
    rows: list[list[Any]] = []
    room = "<br/>&nbsp;" * lines
    for number, each in enumerate(sheet.asks, start=1):
        said = f"<b>{number}. {say(each.ask)}</b><br/>Good: {say(each.good)}<br/>Said in brief:{room}"
        rows.append([marked(said, "read"), marked(f"{BOX} met<br/>{BOX} not{SOLID}met", "read")])
    made = form(rows, [162, 22])
    return [
        pdf_style.together([text("Oral questions: the answer in brief, and the judgement", "subhead"), made])
    ]


def _signatures(notes_mm: float) -> list[Any]:
    notes = form([["Notes: what went well, what was corrected and how, feedback given"]], [184], notes_mm)
    rows = [
        [marked(f"<b>Apprentice.</b> {say(DECLARATION)}", "cell"), "Signature", "Date"],
        [marked(f"<b>Observer.</b> {say(OBSERVED)}", "cell"), "Signature", "Date"],
    ]
    return [pdf_style.together([notes, form(rows, [94, 62, 28], 13), text(PLAIN_WORDS, "small")])]
