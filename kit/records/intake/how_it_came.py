"""How an answer book came about: what is plain in it, and what a tutor may want to ask about.

It accuses nobody. Each figure has an honest reason as well: a clock set anew, an evening of practice with a
friend, a quick learner. So nothing here changes a mark. The tutor asks aloud. The limits are ours: common
practice, no source.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from math import sqrt
from statistics import median

from sqlalchemy import Connection, Integer, cast, func, select

from kit.basics.quantities import count_of
from kit.records.people.crew import began_on, key_of, names_of
from kit.records.storage import schema

ENOUGH = 20  # fewer answers than this tell nothing about pace or about what was skipped
QUICK_S = 5.0  # a question read and answered in less, in the middle of all [s]
SKIPPED = 2.0  # variants left unanswered for each that was answered
DAYS_AT_ONCE = 6  # so many days of practice in one hand-in
YOUNGER_DAYS = 7  # the book was begun so long after the person
OUT_OF_LINE = 3.5  # standard deviations above what the others' first tries let expect
SIDE_BY_SIDE = timedelta(seconds=60)
ALIKE_SHARE, ALIKE_AT_LEAST = 0.5, 10
SLIPS_AT_LEAST = 6


@dataclass(frozen=True)
class Trait:
    """One figure of a book: what it is about, the figure in words, and whether it is worth asking about.

    ``perhaps`` gives the honest reason that it may have.
    """

    about: str
    figure: str
    ask: bool = False
    perhaps: str = ""


@dataclass(frozen=True)
class _Line:
    position: int
    what: str
    at: datetime
    taking: int
    day: date | None
    variant: tuple[int | None, int | None, int | None]


def traits_of(connection: Connection, person: str) -> tuple[Trait, ...]:
    """Return the figures of a person's book, in a fixed order; none where nothing was taken in.

    Parameters
    ----------
    connection : Connection
        To the records.
    person : str
        The id.

    Raises
    ------
    UnknownName
        If there is no such person.
    """
    key = key_of(connection, person)
    lines = _lines(connection, key)
    if not lines:
        return ()
    return (
        _pace(lines),
        _skipped(lines),
        _at_once(lines),
        _young(lines[0].at.astimezone().date(), began_on(connection, person)),
        _out_of_line(connection, key),
        _side_by_side(connection, key),
        _same_slips(connection, key),
    )


def _lines(connection: Connection, person: int) -> list[_Line]:
    entries = schema.entries.c
    rows = connection.execute(
        select(
            entries.position, entries.what, entries.at, entries.taking, entries.local_day,
            entries.exercise, entries.version, entries.occasion,
        )
        .where(entries.person == person, entries.at.is_not(None))
        .order_by(entries.position)
    )  # fmt: skip
    return [_Line(*row[:5], (row.exercise, row.version, row.occasion)) for row in rows]


def _pace(lines: Sequence[_Line]) -> Trait:
    """How long an answer took: from the line before it, whatever that is."""
    about = "Time for an answer"
    gaps = [
        max((line.at - before.at).total_seconds(), 0.0)
        for before, line in pairwise(lines)
        if line.what == "attempt"
    ]
    if not gaps:
        return Trait(about, "no answer yet")
    middle = median(gaps)
    quick = len(gaps) >= ENOUGH and middle < QUICK_S
    figure = f"{middle:.{0 if middle >= 10 else 2}f} s in the middle of {count_of(len(gaps), 'answer')}"
    return Trait(about, figure, quick, "Perhaps the clock stood still, or the answers lay ready on paper.")


def _skipped(lines: Sequence[_Line]) -> Trait:
    """How many variants were opened and left, for each that was answered."""
    answered = {line.variant for line in lines if line.what == "attempt"}
    left = {line.variant for line in lines if line.what == "opened"} - answered
    share = len(left) / max(len(answered), 1)
    return Trait(
        "Variants left unanswered",
        f"{len(left)} left, {len(answered)} answered",
        len(left) >= ENOUGH and share >= SKIPPED,
        "Perhaps they looked for one that they could do. Looking is no fault.",
    )


def _at_once(lines: Sequence[_Line]) -> Trait:
    """How many days of practice came in one hand-in."""
    days: dict[int, set[date]] = defaultdict(set)
    for line in lines:
        if line.what == "attempt" and line.day is not None:
            days[line.taking].add(line.day)
    most = max((len(each) for each in days.values()), default=0)
    all_days = len(set[date]().union(*days.values()))
    return Trait(
        "Days of practice",
        f"{count_of(all_days, 'day')} in {count_of(len(days), 'hand-in')}, at most {most} in one",
        most >= DAYS_AT_ONCE,
        "Only a hand-in shows that a day had come by then. Ask them to hand in every week.",
    )


def _young(made: date, began: date | None) -> Trait:
    about = "The book was begun"
    if began is None:
        return Trait(about, f"on {made.isoformat()}")
    later = (made - began).days
    figure = f"on {made.isoformat()}, {count_of(later, 'day')} after they began here"
    return Trait(
        about,
        figure if later > 0 else f"on {made.isoformat()}",
        later > YOUNGER_DAYS,
        "Perhaps an older book lies on another machine, or was lost. What it held is not known.",
    )


def _out_of_line(connection: Connection, person: int) -> Trait:
    """First tries that were right, against how often others are right at the same exercises."""
    about = "Right at first"
    tries = schema.first_tries.c
    right = func.sum(cast(tries.right, Integer))
    count = select(tries.exercise, func.count(), right).group_by(tries.exercise)
    mine = {row[0]: (row[1], row[2]) for row in connection.execute(count.where(tries.person == person))}
    others = {row[0]: (row[1], row[2]) for row in connection.execute(count.where(tries.person != person))}
    tried, got = (sum(each) for each in zip(*mine.values(), strict=True)) if mine else (0, 0)
    figure = f"{got} of {count_of(tried, 'first answer')}"
    expected = spread = 0.0
    shared = met = 0
    for exercise in mine.keys() & others.keys():
        (n, was_right), (n_others, right_others) = mine[exercise], others[exercise]
        chance = (right_others + 1) / (n_others + 2)
        expected, shared, met = expected + n * chance, shared + n, met + was_right
        spread += n * chance * (1 - chance) * (1 + n / (n_others + 2))  # nor is the others' rate sure
    if shared < ENOUGH:
        return Trait(about, figure)
    figure += (
        f"; of the {shared} at exercises that others tried too, {met}, where theirs let expect {expected:.0f}"
    )
    far = (met - expected) / sqrt(spread)
    return Trait(about, figure, far > OUT_OF_LINE, "Perhaps they knew it before they came.")


def _side_by_side(connection: Connection, person: int) -> Trait:
    """First tries within a minute of somebody else's at the same exercise."""
    tries = schema.first_tries.c
    mine = connection.execute(select(tries.exercise, tries.at).where(tries.person == person)).all()
    about = "Answers side by side"
    if not mine:
        return Trait(about, "no answer yet")
    times: dict[int, list[datetime]] = defaultdict(list)
    for exercise, at in mine:
        times[exercise].append(at)
    first, last = min(at for _, at in mine), max(at for _, at in mine)
    near: dict[int, set[tuple[int, datetime]]] = defaultdict(set)
    for who, exercise, at in connection.execute(
        select(tries.person, tries.exercise, tries.at).where(
            tries.person != person,
            tries.exercise.in_(times),
            tries.at.between(first - SIDE_BY_SIDE, last + SIDE_BY_SIDE),
        )
    ):
        near[who].update(
            (exercise, mine_at) for mine_at in times[exercise] if abs(mine_at - at) <= SIDE_BY_SIDE
        )
    found = [(len(pairs), who) for who, pairs in near.items() if pairs]
    if not found:
        return Trait(about, "none within 60 s of somebody else's at the same exercise")
    most, other = max(found)
    return Trait(
        about,
        f"{most} of {len(mine)} within 60 s of {_name(connection, other)}'s at the same exercise",
        most >= ALIKE_AT_LEAST and most >= ALIKE_SHARE * len(mine),
        "Perhaps they learn together. Then ask each of them alone.",
    )


