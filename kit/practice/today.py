"""Today, for one person: where they were, a round of tasks, one thing to show, how far each step is."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from kit.criteria import Criterion, steps
from kit.exercises.catalogue import Catalogue
from kit.files import Entry
from kit.files.tries import tries_of
from kit.languages import ENGLISH, Language
from kit.practice.lesson_files import in_reading_order
from kit.practice.progress import Progress, how_far, progress
from kit.practice.round_of_tasks import RoundTask, todays_round

MOST_READY = 5
"""Of so many things that somebody is best prepared for, one a day is to be shown."""
MINUTES_A_TASK = 2
"""About so long a task takes. Ours: common practice, no source."""


@dataclass(frozen=True)
class CarryOn:
    """Where somebody goes on: a lesson, and a task in it. ``begun`` says whether that task was tried."""

    lesson: int
    exercise: str
    begun: bool


@dataclass(frozen=True)
class StepToAlone:
    """How far somebody is to working one step alone: what practice shows, and what a tutor must see."""

    step: str
    title: str
    shown: int
    begun: int
    to_know: int
    to_be_seen: int


@dataclass(frozen=True)
class Today:
    """What to do today. ``carry_on`` is None once every task was tried; ``show`` while nothing is ready."""

    day: date
    carry_on: CarryOn | None
    round: tuple[RoundTask, ...]
    show: Criterion | None
    steps: tuple[StepToAlone, ...]


def minutes(tasks: Iterable[RoundTask]) -> int:
    """Return about how long the rest of a round takes. [min]"""
    return MINUTES_A_TASK * sum(not one.done for one in tasks)


def why_words(task: RoundTask, language: Language = ENGLISH) -> str:
    """Return why a task is in the round, for the page and for the terminal.

    Examples
    --------
    >>> why_words(RoundTask("equal-hold", 5, "COK-K02", "due", date(2026, 3, 2)))
    'you knew it on 2 March. Still?'
    """
    if task.last_day is None:
        return language.say("new")
    on = language.day(task.last_day, short=True)
    if task.why == "slipped":
        return language.say("it went wrong on {day}", day=on)
    if task.why == "due":
        return language.say("you knew it on {day}. Still?", day=on)
    return language.say("last asked on {day}", day=on)


def today_for(entries: Sequence[Entry], catalogue: Catalogue, day: date) -> Today:
    """Return what one person does on a day, worked out from their answer book.

    Parameters
    ----------
    entries : sequence of Entry
        The book.
    catalogue : Catalogue
        Exercises and criteria.
    day : date
        The local day.

    Examples
    --------
    >>> first = today_for((), Catalogue(), date(2026, 3, 2))
    >>> first.carry_on, first.round, first.show
    (CarryOn(lesson=0, exercise='order-of-the-day', begun=False), (), None)
    """
    tries = tries_of(entries)
    return Today(
        day,
        carry_on(entries, catalogue),
        todays_round(tries, catalogue, day),
        _to_show(entries, catalogue, day),
        steps_to_alone(progress(entries, catalogue, day), catalogue),
    )


def carry_on(entries: Sequence[Entry], catalogue: Catalogue) -> CarryOn | None:
    """Return where somebody goes on: the task begun last, if it is not right yet; else the next new one.

    What they went back to does not count: the task that they met for the first time last does.
    """
    ids = in_reading_order(catalogue.ids())
    mine: dict[str, list[Entry]] = {}
    for entry in entries:
        if entry.exercise in ids:
            mine.setdefault(entry.exercise, []).append(entry)
    if not mine:
        return CarryOn(catalogue.info(ids[0]).lesson, ids[0], begun=False) if ids else None
    last = list(mine)[-1]
    if how_far(mine[last]) not in ("first", "right"):
        return CarryOn(catalogue.info(last).lesson, last, begun=True)
    here = ids.index(last)
    new = next((name for name in (*ids[here:], *ids[:here]) if name not in mine), None)
    return None if new is None else CarryOn(catalogue.info(new).lesson, new, begun=False)


def steps_to_alone(stands: Sequence[Progress], catalogue: Catalogue) -> tuple[StepToAlone, ...]:
    """Return each step of the work, in its order: what practice shows, and how much a tutor must see."""
    found = []
    for step in steps().values():
        known = [one for one in stands if one.step == step.id]
        to_do = [c for c in catalogue.criteria.values() if c.step == step.id and c.kind == "performance"]
        if known or to_do:
            shown = sum(one.done for one in known)
            begun = sum(not one.done and one.shown.first_tries > 0 for one in known)
            found.append(StepToAlone(step.id, step.title, shown, begun, len(known), len(to_do)))
    return tuple(found)


def _to_show(entries: Sequence[Entry], catalogue: Catalogue, day: date) -> Criterion | None:
    """Return one thing to do in front of the tutor: of those best prepared for, another one each day.

    What the tutor has seen already is not known here: the tutor knows.
    """
    known = catalogue.knowledge(tries_of(entries))
    share = {
        name: shown.evidence / shown.evidence_needed
        for name, shown in known.items()
        if catalogue.criteria[name].kind == "performance" and shown.counted
    }
    ready = sorted(share, key=lambda name: -share[name])[:MOST_READY]
    return catalogue.criteria[ready[day.toordinal() % len(ready)]] if ready else None
