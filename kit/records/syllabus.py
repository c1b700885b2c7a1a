"""What taking in asks of the rest of the kit: draw a question again, mark it, and say what it is evidence
for.

One object, so that a test can hand in a small bank of its own and a worker process can make its own copy.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

from kit.files.knowledge import RULE
from kit.marking.model import Outcome, Question

if TYPE_CHECKING:
    from kit.criteria import Criterion


class Syllabus:
    """The kit's own exercises and criteria."""

    def version(self, exercise: str) -> int | None:
        """Return today's version of an exercise, or None if this kit does not have it."""
        from kit import exercises
        from kit.basics.errors import UnknownName

        try:
            return exercises.info(exercise).version
        except UnknownName:
            return None

    def title(self, exercise: str) -> str:
        """Return an exercise's name for people."""
        from kit import exercises

        return exercises.info(exercise).title

    def question(self, exercise: str, seed: int, profile: str) -> Question:
        """Draw a question again."""
        from kit import exercises

        return exercises.question(exercise, seed, profile)

    def fingerprint(self, question: Question) -> str:
        """Return what tells this question from any other."""
        from kit import exercises

        return exercises.fingerprint(question)

    def mark(self, question: Question, answer: Any) -> Outcome:
        """Mark a raw answer."""
        from kit import marking

        return marking.mark(question, answer)

    @cached_property
    def criteria(self) -> Mapping[str, Criterion]:
        """Every criterion by its id, in the order of the work."""
        from kit import criteria

        return {criterion.id: criterion for criterion in criteria.load()}

    @cached_property
    def evidence(self) -> Mapping[str, tuple[str, ...]]:
        """For each exercise: the knowledge criteria it is evidence for, then those it prepares for."""
        from kit import exercises

        found = {}
        for exercise in exercises.ids():
            info = exercises.info(exercise)
            found[exercise] = tuple(dict.fromkeys((*info.criteria, *info.prepares_for)))
        return found

    @cached_property
    def basis(self) -> str:
        """What standings rest on: the rule, the map from exercise to criterion, and what is safety-critical.

        Standings worked out on another basis are worked out again before anyone sees them.
        """
        facts = [
            RULE,
            sorted((name, list(ids)) for name, ids in self.evidence.items()),
            [(c.id, c.kind, c.safety_critical) for c in self.criteria.values()],
        ]
        return hashlib.sha256(json.dumps(facts).encode()).hexdigest()
