"""What speaks against an observation as it is entered: days late, or weights that no step of the work makes.

Neither is a reading against the kitchen's rules. A written reason lets it stand, and is printed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from kit.records.competence.readings import Contradiction

LATE_AFTER_DAYS = 7
"""An observation entered later than this after its day needs a printed reason; common practice, no source."""
LEAST_LEFT = 0.5
"""No step of this work takes half of the weight; more is another tray or a mistake. Ours."""
OF_ENTRY = frozenset({"late", "weights", "no paper", "late answers"})
"""What a reason at the observation settles for good: a decision that rests on it needs none of its own."""


def of_entry(facts: Mapping[str, Any], today: date) -> Iterator[Contradiction]:
    """Yield what speaks against an observation of something met, as it is entered.

    Parameters
    ----------
    facts : mapping
        Its ``day``, ``points`` and ``measures``.
    today : date
        The local day of the entry.

    Examples
    --------
    >>> weights = {"weight_before_g": 1400, "weight_after_g": 520}
    >>> facts = {"day": "2026-03-02", "points": {"COK-P01": "met"}, "measures": weights}
    >>> [one.says for one in of_entry(facts, date(2026, 3, 3))]
    ['of 1400 g only 520 g are left, a loss of 63 %.']
    """
    met = [criterion for criterion, outcome in facts["points"].items() if outcome == "met"]
    if not met:
        return
    days = (today - date.fromisoformat(facts["day"])).days
    if days > LATE_AFTER_DAYS:
        says = f"it was entered {days} days after its day; after {LATE_AFTER_DAYS} days that needs a reason."
        yield Contradiction(met[0], "late", says)
    before, after = (facts["measures"].get(name) for name in ("weight_before_g", "weight_after_g"))
    if before and after is not None and after < before * LEAST_LEFT:
        says = f"of {before:g} g only {after:g} g are left, a loss of {100 * (1 - after / before):.0f} %."
        yield Contradiction(met[0], "weights", says)
