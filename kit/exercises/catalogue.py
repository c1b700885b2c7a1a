"""The one catalogue: which exercises there are, which criteria, what serves what; drawing, marking.

Both sides of an answer book ask it the same questions. One object, so that a test can hand in a small one of
its own and a worker process can make its own copy.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any

from kit import criteria
from kit.criteria import Criterion
from kit.criteria.knowledge import (
    KINDS_NEEDED,
    ORDINARY,
    RULE,
    SAFETY,
    UNMEASURED,
    Bounds,
    ExerciseFacts,
    Knowledge,
    Try,
    knowledge,
)
from kit.exercises.engine import fingerprints, registry
from kit.exercises.engine.measured import measured
from kit.exercises.engine.registry import Info
from kit.marking.marker import mark
from kit.marking.model import Outcome, Question

if TYPE_CHECKING:
    from kit.rules import Profile


class Catalogue:
    """The kit's own exercises and criteria."""

    ordinary: Bounds = ORDINARY
    safety: Bounds = SAFETY

    def ids(self) -> tuple[str, ...]:
        """Return the ids of the exercises that the kit marks."""
        return registry.ids()

    def info(self, exercise: str) -> Info:
        """Return what is known of an exercise without drawing it.

        Raises
        ------
        UnknownName
            If this kit has no such exercise.
        """
        return registry.info(exercise)

    def question(self, exercise: str, seed: int, profile: Profile) -> Question:
        """Return the question that a seed draws under these rules."""
        return _question(exercise, seed, profile)

    def fingerprint(self, question: Question) -> str:
        """Return what tells this question from any other."""
        return fingerprints.fingerprint(question)

    def content_print(self, question: Question) -> str:
        """Return what tells whether a question asks anything new, whatever the order of its options."""
        return fingerprints.content_print(question)

    def mark(self, question: Question, answer: Any) -> Outcome:
        """Mark a raw answer."""
        return mark(question, answer)

    @cached_property
    def criteria(self) -> Mapping[str, Criterion]:
        """Every criterion by its id, in the order of the work."""
        return {criterion.id: criterion for criterion in criteria.load()}

    @cached_property
    def evidence(self) -> Mapping[str, tuple[str, ...]]:
        """For each exercise: the knowledge criteria it is evidence for, then those it prepares for."""
        about = {exercise: self.info(exercise) for exercise in self.ids()}
        return {name: tuple(dict.fromkeys((*one.criteria, *one.prepares_for))) for name, one in about.items()}

    @cached_property
    def exercises_for(self) -> Mapping[str, tuple[str, ...]]:
        """For each knowledge criterion that has any: the exercises that are evidence for it."""
        serving: dict[str, list[str]] = defaultdict(list)
        for exercise in self.ids():
            for criterion in self.info(exercise).criteria:
                serving[criterion].append(exercise)
        return {criterion: tuple(serving[criterion]) for criterion in self.criteria if criterion in serving}

    @cached_property
    def serving(self) -> Mapping[str, tuple[str, ...]]:
        """For each criterion that has any: the exercises that are evidence for it or prepare for it."""
        found: dict[str, list[str]] = defaultdict(list)
        for exercise, served in self.evidence.items():
            for criterion in served:
                found[criterion].append(exercise)
        return {criterion: tuple(exercises) for criterion, exercises in found.items()}

    @cached_property
    def facts_of(self) -> Mapping[str, ExerciseFacts]:
        """For each exercise: its measured chance to be guessed, and its kind of question."""
        return measured()

    @cached_property
    def kinds_needed(self) -> Mapping[str, int]:
        """For each criterion: of how many kinds the right answers must be; 2, where it has so many."""
        kinds = {
            criterion: {self.facts_of.get(name, UNMEASURED).kind for name in serving}
            for criterion, serving in self.serving.items()
        }
        return {criterion: min(len(found), KINDS_NEEDED) for criterion, found in kinds.items()}

    def knowledge(self, tries: Iterable[Try]) -> dict[str, Knowledge]:
        """Return what these tries, all of one person, show for each criterion that they touch."""
        return {name: self.known(name, found) for name, found in self.about(tries).items()}

    def about(self, tries: Iterable[Try]) -> dict[str, list[Try]]:
        """Return these tries by the criteria that they are evidence for or prepare for."""
        found: dict[str, list[Try]] = defaultdict(list)
        for one in tries:
            for criterion in self.evidence.get(one.exercise, ()):
                found[criterion].append(one)
        return {name: tries for name, tries in found.items() if name in self.criteria}

    def known(self, criterion: str, tries: Iterable[Try] = ()) -> Knowledge:
        """Return what these tries, all of one person and about this criterion, show for it."""
        bounds, kinds = self.bounds(criterion), self.kinds_needed.get(criterion, 1)
        return knowledge(tries, bounds, exercises=self._serving_facts.get(criterion, {}), kinds=kinds)

    @cached_property
    def _serving_facts(self) -> Mapping[str, Mapping[str, ExerciseFacts]]:
        """For each criterion: what was measured of the exercises that serve it."""
        return {
            criterion: {name: self.facts_of.get(name, UNMEASURED) for name in serving}
            for criterion, serving in self.serving.items()
        }

    def bounds(self, criterion: str) -> Bounds:
        """Return how much evidence of practice a criterion takes."""
        return self.safety if self.criteria[criterion].safety_critical else self.ordinary

    @cached_property
    def basis(self) -> str:
        """What standings rest on: the rule, the map from exercise to criterion, and what is safety-critical.

        Standings worked out on another basis are worked out again before anyone sees them.
        """
        facts = [
            RULE,
            sorted((name, list(ids)) for name, ids in self.evidence.items()),
            [(c.id, c.kind, c.safety_critical) for c in self.criteria.values()],
            sorted(self.facts_of.items()),
        ]
        return hashlib.sha256(json.dumps(facts).encode()).hexdigest()


@lru_cache(maxsize=512)
def _question(exercise: str, seed: int, profile: Profile) -> Question:
    return registry.question(exercise, seed, profile)
