"""Tasks to work on paper, for practice: the tasks on one file, what is right on another."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from kit.exercises.engine import registry
from kit.marking.model import Controls, Explain, Places, Question
from kit.records.reports import pdf_style
from kit.records.reports.pdf_style import table
from kit.records.reports.pdf_text import marked, say, text
from kit.records.reports.question_pdf import DrawPng, right_words, task_block
from kit.rules import Profile

_ABOUT = (
    "For practice. Nothing on this sheet is recorded, and it releases no batch. "
    "Ask your tutor for the answers when you are done."
)
_SLIPS = 5
"""How many slips of a task are told on the answers."""
_NOT_ON_PAPER = (Controls, Explain, Places)


def on_paper(names: Sequence[str], seed: int, variants: int, profile: str | Profile) -> tuple[Question, ...]:
    """Draw tasks for a sheet; those that need a page to touch or a batch to run are left out.

    Parameters
    ----------
    names : sequence of str
        Ids of exercises.
    seed : int
        The first variant of each.
    variants : int
        How many variants of each.
    profile : str or Profile
        The rules to draw under.

    Examples
    --------
    >>> len(on_paper(["brine-degrees", "run-the-cook"], seed=3, variants=2, profile="ie"))
    2
    """
    drawn = (
        registry.question(name, each, profile) for name in names for each in range(seed, seed + variants)
    )
    return tuple(question for question in drawn if not isinstance(question.kind, _NOT_ON_PAPER))


def work_sheet_pdf(
    title: str, code: str, questions: Sequence[Question], draw_png: DrawPng, now: datetime | None = None
) -> bytes:
    """Return the sheet of tasks: A4, 11 pt and more, with room to answer.

    Parameters
    ----------
    title : str
        What it is about.
    code : str
        What tells this sheet from another: it stands on the answers too.
    questions : sequence of Question
        As ``on_paper`` draws them.
    draw_png : callable
        Draws a picture as PNG.
    now : datetime, optional
        When it is made, with a zone. Default: the clock.
    """
    story: list[Any] = [
        text(title, "title"),
        text(_ABOUT, "paper"),
        text("Name: ______________________________   Day: ______________", "paper"),
    ]
    for place, question in enumerate(questions, start=1):
        story += [pdf_style.gap(4), pdf_style.together(task_block(place, question, draw_png))]
    return pdf_style.as_pdf(story, pdf_style.Paper("Work sheet", now or datetime.now(UTC), code))


def answer_sheet_pdf(
    title: str, code: str, questions: Sequence[Question], now: datetime | None = None
) -> bytes:
    """Return what is right for each task of a sheet, how it is worked out, and what each slip is told."""
    story: list[Any] = [text(title, "title"), text("Answers. Not for the apprentice's bench.", "paper")]
    rows: list[list[Any]] = [["", "Right", "How, and what to say to a slip"]]
    for place, question in enumerate(questions, start=1):
        told = dict.fromkeys(slip.says for slip in question.slips)
        words = [say(question.worked), *(f"<b>·</b> {say(each)}" for each in list(told)[:_SLIPS])]
        how = marked("<br/>".join(words), "cell")
        rows.append([str(place), text(right_words(question), "cell"), how])
    story.append(table(rows, [8, 70, 106]))
    return pdf_style.as_pdf(story, pdf_style.Paper("Answers", now or datetime.now(UTC), code))
