"""An invented crew at an invented smokehouse: real answer books, written through the real practice side.

Nobody here exists. Each apprentice has a way of working: how often they come, how sure they are at the start
and how fast they learn. Wrong answers are known slips, so they look like the mistakes that people make.
"""

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from kit import exercises
from kit.basics.atomic_files import write_private
from kit.exercises.catalogue import Catalogue
from kit.files import Book
from kit.marking import mark
from kit.marking.draw import Draw, seed_for
from kit.marking.model import Number, Question
from kit.practice import Session, create
from kit.practice.people import file_name

WEEKS = 6
LAST_LESSON, SURE = 8, 0.95
"""The lesson on the whole batch, and how often somebody is right in the end who practises it."""
TURNS = 32
"""How often a criterion comes up before the next step of the work."""


@dataclass(frozen=True)
class Manner:
    """How somebody works: chance of being right at first and at last, sessions a week, tasks a session.

    Everybody takes one step of the work after the other, from ``begins_with`` on.
    """

    name: str
    right_at_first: float
    right_at_last: float
    sessions_a_week: float
    tasks_a_session: int
    asks_for_hints: float = 0.08
    weeks_late: int = 0
    remark: str = ""
    begins_with: str = "intake"


DEMO_CREW = (
    Manner("Eithne Corrigan", 0.9, 0.98, 4.0, 9, asks_for_hints=0.03, begins_with="cook"),
    Manner("Tomasz Wilk", 0.55, 0.92, 2.5, 5, begins_with="wood_smoke"),
    Manner("Marisol Ibarra", 0.7, 0.97, 2.0, 6, begins_with="trim_pinbone"),
    Manner("Niamh Shevlin", 0.45, 0.85, 2.5, 4, asks_for_hints=0.25, begins_with="cleaning"),
    Manner("Oskar Lindqvist", 0.6, 0.9, 1.5, 5, remark="clock", begins_with="rinse"),
    Manner("Precious Adeyemi", 0.66, 0.95, 2.5, 5, remark="dispute", begins_with="chill"),
    Manner("Ruairí Deasy", 0.35, 0.7, 1.5, 4, begins_with="pack_label_store"),
    Manner("Linh Pham", 0.58, 0.94, 3.0, 4, remark="explain", begins_with="pellicle"),
    Manner("Gwen Pritchard", 0.5, 0.88, 2.0, 5, begins_with="cure"),
    Manner("Bogdan Rusu", 0.4, 0.8, 2.0, 4, remark="torn", begins_with="health_safety"),
    Manner("Sive Mulqueen", 0.55, 0.9, 2.0, 4, weeks_late=4),
    Manner("Callum Baird", 0.3, 0.5, 1.0, 3, weeks_late=2),
)


