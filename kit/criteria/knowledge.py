"""When practice shows that somebody knows a thing: one rule, used on both sides of the answer book.

A criterion's knowledge is shown in practice when variants of its exercises were right first time, without
help, on enough different local days: 2, or 3 where a mistake can hurt someone. For those safety-critical
criteria a miss starts the count again, also after it was shown. Practice is done alone, so it is evidence
and never a decision.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

RULE = "right-first-time-on-different-days/1"
DAYS_NEEDED = 2
DAYS_NEEDED_SAFETY_CRITICAL = 3


@dataclass(frozen=True)
class Try:
    """One marked attempt, as far as the rule cares.

    ``variant`` tells one drawn question from another (its fingerprint); ``day`` is the local date;
    ``helped`` means that a hint or the worked answer came before it; ``key`` is whatever the caller finds
    the attempt by.
    """

    exercise: str
    variant: str
    at: datetime
    day: date
    right: bool
    helped: bool = False
    key: int = 0


def first_tries(tries: Iterable[Try], seen: Iterable[tuple[str, str]] = ()) -> tuple[Try, ...]:
    """Return the first of these tries at each variant; ``seen`` were tried before."""
    tried, found = set(seen), []
    for one in tries:
        if (one.exercise, one.variant) not in tried:
            tried.add((one.exercise, one.variant))
            found.append(one)
    return tuple(found)


@dataclass(frozen=True)
class Knowledge:
    """What the tries show: is it held, on how many days of those needed, and by which tries.

    ``counted`` and ``missed`` are keys of tries; for a safety-critical criterion ``missed`` ends with the
    miss that started the count again. ``first_tries`` is how many variants were tried at all, from
    ``first_day`` to ``last_day``. ``first_held`` is the day on which it was held for the first time, whatever
    came later.
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


def knowledge(tries: Iterable[Try], *, safety_critical: bool) -> Knowledge:
    """Return what these tries, all for one person and one criterion, show.

    Only the first try at a variant counts. Two variants on one day count as one day. A right answer after
    a hint shows nothing either way.

    Examples
    --------
    >>> from datetime import UTC
    >>> def on(day, right=True):
    ...     at = datetime(2026, 3, day, 9, tzinfo=UTC)
    ...     return Try("cook-lethality", f"v{day}", at, at.date(), right)
    >>> knowledge([on(2), on(4)], safety_critical=False).held
    True
    >>> knowledge([on(2), on(4)], safety_critical=True).held
    False
    >>> knowledge([on(2), on(4), on(5), on(9, right=False)], safety_critical=True).held
    False
    """
    needed = DAYS_NEEDED_SAFETY_CRITICAL if safety_critical else DAYS_NEEDED
    firsts = first_tries(sorted(tries, key=lambda t: (t.at, t.key)))
    counted: dict[date, int] = {}
    missed: list[int] = []
    held: date | None = None
    for one in firsts:
        if not one.right:
            missed.append(one.key)
            if safety_critical:
                counted.clear()
        elif not one.helped:
            counted.setdefault(one.day, one.key)
            held = held or (one.day if len(counted) >= needed else None)
    days, keys = len(counted), (tuple(counted.values()), tuple(missed))
    first, last = (firsts[0].day, max(one.day for one in firsts)) if firsts else (None, None)
    return Knowledge(days >= needed, days, needed, *keys, len(firsts), last, first, held)
