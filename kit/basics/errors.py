"""Errors the library raises, and the checks that raise them.

Each error keeps its parts as fields (name, value, what is allowed, likely cause),
so that a view can phrase it and the command can print it as one line.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


class KitError(Exception):
    """The parent of every error this library raises on purpose."""


class OutOfRange(KitError, ValueError):
    """A number lies outside what a formula or a rule allows.

    Examples
    --------
    >>> print(OutOfRange("salt_pct", -1, "0 or more"))
    salt_pct is -1; it must be 0 or more.
    """

    def __init__(self, name: str, value: object, allowed: str, likely_cause: str = "") -> None:
        self.name, self.value, self.allowed, self.likely_cause = name, value, allowed, likely_cause
        shown = f"{value:g}" if isinstance(value, float) else str(value)
        super().__init__(f"{name} is {shown}; it must be {allowed}. {likely_cause}".strip())


class UnknownName(KitError, LookupError):
    """A name is not on the list of known ones. ``near`` is what was probably meant, where the caller knows.

    Examples
    --------
    >>> print(UnknownName("profile", "uk2", ["ie", "uk"]))
    There is no profile called 'uk2'. Did you mean 'uk'? Known: ie, uk.
    """

    def __init__(self, what: str, value: str, known: Iterable[str], near: str = "") -> None:
        self.what, self.value, self.known = what, value, tuple(known)
        from difflib import get_close_matches

        meant = [near] if near else get_close_matches(value, self.known, n=1)
        guess = f"Did you mean {meant[0]!r}? " if meant else ""
        super().__init__(f"There is no {what} called {value!r}. {guess}Known: {', '.join(self.known)}.")


class NotInForce(KitError, ValueError):
    """A rule is asked about a day on which it is not the law: it was replaced, or has not begun.

    ``rule`` is its id, ``day`` the day asked about, ``first`` and ``last`` its own first and last day, and
    ``replaced_by`` the rule that took its place.

    Examples
    --------
    >>> print(NotInForce("old", date(2026, 7, 1), None, date(2026, 6, 30), replaced_by="new"))
    The rule 'old' is not in force on 2026-07-01: its last day was 2026-06-30. Since then it is 'new'.
    >>> print(NotInForce("new", date(2026, 6, 30), date(2026, 7, 1), None))
    The rule 'new' is not in force on 2026-06-30: its first day is 2026-07-01.
    """

    def __init__(
        self, rule: str, day: date, first: date | None, last: date | None, *, replaced_by: str = ""
    ) -> None:
        self.rule, self.day, self.first, self.last, self.replaced_by = rule, day, first, last, replaced_by
        over = last is not None and day > last
        why = f"its last day was {last}" if over else f"its first day is {first}"
        instead = f" Since then it is {replaced_by!r}." if over and replaced_by else ""
        super().__init__(f"The rule {rule!r} is not in force on {day}: {why}.{instead}")


class BadData(KitError, ValueError):
    """A file or a record cannot be read.

    ``where`` names the place (a file, a line), ``problem`` what was found, ``expected`` what should be there.

    Examples
    --------
    >>> print(BadData("cook.csv, line 4", "no number in column 2", "a temperature such as 62.5"))
    cook.csv, line 4: no number in column 2. Expected: a temperature such as 62.5.
    """

    def __init__(self, where: str, problem: str, expected: str = "", likely_cause: str = "") -> None:
        self.where, self.problem, self.expected, self.likely_cause = where, problem, expected, likely_cause
        tail = f" Expected: {expected}." if expected else ""
        super().__init__(f"{where}: {problem}.{tail} {likely_cause}".strip())


def check_range(
    name: str,
    value: ArrayLike,
    *,
    at_least: float | None = None,
    at_most: float | None = None,
    above: float | None = None,
    below: float | None = None,
    likely_cause: str = "",
) -> None:
    """Raise OutOfRange unless every number in ``value`` is finite and within the bounds.

    ``at_least`` and ``at_most`` include the bound; ``above`` and ``below`` do not.

    Examples
    --------
    >>> check_range("rh_pct", 60, at_least=0, at_most=100)
    >>> check_range("rh_pct", 0.6, above=1, likely_cause="Was it given as a fraction?")
    Traceback (most recent call last):
    ...
    kit.basics.errors.OutOfRange: rh_pct is 0.6; it must be above 1. Was it given as a fraction?
    """
    import numpy as np

    words = _allowed_words(at_least, at_most, above, below)
    try:
        numbers = np.asarray(value, dtype=float)
    except (TypeError, ValueError):
        raise OutOfRange(name, value, f"a number, {words}", likely_cause) from None
    bad = ~np.isfinite(numbers)
    for bound, broken in (
        (at_least, np.less),
        (at_most, np.greater),
        (above, np.less_equal),
        (below, np.greater_equal),
    ):
        if bound is not None:
            bad = bad | broken(numbers, bound)
    if np.any(bad):
        raise OutOfRange(name, _first(numbers, bad), words, likely_cause)


def _allowed_words(
    at_least: float | None, at_most: float | None, above: float | None, below: float | None
) -> str:
    parts = []
    if at_least is not None and at_most is not None:
        parts.append(f"from {at_least:g} to {at_most:g}")
    elif at_least is not None:
        parts.append(f"{at_least:g} or more")
    elif at_most is not None:
        parts.append(f"{at_most:g} or less")
    if above is not None:
        parts.append(f"above {above:g}")
    if below is not None:
        parts.append(f"below {below:g}")
    return " and ".join(parts) or "a finite number"


def _first(numbers: Any, bad: Any) -> float:
    import numpy as np

    return float(np.atleast_1d(numbers)[np.atleast_1d(bad)][0])