class SetClock:
    """A clock that shows what it is set to, in UTC."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        """Return the time that is set."""
        return self.now


def make_crew(home: Path, until: datetime, told: Callable[[str], None] | None = None) -> list[Path]:
    """Write the answer books of the crew into a home folder and return them.

    Parameters
    ----------
    home : Path
        An empty folder; people and books are made in it as the workbook would make them.
    until : datetime
        The crew began six weeks before, with a zone.
    told : callable, optional
        Told each name when that book is done.
    """
    books = []
    for place, manner in enumerate(DEMO_CREW):
        draw = Draw(seed_for("harbour-lane", manner.name, 1, place))
        books.append(_write_book(home, manner, draw, until))
        if told is not None:
            told(manner.name)
    return books


def _write_book(home: Path, manner: Manner, draw: Draw, until: datetime) -> Path:
    began = (until - timedelta(weeks=WEEKS - manner.weeks_late)).replace(hour=8, minute=30, second=0)
    clock = SetClock(began)
    person = create(manner.name, home=home, clock=clock, person_id=fixed_id("p", manner.name))
    session = Session(person, Book(person.book_path, clock=clock))
    plan = _tasks(manner, draw)
    for day, sureness in _days(manner, draw):
        clock.now = max(clock.now, began + timedelta(days=day, minutes=draw.whole(0, 300)))
        if clock.now > until - timedelta(hours=6):
            break
        for _ in range(manner.tasks_a_session):
            _one_task(session, next(plan), manner, sureness, draw, clock)
    _remark(session, manner, draw, clock)
    handed_in = home / "handed in" / f"{file_name(person.name)}.book"
    handed_in.parent.mkdir(exist_ok=True)
    write_private(handed_in, person.book_path.read_bytes())
    return handed_in


def fixed_id(kind: str, name: str) -> str:
    """Return an id made from a name, so that the same questions are drawn whenever the story is told.

    Examples
    --------
    >>> fixed_id("p", "Linh Pham")
    'p-5aecfa86bd8ebbd0'
    """
    return f"{kind}-{hashlib.sha256(name.encode()).hexdigest()[:16]}"


def _days(manner: Manner, draw: Draw) -> Iterator[tuple[int, float]]:
    """Yield the days on which somebody practises, and how sure they are by then."""
    days = 7 * (WEEKS - manner.weeks_late)
    for day in range(days):
        if day % 7 < 6 and draw.chance(manner.sessions_a_week / 6):
            grown = day / (7 * WEEKS)
            yield day, manner.right_at_first + (manner.right_at_last - manner.right_at_first) * grown


def _tasks(manner: Manner, draw: Draw) -> Iterator[str]:
    """Yield exercises, step by step of the work, each criterion often enough that practice may show it.

    The whole batch comes only to who is ready for it.
    """
    catalogue = Catalogue()
    last = () if manner.right_at_last > SURE else exercises.ids(LAST_LESSON)
    steps: dict[str, list[tuple[str, ...]]] = {}
    for criterion, serving in catalogue.exercises_for.items():
        mine = tuple(name for name in draw.shuffle(serving) if name not in last)
        if mine:
            steps.setdefault(catalogue.criteria[criterion].step, []).append(mine)
    order = list(steps)
    first = order.index(manner.begins_with)
    while True:
        for step in (*order[first:], *order[:first]):
            for turn in range(TURNS):
                yield from (mine[turn % len(mine)] for mine in steps[step])


def _one_task(
    session: Session, exercise: str, manner: Manner, sureness: float, draw: Draw, clock: SetClock
) -> None:
    """Open a variant, perhaps ask for a hint, answer, read the feedback, and try again up to twice."""
    task = session.current(exercise)
    if task.solved or task.attempts:
        task = session.next_variant(exercise)
    if task.question.hints and draw.chance(manner.asks_for_hints):
        session.hint(exercise)
    for turn in range(3):
        clock.now += timedelta(seconds=draw.whole(40, 200))
        right = draw.chance(min(sureness + 0.25 * turn, 0.98))
        raw = right_answer(task.question) if right else wrong_answer(task.question, draw)
        outcome, task = session.check(exercise, raw)
        if outcome.verdict == "right":
            return


def right_answer(question: Question) -> Any:
    """Return the right answer as somebody would give it."""
    return _typed(question, question.answer)


def wrong_answer(question: Question, draw: Draw) -> Any:
    """Return an answer that follows one of the question's slips, or the first option where there is none."""
    slips = [slip.value for slip in question.slips]
    for value in draw.shuffle(slips) if slips else []:
        raw = _typed(question, value)
        if mark(question, raw).verdict in ("not yet", "partly"):
            return raw
    return right_answer(question)


def _typed(question: Question, value: Any) -> Any:
    """Return a value as it comes from the page: numbers are typed with their unit."""
    if isinstance(question.kind, Number) and isinstance(value, int | float):
        return f"{value:.6g} {question.kind.unit}".strip()
    return value


def _remark(session: Session, manner: Manner, draw: Draw, clock: SetClock) -> None:
    """Add what makes a tutor's day: a disputed mark, an explanation, a clock set back, a torn line."""
    first = exercises.ids()[0]
    if manner.remark == "dispute":
        tried = [entry.exercise for entry in session.book.entries if entry.verdict in ("not yet", "partly")]
        session.dispute(
            tried[-1], "My thermometer card says the same as I wrote. Can we look at it together?"
        )
    elif manner.remark == "explain":
        for exercise in exercises.explain_ids()[:1]:
            session.explain(
                exercise,
                "A low finish kills less, so salt, cold and a short life have to do the rest. If one of them "
                "is missing, nothing holds the germs back.",
            )
    elif manner.remark == "clock":
        clock.now -= timedelta(days=3)
        _one_task(session, first, manner, 0.5, draw, clock)
    elif manner.remark == "torn":
        whole = session.book.path.read_bytes()
        session.book.path.write_bytes(whole[:-25])
