"""How one person does one step: alone, with a tutor, or not looked at. It follows from the step's criteria.

Papers and the rail read it here, so that nobody is "alone" on one of them and not on another.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from kit.records.competence.assessment import Assessment
from kit.records.people.named_acts import day_words

Way = Literal["alone", "with a tutor", "not looked at"]
SIGN: dict[Way, str] = {"alone": "■", "with a tutor": "◧", "not looked at": "□"}


@dataclass(frozen=True)
class StepStanding:
    """One step of one person: competent on ``holds`` of ``of`` criteria, all of them up to ``until``.

    ``looked_at`` is whether anything is on record about any of them.
    """

    step: str
    holds: int
    of: int
    until: date | None
    looked_at: bool

    @property
    def way(self) -> Way:
        """How the step is done today. "Not looked at" is no failure, and has its own word."""
        if self.of and self.holds == self.of:
            return "alone"
        return "with a tutor" if self.looked_at else "not looked at"

    @property
    def words(self) -> tuple[str, str]:
        """The way with its shape, and a second line: up to which day, or how far it has come."""
        first = f"{SIGN[self.way]} {self.way}"
        if self.way == "alone":
            return first, f"to {day_words(self.until)}" if self.until else "no review date"
        return first, f"{self.holds} of {self.of}" if self.looked_at else ""


def step_standings(stands: Iterable[Assessment], touched: Collection[str]) -> dict[str, StepStanding]:
    """Return how a person does each step, in the order of the work.

    Parameters
    ----------
    stands : iterable of Assessment
        Where they stand on every criterion, in the order of the work.
    touched : collection of str
        The criteria on which anything is on record.
    """
    by_step: dict[str, list[Assessment]] = defaultdict(list)
    for one in stands:
        by_step[one.criterion.step].append(one)
    return {
        step: StepStanding(
            step,
            sum(one.holds for one in here),
            len(here),
            min((one.until for one in here if one.holds and one.until), default=None),
            any(one.criterion.id in touched for one in here),
        )
        for step, here in by_step.items()
    }
