"""When a thing that was practised is worth asking again: soon after a miss, ever later after right answers.

The days between are worked out by the ``fsrs`` library, an open model of forgetting. It is told how each day
went, as the estimate of knowledge counts that day. Its own words stay here: no page shows them.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from itertools import groupby
from operator import attrgetter
from typing import TYPE_CHECKING

from kit.criteria.knowledge import UNMEASURED, ExerciseFacts, Knowledge, Try, first_tries, weight

if TYPE_CHECKING:
    from fsrs import Rating, Scheduler

LONGEST_SAFETY_DAYS, LONGEST_DAYS = 180, 365
"""Nothing waits longer than this to be asked again. Ours: common practice, no source."""
CHECK_DAYS = (30, 90)
"""So many days after it was first shown, it is asked again in any case."""
UNTIL_SHOWN_DAYS = 5
"""While practice has not shown a thing, it waits no longer than this. Chosen by ``simulated_year.py``."""
GOOD_DAY = 0.3
"""From this movement of the sum on, a day without a miss went well. About one right answer, hard to guess."""


def ask_again_on(
    tries: Iterable[Try], shown: Knowledge, exercises: Mapping[str, ExerciseFacts], *, safety: bool
) -> date | None:
    """Return the day from which a criterion is worth asking again; None if it was never asked.

    Parameters
    ----------
    tries : iterable of Try
        All tries of one person about one criterion, in any order.
    shown : Knowledge
        What they show.
    exercises : mapping of str to ExerciseFacts
        Facts of the exercises, by id.
    safety : bool
        Whether a mistake can hurt someone: it then never waits longer than 180 days, else 365.

    Examples
    --------
    >>> from kit.criteria.knowledge import knowledge
    >>> noon = datetime(2026, 3, 2, 12, tzinfo=UTC)
    >>> one = Try("cook-lethality", "v1", noon, noon.date(), right=True)
    >>> two = Try("cook-lethality", "v2", noon, noon.date(), right=False)
    >>> ask_again_on([one], knowledge([one]), {}, safety=False)
    datetime.date(2026, 3, 4)
    >>> ask_again_on([two], knowledge([two]), {}, safety=False)
    datetime.date(2026, 3, 3)
    """
    firsts = first_tries(sorted(tries, key=attrgetter("day", "at", "key")))
    if not firsts:
        return None
    spaced = _spaced(firsts, exercises, LONGEST_SAFETY_DAYS if safety else LONGEST_DAYS)
    last = firsts[-1].day
    checks = [] if shown.first_held is None else [shown.first_held + timedelta(days=n) for n in CHECK_DAYS]
    missed_checks = [day for day in checks if last < day]
    building = [] if shown.first_held is not None else [last + timedelta(days=UNTIL_SHOWN_DAYS)]
    fades = [shown.held_until] if shown.held_until is not None else []
    return max(min([spaced, *missed_checks, *building, *fades]), last + timedelta(days=1))


def _spaced(firsts: Sequence[Try], exercises: Mapping[str, ExerciseFacts], longest: int) -> date:
    from fsrs import Card

    card, scheduler = Card(card_id=1), _scheduler(longest)
    for day, of_day in groupby(firsts, key=attrgetter("day")):
        noon = datetime.combine(day, time(12), UTC)
        card, _ = scheduler.review_card(card, _how_it_went(list(of_day), exercises), noon)
    return card.due.date()


def _how_it_went(of_day: Sequence[Try], exercises: Mapping[str, ExerciseFacts]) -> "Rating":
    """Return how a day went: a miss counts most; help, or only what is easily guessed, is half a success."""
    from fsrs import Rating

    if not all(one.right for one in of_day):
        return Rating.Again
    alone = (one for one in of_day if not one.helped)
    moved = sum(weight(True, exercises.get(one.exercise, UNMEASURED).guess_chance) for one in alone)
    return Rating.Good if moved >= GOOD_DAY else Rating.Hard


@cache
def _scheduler(longest: int) -> "Scheduler":
    from fsrs import Scheduler

    return Scheduler(learning_steps=(), relearning_steps=(), maximum_interval=longest, enable_fuzzing=False)
