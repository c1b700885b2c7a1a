"""A test paper as PDF, its marking sheet apart, and a version to read aloud.

The paper holds what is asked and nothing of what is right. The marking sheet is for the tutor alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any

from kit.exercises.engine.kitchen_rules import set_apart
from kit.marking.model import Question
from kit.records.competence.papers import TestPaper
from kit.records.reports import pdf_style
from kit.records.reports.pdf_style import table
from kit.records.reports.pdf_text import text
from kit.records.reports.question_pdf import (
    QR_MM,
    RULE_HEAD,
    WIDE_MM,
    DrawPng,
    code_square,
    how_to_answer,
    right_words,
    spoken,
    task_block,
)

_CAUTION = "This paper is about knowledge. It releases no batch, and it does not replace being seen at work."
_RULES = (
    "Write your answers on this paper. No telephone, no notes. Ask the tutor if a word is not clear: "
    "they may explain a word, not the task. Hand the paper in when the time is over."
)


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
        story.append(pdf_style.together(task_block(task.place, question, draw_png)))
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
        asked, rule = set_apart(question.text, question.profile)
        lines = [f"Task {task.place}. {asked}", *([f"{RULE_HEAD}: {rule}"] if rule else [])]
        if question.picture is not None:
            lines.append(f"The picture: {question.picture.text}")
        lines += [f"{mark}. {words}" for mark, words in spoken(question)]
        parts.append("\n".join(filter(None, [*lines, how_to_answer(question)])))
    return "\n\n".join(parts) + "\n"


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
    made = Table([[words, code_square(paper.id)]], colWidths=[(WIDE_MM - QR_MM) * mm, (QR_MM + 6) * mm])
    made.hAlign = "LEFT"
    made.setStyle([("LEFTPADDING", (0, 0), (-1, -1), 0), ("VALIGN", (0, 0), (-1, -1), "TOP")])
    return made
