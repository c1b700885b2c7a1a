"""A test paper as PDF, its marking sheet apart, and a version to read aloud.

The paper holds what is asked and nothing of what is right. The marking sheet is for the tutor alone.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from typing import Any

from kit.exercises.engine.fingerprints import texts_of
from kit.marking.model import (
    DECISIONS,
    Match,
    Number,
    One,
    Option,
    Order,
    Picture,
    Question,
    Recommend,
    Several,
)
from kit.marking.typed_number import shown
from kit.records.competence.papers import TestPaper
from kit.records.reports import pdf_style
from kit.records.reports.pdf_style import table
from kit.records.reports.pdf_text import SOLID, marked, say, text

DrawPng = Callable[[Picture], bytes]
_CAUTION = "This paper is about knowledge. It releases no batch, and it does not replace being seen at work."
_RULES = (
    "Write your answers on this paper. No telephone, no notes. Ask the tutor if a word is not clear: "
    "they may explain a word, not the task. Hand the paper in when the time is over."
)
_BOX, _QR_MM, _WIDE_MM = "☐", 24.0, 165.0
_GAP = 3 * SOLID


def paper_pdf(
    paper: TestPaper,
    name: str,
    questions: Iterable[Question],
    draw_png: DrawPng,
    *,
    kitchen: str = "",
    now: datetime | None = None,
) -> bytes:
    """Return the paper to print: A4, 11 pt and more.

    Parameters
    ----------
    paper : TestPaper
        The paper.
    name : str
        Whose it is.
    questions : iterable of Question
        As ``questions_of`` drew them again.
    draw_png : callable
        Draws a picture as PNG.
    kitchen : str
        The kitchen's name, for the head.
    now : datetime, optional
        When it is made, with a zone. Default: the clock.
    """
    story: list[Any] = [_head(paper, name, kitchen), text(_RULES, "paper"), text(_CAUTION, "paper")]
    for task, question in zip(paper.tasks, questions, strict=True):
        story.append(pdf_style.gap(4))
        story.append(pdf_style.together(_task(task.place, question, draw_png)))
    story += [
        pdf_style.gap(8),
        text("This is my own work. Signature: ______________________   Time handed in: ________", "paper"),
    ]
    return pdf_style.as_pdf(story, pdf_style.Paper("Test paper", now or datetime.now(UTC), paper.id))


def marking_sheet_pdf(
    paper: TestPaper, name: str, questions: Iterable[Question], now: datetime | None = None
) -> bytes:
    """Return the tutor's marking sheet: what is right for each task, and why."""
    rows: list[list[Any]] = [["", "For", "Right", "How"]]
    for task, question in zip(paper.tasks, questions, strict=True):
        told = (text(words, "cell") for words in (right_words(question), question.worked))
        rows.append([str(task.place), task.criterion, *told])
    cut = (
        f"Passed from {paper.cut_pct:g} % of the points on, if every task on a safety-critical criterion "
        "is right. The kit marks the typed answers again: what it says counts."
    )
    story = [
        text("Marking sheet", "title"),
        text(f"{name}, paper {paper.id}. Not for the apprentice.", "paper"),
        text(cut, "paper"),
        table(rows, [8, 18, 78, 80]),
    ]
    return pdf_style.as_pdf(story, pdf_style.Paper("Marking sheet", now or datetime.now(UTC), paper.id))


def read_aloud(paper: TestPaper, questions: Iterable[Question]) -> str:
    """Return the paper as plain text to read aloud: pictures in words, each option with its letter."""
    parts = [f"Test paper {paper.id}. {paper.minutes + paper.extra_min} minutes.", _RULES, _CAUTION]
    for task, question in zip(paper.tasks, questions, strict=True):
        lines = [f"Task {task.place}. {question.text}"]
        if question.picture is not None:
            lines.append(f"The picture: {question.picture.text}")
        lines += [f"{mark}. {words}" for mark, words in _spoken(question)]
        parts.append("\n".join(filter(None, [*lines, _how(question)])))
    return "\n\n".join(parts) + "\n"


def right_words(question: Question) -> str:
    """Return what is right, in the letters and words of the paper.

    Examples
    --------
    >>> right_words(Question("x", 1, 0, "?", One((Option("a", "cold"), Option("b", "warm"))), "a"))
    'a: cold'
    """
    kind, answer, words = question.kind, question.answer, texts_of(question)
    if isinstance(kind, Number):
        return shown(float(answer), 4) + ("" if kind.unit == "1" else f" {kind.unit}")
    if isinstance(kind, Match):
        return "; ".join(f"{left}{right}: {words[f'right {right}']}" for left, right in answer.items())
    if isinstance(kind, Recommend):
        also = "".join(f" (or {DECISIONS[each]})" for each in kind.also if each != answer["decision"])
        return f"{DECISIONS[answer['decision']]}{also}; {answer['reason']}: {words[answer['reason']]}"
    keys = [answer] if isinstance(answer, str) else list(answer)
    return "; ".join(f"{key}: {words[key]}" for key in keys)


