"""What practice asks of the floors below: draw a question, tell it from any other, mark an answer.

One object, so that a test can hand in a small bank of its own.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from kit.marking.model import Outcome, Question

if TYPE_CHECKING:
    from kit.criteria import Criterion
    from kit.exercises import Info


class Bank:
    """The kit's own exercises, criteria and rules."""

    def info(self, exercise: str) -> Info:
        """Return what is known of an exercise without drawing it."""
        from kit import exercises

        return exercises.info(exercise)

    def ids(self) -> tuple[str, ...]:
        """Return the ids of the exercises that the kit marks."""
        from kit import exercises

        return exercises.ids()

    def question(self, exercise: str, seed: int, profile: str) -> Question:
        """Return the question that a seed draws."""
        return _question(exercise, seed, profile)

    def fingerprint(self, question: Question) -> str:
        """Return what tells this question from any other."""
        from kit import exercises

        return exercises.fingerprint(question)

    def mark(self, question: Question, answer: Any) -> Outcome:
        """Mark a raw answer."""
        from kit import marking

        return marking.mark(question, answer)

    def profile_fingerprint(self, profile: str) -> str:
        """Return what tells this state of a rule profile from any other."""
        from kit import rules

        return rules.load(profile).fingerprint

    def criteria(self) -> tuple[Criterion, ...]:
        """Return every criterion, in the order of the work."""
        from kit import criteria

        return tuple(criteria.load())


@cache
def _question(exercise: str, seed: int, profile: str) -> Question:
    from kit import exercises

    return exercises.question(exercise, seed, profile)
