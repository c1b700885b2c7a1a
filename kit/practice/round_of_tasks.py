"""The round of a day: about five tasks over the lessons: what slipped, is due, is new, or is under way.

A round is worked out from the answer book alone, so a page opened again shows the same one. What is not done
on a day waits: a round never grows because somebody was away.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from operator import attrgetter
from typing import Literal

from kit.criteria.knowledge import UNMEASURED, Knowledge, Try, first_tries
from kit.criteria.worth_asking import worth_asking
from kit.exercises.catalogue import Catalogue
from kit.practice.lesson_files import in_reading_order
from kit.practice.spacing import ask_again_on

ROUND_TASKS = 5
MOST_OF_A_LESSON = 2
"""So many tasks a round has, and so many of one lesson while there is anything else. Ours, no source."""
LADDER = {"one": 1, "several": 1, "match": 1, "order": 2, "places": 2, "number": 3, "chart": 3}
TOP_RUNG = 4
"""How hard a kind is: to recognise, to place, to work out or read, to judge (all others). Ours, no source."""
Why = Literal["slipped", "due", "new", "under way"]


@dataclass(frozen=True)
class RoundTask:
    """One task of a round: which exercise, for which criterion, why now, and when that was last asked."""

    exercise: str
    lesson: int
    criterion: str
    why: Why
    last_day: date | None
    done: bool = False


@dataclass(frozen=True)
class _Due:
    criterion: str
    why: Why
    on: date
    safety: bool
    shown: Knowledge


def todays_round(tries: Iterable[Try], catalogue: Catalogue, today: date) -> tuple[RoundTask, ...]:
    """Return the round that somebody is in today, with what of it is done.

    A round stands until each of its tasks was tried; then the next one is worked out. So five more are there
    for who wants them, and nobody has to.

    Parameters
    ----------
    tries : iterable of Try
        All tries of one person.
    catalogue : Catalogue
        Exercises and criteria.
    today : date
        The local day.

    Returns
    -------
    tuple of RoundTask
        At most 5. Empty when nothing is due and nothing is under way. When all are done, the round that was
        just finished, so that the page can say so; ``next_round`` gives the one after.
    """
    before, after = _split(tries, today)
    found = plan(before, catalogue, today)
    while True:
        done = {one.exercise for one in after}
        found = tuple(replace(one, done=one.exercise in done) for one in found)
        if not found or not all(one.done for one in found):
            return found
        end = _left_at(after, {one.exercise for one in found})
        if end == len(after):
            return found
        before, after = [*before, *after[:end]], after[end:]
        found = plan(before, catalogue, today)


def next_round(tries: Iterable[Try], catalogue: Catalogue, today: date) -> tuple[RoundTask, ...]:
    """Return five more tasks for today, worked out from everything tried so far."""
    return plan(tries, catalogue, today)


def plan(tries: Iterable[Try], catalogue: Catalogue, today: date) -> tuple[RoundTask, ...]:
    """Return the tasks most worth doing next, at most 5; two of one lesson side by side only if need be.

    One new task; then what has been due for longest, whether it slipped, was shown, or is under way; of one
    day, what is about safety first. Other orders were tried: ``tests/benchmarks/simulated_year.py`` prints
    how much is still recalled with this one.
    """
    known = list(tries)
    about = catalogue.about(known)
    waiting = sorted(_waiting(about, catalogue, today), key=lambda one: (one.on, not one.safety))
    new = _new(known, catalogue)
    chosen = [new] if new else []
    for most in (MOST_OF_A_LESSON, ROUND_TASKS):
        for one in waiting:
            if one.criterion in {each.criterion for each in chosen} or len(chosen) == ROUND_TASKS:
                continue
            exercise = _exercise_for(one, about.get(one.criterion, []), known, catalogue, chosen)
            lesson = -1 if exercise is None else catalogue.info(exercise).lesson
            if exercise is not None and sum(each.lesson == lesson for each in chosen) < most:
                chosen.append(RoundTask(exercise, lesson, one.criterion, one.why, one.shown.last_day))
    return tuple(_mixed(chosen))


def _split(tries: Iterable[Try], today: date) -> tuple[list[Try], list[Try]]:
    ordered = sorted(tries, key=attrgetter("at", "key"))
    return [one for one in ordered if one.day < today], [one for one in ordered if one.day >= today]


def _left_at(after: Sequence[Try], names: set[str]) -> int:
    """Return where somebody left a finished round: at the first other task, after the last of the round."""
    seen: set[str] = set()
    for n, one in enumerate(after):
        if seen >= names and one.exercise not in names:
            return n
        seen.add(one.exercise)
    return len(after)


def _waiting(about: dict[str, list[Try]], catalogue: Catalogue, today: date) -> Iterable[_Due]:
    """Yield each criterion that was asked before and could be asked today, and why."""
    for name in catalogue.exercises_for:
        one, shown = catalogue.criteria[name], catalogue.known(name, about.get(name, ()))
        on = ask_again_on(about.get(name, ()), shown, catalogue.facts_of, safety=one.safety_critical)
        if on is None:
            continue
        sure = shown.sure_on(today)
        if on <= today and (_missed_last(shown) or sure == "shaky"):
            yield _Due(name, "slipped", on, one.safety_critical, shown)
        elif sure != "quite sure":
            yield _Due(name, "under way", on, one.safety_critical, shown)
        elif on <= today:
            yield _Due(name, "due", on, one.safety_critical, shown)


def _new(tries: Sequence[Try], catalogue: Catalogue) -> RoundTask | None:
    """Return the next task in the order of reading that was never tried.

    Only of a lesson that was begun, and only where something is known of what it builds on.
    """
    tried = {one.exercise for one in tries}
    begun = {catalogue.info(name).lesson for name in tried}
    known = {name for name, shown in catalogue.knowledge(tries).items() if shown.counted}
    for name in in_reading_order(catalogue.ids()):
        info = catalogue.info(name)
        served = [c for c in info.criteria if c in catalogue.criteria]
        ground = {base for c in served for base in catalogue.criteria[c].builds_on} - set(served)
        if name not in tried and info.lesson in begun and served and ground <= known:
            return RoundTask(name, info.lesson, served[0], "new", None)
    return None


def _missed_last(shown: Knowledge) -> bool:
    return bool(shown.missed) and max(shown.missed) > max(shown.counted, default=-1)


def _exercise_for(
    due: _Due, mine: Sequence[Try], tries: Sequence[Try], catalogue: Catalogue, chosen: Sequence[RoundTask]
) -> str | None:
    """Return the exercise to ask with: on the rung of the ladder that fits, the one longest not seen.

    Once the answers speak for knowing it, only one that is worth asking. Before that it is there to learn by.
    """
    taken = {one.exercise for one in chosen}
    begun = {catalogue.info(one.exercise).lesson for one in tries}
    last = {one.exercise: n for n, one in enumerate(sorted(tries, key=attrgetter("at", "key")))}
    free: Sequence[str] = [
        name
        for name in catalogue.exercises_for[due.criterion]
        if name not in taken and catalogue.info(name).lesson in begun
    ]
    if not free:
        return None
    wanted = _rung_wanted(mine, catalogue)
    if due.shown.evidence > 0:
        free = _worth_asking(free, due.criterion, mine, catalogue)
    return min(free, key=lambda name: (abs(_rung(name, catalogue) - wanted), last.get(name, -1)))


def _worth_asking(
    free: Sequence[str], criterion: str, mine: Sequence[Try], catalogue: Catalogue
) -> tuple[str, ...]:
    """Return those of these exercises whose right answer still shows something of the criterion."""
    facts = catalogue.facts_of
    asked = first_tries(sorted(mine, key=attrgetter("at", "key")))
    right = {facts.get(one.exercise, UNMEASURED).kind for one in asked if one.right and not one.helped}
    return worth_asking(
        {name: facts.get(name, UNMEASURED) for name in free},
        Counter(one.exercise for one in asked),
        kinds_right=right,
        kinds=catalogue.kinds_needed.get(criterion, 1),
    )


def _rung(exercise: str, catalogue: Catalogue) -> int:
    facts = catalogue.facts_of.get(exercise)
    return LADDER.get(facts.kind, TOP_RUNG) if facts is not None else 1


def _rung_wanted(mine: Sequence[Try], catalogue: Catalogue) -> int:
    """Return the rung to ask on: one above the last right answer without help, one below the last miss."""
    if not mine:
        return 1
    last = max(mine, key=attrgetter("at", "key"))
    step = 0 if last.right and last.helped else 1 if last.right else -1
    return min(max(_rung(last.exercise, catalogue) + step, 1), TOP_RUNG)


def _mixed(chosen: Sequence[RoundTask]) -> list[RoundTask]:
    """Return the tasks so that neighbours come from different lessons, as far as that goes."""
    left, mixed = list(chosen), list[RoundTask]()
    while left:
        other = [one for one in left if not mixed or one.lesson != mixed[-1].lesson] or left
        crowd = {one.lesson: sum(each.lesson == one.lesson for each in left) for one in other}
        most = max(crowd.values())
        pick = next(one for one in other if crowd[one.lesson] == most)
        mixed.append(pick)
        left.remove(pick)
    return mixed