def _head(paper: TestPaper, name: str, kitchen: str) -> Any:
    from reportlab.lib.units import mm
    from reportlab.platypus import Table

    extra = f", with {paper.extra_min} min of agreed extra time" if paper.extra_min else ""
    words = [
        text(kitchen, "paper") if kitchen else text("", "paper"),
        text("Test paper", "title"),
        text(name, "paper bold"),
        text(f"{len(paper.tasks)} tasks, {paper.minutes + paper.extra_min} min{extra}.", "paper"),
        text(f"Paper {paper.id}. Started: ________", "paper"),
    ]
    made = Table([[words, _code(paper.id)]], colWidths=[(_WIDE_MM - _QR_MM) * mm, (_QR_MM + 6) * mm])
    made.hAlign = "LEFT"
    made.setStyle([("LEFTPADDING", (0, 0), (-1, -1), 0), ("VALIGN", (0, 0), (-1, -1), "TOP")])
    return made


def _code(words: str) -> Any:
    from reportlab.graphics.barcode.qr import QrCodeWidget
    from reportlab.graphics.shapes import Drawing
    from reportlab.lib.units import mm

    size = _QR_MM * mm
    drawing = Drawing(size, size)
    drawing.add(QrCodeWidget(words, barLevel="M", barWidth=size, barHeight=size))
    return drawing


def _task(place: int, question: Question, draw_png: DrawPng) -> list[Any]:
    found: list[Any] = [marked(f"<b>{place}</b>{_GAP}{say(question.text)}", "paper")]
    if question.picture is not None:
        png, words = draw_png(question.picture), question.picture.text
        found.append(_image(png) if png else text(f"The picture: {words}", "paper"))
    how = [text(_how(question), "paper small")] if _how(question) else []
    return [*found, *how, *_answer_space(question)]


def _image(png: bytes) -> Any:
    from PIL import Image as Pixels
    from reportlab.lib.units import mm
    from reportlab.platypus import Image

    with Pixels.open(io.BytesIO(png)) as opened:
        width, height = opened.size
    wide = min(_WIDE_MM * mm, width * 72 / 150)
    return Image(io.BytesIO(png), width=wide, height=wide * height / width, hAlign="LEFT")


def _answer_space(question: Question) -> list[Any]:
    kind = question.kind
    if isinstance(kind, Number):
        unit = "" if kind.unit == "1" else f" {kind.unit}"
        return [pdf_style.gap(3), text(f"Answer: ____________{unit}", "paper")]
    if isinstance(kind, One | Several):
        return [text(f"{_BOX} {one.key}{_GAP}{one.text}", "paper option") for one in kind.options]
    if isinstance(kind, Order):
        spaces = _GAP.join("____" for _ in kind.options)
        return [*_lettered(kind.options), text(f"First to last: {spaces}", "paper")]
    if isinstance(kind, Match):
        left = [text(f"{one.key} → ____{_GAP}{one.text}", "paper option") for one in kind.left]
        return [_two_columns(left, _lettered(kind.right))]
    if isinstance(kind, Recommend):
        boxes = (2 * _GAP).join(f"{_BOX} {words}" for words in DECISIONS.values())
        return [text(boxes, "paper option"), text("because", "paper"), *_boxed(kind.reasons)]
    return []


def _lettered(options: Iterable[Option]) -> list[Any]:
    return [text(f"{one.key}{_GAP}{one.text}", "paper option") for one in options]


def _boxed(options: Iterable[Option]) -> list[Any]:
    return [text(f"{_BOX} {one.key}{_GAP}{one.text}", "paper option") for one in options]


def _two_columns(left: list[Any], right: list[Any]) -> Any:
    from reportlab.lib.units import mm
    from reportlab.platypus import Table

    made = Table([[left, right]], colWidths=[_WIDE_MM / 2 * mm] * 2)
    made.hAlign = "LEFT"
    made.setStyle([("LEFTPADDING", (0, 0), (-1, -1), 0), ("VALIGN", (0, 0), (-1, -1), "TOP")])
    return made


def _how(question: Question) -> str:
    kind = question.kind
    if isinstance(kind, One):
        return "Tick one."
    if isinstance(kind, Several):
        return "Tick all that belong."
    if isinstance(kind, Order):
        return "Write the letters in their order, first to last."
    if isinstance(kind, Match):
        return "Write beside each number the letter that belongs to it."
    if isinstance(kind, Recommend):
        return "Tick what you recommend to the person in charge, and one reason."
    if question.reads_chart:
        return "Read it off the picture."
    return ""


def _spoken(question: Question) -> list[tuple[str, str]]:
    kind = question.kind
    if isinstance(kind, Match):
        return [(one.key, one.text) for one in (*kind.left, *kind.right)]
    if isinstance(kind, Recommend):
        return [("Recommend", ", or ".join(DECISIONS.values()))] + [(o.key, o.text) for o in kind.reasons]
    return list(texts_of(question).items())
