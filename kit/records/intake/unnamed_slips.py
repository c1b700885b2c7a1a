"""Wrong answers that met only a general sentence, gathered from the books taken in, for authors."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from kit.basics.errors import KitError
from kit.exercises.catalogue import Catalogue
from kit.records.intake.attempts import UnnamedAnswer, unnamed_answers
from kit.records.storage.store import Records
from kit.rules import load

EXAMPLES = 3
"""How many different answers of an exercise are told."""


@dataclass(frozen=True)
class UnnamedSlip:
    """An exercise with its unnamed wrong answers: how many, of how many people, and the most frequent ones.

    Each example is an answer as marking reads it, a seed of the question it was given to, and how often.
    """

    exercise: str
    times: int
    people: int
    examples: tuple[tuple[str, int, int], ...]

    def line(self) -> str:
        """Return one line for an author."""
        given = "; ".join(f"{answer!r} (seed {seed}, {times} times)" for answer, seed, times in self.examples)
        return f"{self.exercise}: {self.times} of {self.people} people: {given}"


def unnamed_slips(records: Records, catalogue: Catalogue | None = None) -> tuple[UnnamedSlip, ...]:
    """Return what wrong answers on record show no known slip, the most frequent exercise first.

    One exercise is one row, whatever its variants: the same mistake gives other numbers there.
    """
    bank, found = catalogue or Catalogue(), defaultdict(list)
    for one in unnamed_answers(records):
        found[one.exercise].append(one)
    rows = [
        UnnamedSlip(exercise, len(given), len({one.person for one in given}), _examples(given, bank))
        for exercise, given in found.items()
    ]
    return tuple(sorted(rows, key=lambda row: (-row.times, row.exercise)))


def _examples(given: Sequence[UnnamedAnswer], bank: Catalogue) -> tuple[tuple[str, int, int], ...]:
    """Return the most frequent answers to one variant each, drawn again so that they read as words."""
    asked = {(str(one.answer), one.seed, one.profile): one for one in given}
    times = Counter((str(one.answer), one.seed, one.profile) for one in given)
    return tuple((_read(asked[key], bank), key[1], count) for key, count in times.most_common(EXAMPLES))


def _read(one: UnnamedAnswer, bank: Catalogue) -> str:
    try:
        question = bank.question(one.exercise, one.seed, load(one.profile))
        return bank.mark(question, one.answer).read_as or str(one.answer)
    except KitError:  # a kitchen's own rules, or an exercise that is gone: the raw answer has to do
        return str(one.answer)
