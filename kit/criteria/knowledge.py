"""When practice shows that somebody knows a thing: one rule, used on both sides of the answer book.

Each first try at a new question moves a sum. It rises with a right answer, and more so the harder the
question is to guess; it falls with a miss. How easily it is guessed grows with what was seen before: the
first question of an exercise weighs by what those get right who know nothing, the fourth by what three
remembered answers give away. High enough, over enough different days and kinds of question, the criterion is
shown. The sum goes on after that: misses bring it down again, and so does time without practice. Practice is
done alone, so it is evidence and never a decision.

The sum is Wald's sequential test of one mastery against another: the logarithm of how much likelier the
answers are from somebody who knows 9 of 10 such things than from somebody who knows half of them. Source:
A. Wald, "Sequential Tests of Statistical Hypotheses", Annals of Mathematical Statistics 16 (1945): from
memory, confirm. The bounds were chosen by simulation: ``tests/benchmarks/knowledge_figures.py`` prints what
they reach.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import lru_cache
from itertools import pairwise
from math import ceil, log, log2
from types import MappingProxyType
from typing import Literal, NamedTuple

RULE = "sequential-test-over-fresh-questions/3"
KNOWS, HALF_KNOWS = 0.9, 0.5
"""The two masteries the test tells apart. [share of such questions that the person knows]"""
MISS_CHANCE = 0.07
"""How often somebody who knows it still answers wrong."""
GUESS_CHANCE = 0.25
"""How often somebody who knows nothing is right, where it was not measured."""
HALF_LIFE_DAYS = 180
"""After so many days without practice half of the sum is left. Ours: common practice, no source."""
TOO_MANY = 40
"""So many right answers nobody is asked for: practice alone will hardly show it, somebody must ask aloud."""
KINDS_NEEDED = 2
"""Of so many kinds of question right answers must be, where a criterion has them."""
Sure = Literal["not begun", "not enough yet", "quite sure", "shaky"]


@dataclass(frozen=True)
class Bounds:
    """How high the sum must come, how far it may go, what keeps it, and on how many different days.

    ``lowest`` and ``highest`` hold the sum, so that neither a bad start nor long diligence counts for ever.
    Once shown, it stays shown down to ``kept``.
    """

    shown: float
    kept: float
    lowest: float
    highest: float
    days: int


ORDINARY = Bounds(shown=2.9, kept=1.5, lowest=-3.0, highest=6.0, days=2)
SAFETY = Bounds(shown=4.4, kept=3.1, lowest=-3.0, highest=7.4, days=3)
"""Where a mistake can hurt someone."""


@dataclass(frozen=True)
class Try:
    """One marked attempt, as far as the rule cares.

    ``variant`` tells one question from another by what it asks, not by the order of its options; ``day`` is
    the local date; ``helped`` means that a hint or the worked answer came before it; ``key`` is whatever the
    caller finds the attempt by.
    """

    exercise: str
    variant: str
    at: datetime
    day: date
    right: bool
    helped: bool = False
    key: int = 0


SEEN = (0, 1, 3, 8)
"""After so many other questions of an exercise the panel measured how far memory alone gets."""


class ExerciseFacts(NamedTuple):
    """What the rule must know of an exercise: its chance to be guessed, and what kind of question it is.

    ``guess_chance`` is that of the first question. Whoever remembers earlier ones guesses better:
    ``remembering`` is the chance after each number of ``SEEN``; empty where it was not measured.
    """

    guess_chance: float = GUESS_CHANCE
    kind: str = ""
    remembering: tuple[float, ...] = ()

    def chance_after(self, seen: int) -> float:
        """Return the chance to be guessed by who saw so many other questions of the exercise.

        Examples
        --------
        >>> facts = ExerciseFacts(0.1, "match", (0.1, 0.2, 0.6, 0.9))
        >>> facts.chance_after(0), round(facts.chance_after(2), 2), facts.chance_after(20)
        (0.1, 0.4, 0.9)
        """
        if not self.remembering:
            return self.guess_chance
        points = list(zip(SEEN, self.remembering, strict=True))
        for (few, low), (many, high) in pairwise(points):
            if seen <= many:
                return low + (high - low) * (seen - few) / (many - few)
        return self.remembering[-1]


UNMEASURED = ExerciseFacts()


def first_tries(tries: Iterable[Try], seen: Iterable[tuple[str, str]] = ()) -> tuple[Try, ...]:
    """Return the first of these tries at each variant; ``seen`` were tried before."""
    tried, found = set(seen), []
    for one in tries:
        if (one.exercise, one.variant) not in tried:
            tried.add((one.exercise, one.variant))
            found.append(one)
    return tuple(found)


def right_chance(mastery: float, guess_chance: float) -> float:
    """Return how often somebody is right at a fresh question.

    Parameters
    ----------
    mastery : float
        Share of such questions that the person knows. [0 to 1]
    guess_chance : float
        Chance to be right without knowing. [0 to 1]

    Examples
    --------
    >>> round(right_chance(0.5, 0.2), 3), round(right_chance(1, 0.2), 3)
    (0.565, 0.93)
    """
    return mastery * (1 - MISS_CHANCE) + (1 - mastery) * guess_chance


@lru_cache(maxsize=4096)
def weight(right: bool, guess_chance: float) -> float:
    """Return by how much one first try moves the sum. A right answer that is easily guessed is worth little.

    Examples
    --------
    >>> round(weight(True, 0.05), 2), round(weight(True, 0.33), 2), round(weight(False, 0.2), 2)
    (0.54, 0.32, -1.11)
    >>> weight(True, 1.0), weight(False, 1.0)  # everybody is right: it says nothing
    (0.0, 0.0)
    """
    guessed = min(guess_chance, 1 - MISS_CHANCE)
    sure, half = right_chance(KNOWS, guessed), right_chance(HALF_KNOWS, guessed)
    return log(sure / half) if right else log((1 - sure) / (1 - half))


@dataclass(frozen=True)
class Knowledge:
    """What the tries show: is it held, how sure that is, on how many days, and by which tries.

    ``counted`` and ``missed`` are keys of tries: those that were right, unhelped, and those that were wrong.
    ``first_tries`` is how many questions were tried at all, from ``first_day`` to ``last_day``.
    ``first_held`` is the day on which it was held for the first time, and ``tries_to_hold`` after how many
    first tries, whatever came later. ``held_until`` is the last day on which it holds without more practice.
    ``lost_on`` is the day on which later misses took it away, where they did. ``held`` is as of the last try:
    ask ``sure_on`` for a day, since what is not used fades. ``worth`` is by how much a right answer moves the
    sum now, on average over the exercises that serve the criterion.
    """

    held: bool
    days_right: int
    days_needed: int
    counted: tuple[int, ...]
    missed: tuple[int, ...]
    first_tries: int
    last_day: date | None
    first_day: date | None = None
    first_held: date | None = None
    evidence: float = 0.0
    evidence_needed: float = ORDINARY.shown
    worth: float = 0.0
    kinds_right: int = 0
    kinds_needed: int = 1
    tries_to_hold: int | None = None
    held_until: date | None = None
    lost_on: date | None = None

    @property
    def still(self) -> int:
        """About how many more questions are to be got right, if none goes wrong; at most ``TOO_MANY``."""
        if self.held:
            return 0
        away = max(0.0, self.evidence_needed - self.evidence)
        if away >= TOO_MANY * self.worth:
            return TOO_MANY
        lacking = ceil(away / self.worth - 1e-9) if away else 0
        return max(lacking, self.days_needed - self.days_right, self.kinds_needed - self.kinds_right, 1)

    @property
    def notches(self) -> int:
        """How far it has come, in as many notches as days are needed; all of them once it is held."""
        if self.held:
            return self.days_needed
        share = max(0.0, self.evidence / self.evidence_needed)
        return min(int(share * self.days_needed), self.days_right, self.days_needed - 1)

    def sure_on(self, day: date) -> Sure:
        """Return in words how sure it is on a day."""
        return sure_on(day, self.held_until, self.first_held, self.first_tries)


def sure_on(day: date, held_until: date | None, first_held: date | None, tries: int) -> Sure:
    """Return in words how sure it is on a day; ``shaky`` was shown before and is not any more.

    Parameters
    ----------
    day : date
        The local day.
    held_until, first_held : date or None
        As in ``Knowledge``.
    tries : int
        How many questions were tried.

    Examples
    --------
    >>> first, until = date(2026, 3, 4), date(2026, 9, 1)
    >>> sure_on(date(2026, 9, 1), until, first, 8), sure_on(date(2026, 9, 2), until, first, 8)
    ('quite sure', 'shaky')
    """
    if held_until is not None and day <= held_until:
        return "quite sure"
    if first_held is not None:
        return "shaky"
    return "not enough yet" if tries else "not begun"


@dataclass
class _Sum:
    """The sum on its way through the first tries, in the order of time."""

    bounds: Bounds
    kinds_needed: int
    evidence: float = 0.0
    held: bool = False
    seen: Counter[str] = field(default_factory=Counter)
    days: set[date] = field(default_factory=set)
    kinds: set[str] = field(default_factory=set)
    counted: list[int] = field(default_factory=list)
    missed: list[int] = field(default_factory=list)
    last: date | None = None
    first_held: date | None = None
    tries_to_hold: int | None = None
    lost_on: date | None = None

    def take(self, one: Try, facts: ExerciseFacts, number: int) -> None:
        """Take one more first try."""
        gap = (one.day - self.last).days if self.last is not None else 0
        if gap > 0 and self.evidence > 0:
            self.evidence *= 0.5 ** (gap / HALF_LIFE_DAYS)
        self.last = max(self.last, one.day) if self.last else one.day
        chance = facts.chance_after(self.seen[one.exercise])
        self.seen[one.exercise] += 1
        if one.right and one.helped:
            return
        moved = self.evidence + weight(one.right, chance)
        self.evidence = min(max(moved, self.bounds.lowest), self.bounds.highest)
        (self.counted if one.right else self.missed).append(one.key)
        if one.right:
            self.days.add(one.day)
            self.kinds.add(facts.kind)
        self._settle(one.day, number)

    def _settle(self, day: date, number: int) -> None:
        enough = len(self.days) >= self.bounds.days and len(self.kinds) >= self.kinds_needed
        if enough and self.evidence >= self.bounds.shown:
            if self.first_held is None:
                self.first_held, self.tries_to_hold = day, number
            self.held, self.lost_on = True, None
        elif self.held and self.evidence < self.bounds.kept:
            self.held, self.lost_on = False, day

    def held_until(self) -> date | None:
        """Return the last day on which the sum is still high enough to keep what was shown."""
        if not self.held or self.last is None:
            return None
        return self.last + timedelta(days=int(HALF_LIFE_DAYS * log2(self.evidence / self.bounds.kept)))


def _worth(exercises: Mapping[str, ExerciseFacts], seen: Mapping[str, int]) -> float:
    worth = [weight(True, one.chance_after(seen.get(name, 0))) for name, one in exercises.items()]
    return sum(worth) / len(worth) if worth else weight(True, GUESS_CHANCE)


def knowledge(
    tries: Iterable[Try],
    bounds: Bounds = ORDINARY,
    *,
    exercises: Mapping[str, ExerciseFacts] = MappingProxyType({}),
    kinds: int = 1,
) -> Knowledge:
    """Return what these tries, all for one person and one criterion, show.

    Only the first try at a variant counts. A right answer after a hint shows nothing either way; a wrong one
    counts as a miss.

    Parameters
    ----------
    tries : iterable of Try
        In any order.
    bounds : Bounds
        ``ORDINARY``, or ``SAFETY`` where a mistake can hurt someone.
    exercises : mapping of str to ExerciseFacts
        The exercises that serve the criterion, by id.
    kinds : int
        How many kinds of question must have been answered right. [1 or more]

    Examples
    --------
    >>> from datetime import UTC
    >>> def on(day, number, right=True):
    ...     at = datetime(2026, 3, day, 9, number, tzinfo=UTC)
    ...     return Try("cook-lethality", f"v{day}-{number}", at, at.date(), right)
    >>> eight = [on(day, number) for day in (2, 4) for number in range(4)]
    >>> found = knowledge(eight)
    >>> found.held, found.tries_to_hold, found.held_until
    (True, 8, datetime.date(2026, 9, 1))
    >>> knowledge(eight, SAFETY).held
    False
    >>> missed = [on(day, 1, right=False) for day in (5, 6)]
    >>> knowledge([*eight, *missed]).sure_on(date(2026, 3, 7))
    'shaky'
    """
    firsts = first_tries(sorted(tries, key=lambda t: (t.at, t.key)))
    running = _Sum(bounds, kinds)
    for number, one in enumerate(firsts, start=1):
        running.take(one, exercises.get(one.exercise, UNMEASURED), number)
    first, last = (firsts[0].day, max(one.day for one in firsts)) if firsts else (None, None)
    return Knowledge(
        held=running.held,
        days_right=len(running.days),
        days_needed=bounds.days,
        counted=tuple(running.counted),
        missed=tuple(running.missed),
        first_tries=len(firsts),
        last_day=last,
        first_day=first,
        first_held=running.first_held,
        evidence=running.evidence,
        evidence_needed=bounds.shown,
        worth=_worth(exercises, running.seen),
        kinds_right=len(running.kinds),
        kinds_needed=kinds,
        tries_to_hold=running.tries_to_hold,
        held_until=running.held_until(),
        lost_on=running.lost_on,
    )
