"""Which exercises a test paper asks: the stated, versioned rule that makes papers of one plan equally hard.

Rule ``measured-facility/1``. The difficulty of an exercise is its measured facility: the share of people who
were right at the first meeting, in practice. An exercise with too few people takes the mean of those of its
kind, else of all. For each task three exercises are taken by chance, of those that the plan may ask; the one
that keeps the paper's expected points nearest to the plan's own is asked. The plan's own are the points that
all its exercises would give, each criterion weighed as the plan asks. With nothing measured, chance decides
alone. Practice is easier than a sitting, so expected points are for comparing papers, and for nothing else.
"""

from __future__ import annotations

import secrets
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from statistics import fmean

from kit.basics.errors import check_range
from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import PaperPlan, fitting

RULE = "measured-facility/1"
"""Raise its number when the rule changes: each paper says by which one it was chosen."""
CANDIDATES = 3
"""Of so many exercises, taken by chance, the one that fits best is asked. Ours."""


@dataclass(frozen=True)
class Difficulty:
    """How hard a paper is: points expected of who practises, and of how many tasks that was measured."""

    expected: float
    measured: int
    rule: str = RULE


def choose(
    catalogue: Catalogue,
    plan: PaperPlan,
    before: Collection[str],
    facility: Mapping[str, float],
    random: Random | None = None,
) -> list[tuple[str, str]]:
    """Return criterion and exercise of each task: other exercises than before, and other kinds, first.

    Parameters
    ----------
    catalogue : Catalogue
        What exercises there are.
    plan : PaperPlan
        What to ask.
    before : collection of str
        Exercises to leave out while there is another.
    facility : mapping of str to float
        The measured share right, by exercise; those without enough people are left out. From 0 to 1.
    random : Random, optional
        For tests. Default: the system's own.

    Raises
    ------
    OutOfRange
        If a facility is no share.
    """
    check_range("facility", list(facility.values()), at_least=0, at_most=1)
    chance = random or secrets.SystemRandom()
    pools = {criterion: fitting(catalogue, criterion) for criterion in plan.tasks}
    shares = _shares(catalogue, {each for pool in pools.values() for each in pool}, facility)
    found: list[tuple[str, str]] = []
    behind = 0.0  # by how many points the tasks so far are easier than the plan's own
    for criterion, count in plan.tasks.items():
        pool, kinds = list(pools[criterion]), list[str]()
        own = fmean(shares[each] for each in pool)
        for _ in range(count):
            used = {one for _, one in found}
            ranks = {
                each: (each in before, each in used, kinds.count(catalogue.facts_of[each].kind))
                for each in pool
            }
            best = [each for each in pool if ranks[each] == min(ranks.values())]
            some = chance.sample(best, min(CANDIDATES, len(best)))
            pick = min(some, key=lambda each: abs(behind + shares[each] - own)) if facility else some[0]
            behind += shares[pick] - own
            pool.remove(pick)
            kinds.append(catalogue.facts_of[pick].kind)
            found.append((criterion, pick))
    return found


def difficulty_of(
    catalogue: Catalogue, exercises: Sequence[str], facility: Mapping[str, float]
) -> Difficulty | None:
    """Return how hard a paper with these exercises is, or None where nothing of it was measured."""
    measured = sum(each in facility for each in exercises)
    if not measured:
        return None
    shares = _shares(catalogue, set(exercises), facility)
    return Difficulty(round(sum(shares[each] for each in exercises), 2), measured)


def _shares(catalogue: Catalogue, wanted: set[str], facility: Mapping[str, float]) -> dict[str, float]:
    """Return the share of each exercise: measured, else the mean of its kind, else of all."""
    if not facility:
        return dict.fromkeys(wanted, 0.0)
    by_kind: dict[str, list[float]] = {}
    for name, share in facility.items():
        if name in catalogue.facts_of:
            by_kind.setdefault(catalogue.facts_of[name].kind, []).append(share)
    usual = fmean(facility.values())
    means = {kind: fmean(found) for kind, found in by_kind.items()}
    return {name: facility.get(name, means.get(catalogue.facts_of[name].kind, usual)) for name in wanted}
