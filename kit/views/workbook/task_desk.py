"""Where a person stands with one exercise, as the page needs it, and what a desk offers a task."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Protocol

from kit.marking.model import Picture


@dataclass(frozen=True)
class ExerciseState:
    """One exercise for one person, now. ``form`` is the question as the page may know it.

    ``verdict`` is a word of `kit.marking.model.Verdict`, ``"kept"`` for an answer in own words, or empty
    before the first answer. ``hints`` are those already asked for; ``worked`` is empty until it
    is earned and asked for.
    """

    exercise: str
    title: str
    variant: int
    form: dict[str, Any]
    picture: Picture | None = None
    verdict: str = ""
    score: float = 0.0
    of: float = 0.0
    message: str = ""
    read_as: str = ""
    answer: Any = None
    tries: int = 0
    hints: tuple[str, ...] = ()
    hints_left: int = 0
    worked: str = ""
    can_worked: bool = False
    can_variant: bool = False
    can_dispute: bool = False
    disputed: bool = False
    run_picture: Picture | None = None


@dataclass(frozen=True)
class BannerLine:
    """What the line at the top says."""

    who: str
    recorded: bool
    why: str
    rules: str


@dataclass(frozen=True)
class ExerciseProgress:
    """How far somebody is with one exercise: new, not yet, partly, right, first (right first time), kept."""

    exercise: str
    title: str
    state: str


class Desk(Protocol):
    """What a task needs from whoever keeps the work. `kit.views.workbook.practice_desk` is the real one."""

    recorded: bool

    def standing(self, exercise: str) -> ExerciseState:
        """Return where the person stands."""

    def check(self, exercise: str, answer: Any) -> ExerciseState:
        """Mark and keep an answer."""

    def hint(self, exercise: str) -> ExerciseState:
        """Give the next hint."""

    def worked(self, exercise: str) -> ExerciseState:
        """Give the worked answer, if it is earned."""

    def next_variant(self, exercise: str) -> ExerciseState:
        """Draw another variant."""

    def dispute(self, exercise: str, text: str) -> ExerciseState:
        """Keep a dispute of the last mark for the tutor."""

    def head(self) -> BannerLine:
        """Return who is working, and under which rules."""

    def rows(self, exercises: Iterable[str]) -> tuple[ExerciseProgress, ...]:
        """Return how far the person is with each exercise."""
