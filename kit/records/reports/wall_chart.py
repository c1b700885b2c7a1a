"""A chart for the wall: people and steps in the order of the fish’s way, in a few large words.

It shows what ``assess`` says and no more. Refusals and appeals stay off the wall: there it only says that
somebody works beside a tutor. No batch is released by it.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from kit.exercises.catalogue import Catalogue
from kit.records.people.named_acts import day_words
from kit.records.reports import pdf_style
from kit.records.reports.board import Board, BoardPerson, board
from kit.records.reports.board_page import step_title
from kit.records.reports.pdf_style import table
from kit.records.reports.pdf_text import marked, say, text
from kit.records.reports.step_standing import StepStanding, step_standings
from kit.records.storage.store import Records

STEPS_A_PAGE, NAME_LETTERS = 6, 36
_NAME_MM, _STEP_MM = 88, 51
_KEY = (
    "■ alone: competent today on every criterion of the step, up to the day shown. "
    "◧ with a tutor: not all of them. □ not looked at: nothing on record, which is no failure."
)
_CAUTION = "No batch is released by this chart. House rules and the person in charge come first."


def wall_chart(records: Records, now: datetime | None = None, catalogue: Catalogue | None = None) -> bytes:
    """Return the chart of everybody who learns now as PDF: A3 on its side, 16 pt and more.

    Parameters
    ----------
    records : Records
        The open records.
    now : datetime, optional
        When it is made, with a zone. Default: the clock.
    catalogue : Catalogue, optional
        Default: the kit's own criteria.

    Examples
    --------
    >>> import tempfile
    >>> from kit.records import open_records
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     records = open_records(f"{folder}/records.db")
    ...     wall_chart(records)[:5]
    ...     records.close()
    b'%PDF-'
    """
    moment = now or datetime.now(UTC)
    made = board(records, catalogue=catalogue, now=moment)
    rows = [(one.name, _by_step(made, one)) for one in made.people]
    steps = made.steps()
    day = day_words(moment.astimezone().date())
    story: list[Any] = []
    for first in range(0, len(steps), STEPS_A_PAGE):
        here = steps[first : first + STEPS_A_PAGE]
        story += [pdf_style.new_page()] if story else []
        story += [
            text(f"Who does which step: {day}", "wall head"),
            text(_KEY, "wall"),
            text(_CAUTION, "wall"),
        ]
        story.append(_part(rows, here) if rows else text("Nobody learns here now.", "wall"))
    return pdf_style.as_pdf(story, pdf_style.Paper("Wall chart", moment, made.head.short), size="A3")


def _by_step(made: Board, person: BoardPerson) -> dict[str, StepStanding]:
    return step_standings(
        (made.of(person, each) for each in made.criteria), made.stands.touched(person.person_id)
    )


def _part(rows: Sequence[tuple[str, dict[str, StepStanding]]], steps: Sequence[str]) -> Any:
    shown: list[list[Any]] = [["", *(text(step_title(each), "wall bold") for each in steps)]]
    for name, by_step in rows:
        cells = [_cell(*by_step[each].words) for each in steps]
        short = name if len(name) <= NAME_LETTERS else f"{name[: NAME_LETTERS - 1]}…"
        shown.append([text(short, "wall name"), *cells])
    return table(shown, [_NAME_MM, *[_STEP_MM] * len(steps)])


def _cell(first: str, second: str) -> Any:
    bold = first.endswith("alone")
    return marked(
        f"{say(first)}<br/>{say(second)}" if second else say(first), "wall bold" if bold else "wall"
    )