def _same_slips(connection: Connection, person: int) -> Trait:
    """The same slip at the same exercise as one other, far more often than the crew's slips let expect."""
    entries, marks = schema.entries.c, schema.marks.c
    rows = connection.execute(
        select(entries.person, entries.exercise, marks.slip)
        .join_from(schema.entries, schema.marks, marks.entry == entries.key)
        .where(marks.slip != "")
        .distinct()
    ).all()
    of: dict[int, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
    common: dict[int, Counter[str]] = defaultdict(Counter)
    for who, exercise, slip in rows:
        of[who][exercise].add(slip)
        common[exercise][slip] += 1
    about, best = "The same slips", (0.0, 0, 0, 0)
    for other in of.keys() - {person}:
        shared = of[person].keys() & of[other].keys()
        same = sum(bool(of[person][one] & of[other][one]) for one in shared)
        chances = [_chance(common[one]) for one in shared]
        spread = sqrt(sum(each * (1 - each) for each in chances))
        far = (same - sum(chances)) / spread if spread else 0.0
        best = max(best, (far, same, len(shared), other))
    far, same, both, other = best
    if both < SLIPS_AT_LEAST:
        return Trait(about, "none shared beyond chance")
    return Trait(
        about,
        f"{same} of the {both} that both they and {_name(connection, other)} slipped at",
        far > OUT_OF_LINE,
        "Perhaps they learned it from the same person, the wrong way. Ask what they did.",
    )


def _chance(slips: Counter[str]) -> float:
    """The chance that two who slip make the same slip, as often as the crew makes each."""
    total = slips.total()
    return sum((times / total) ** 2 for times in slips.values())


def _name(connection: Connection, key: int) -> str:
    people = schema.people.c
    person: str = connection.execute(select(people.person_id).where(people.key == key)).scalar_one()
    return names_of(connection)[person]
