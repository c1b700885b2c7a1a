"""What measured difficulty could give the estimate of knowledge and the ladder, at the very most.

    python tests/benchmarks/difficulty_bound.py [--people 4000]

The rule of knowledge takes one chance to miss for all exercises, 7 of 100. Here each exercise of an invented
criterion has its own, from 1 to 25 of 100, 7 in the mean. The same people answer once; the sum is worked out
by today's rule, and by one that knows every true chance, as no measurement ever could. The difference is the
most that difficulty can give.

Then the ladder: its four rungs as quarters of the true difficulties. Of how many exercises does the measured
facility say the rung, its whole 95 % interval inside one quarter, in crews of so many people?
"""

from __future__ import annotations

import argparse
import random
from math import log
from statistics import median

import numpy as np

from kit import statistics
from kit.criteria.knowledge import HALF_KNOWS, KNOWS, MISS_CHANCE, ORDINARY, SAFETY, Bounds, weight
from kit.statistics import invented_crew as crew

GUESS, SERVING, ANSWERS, A_DAY, NEVER = 0.12, 6, 40, 4, 10**6
MISSES = (0.01, 0.02, 0.03, 0.04, 0.07, 0.25)
"""How often who knows it misses, by exercise; 0.07 in the mean."""
EXERCISES, CREWS = 140, (12, 60, 300, 2_000)


def chance(mastery: float, miss: float) -> float:
    """Return how often somebody is right at a question with its own chance to miss."""
    return mastery * (1 - miss) + (1 - mastery) * GUESS


def moved(right: bool, miss: float) -> float:
    """Return by how much an answer moves the sum, were that chance known; with 0.07 it is today's weight."""
    sure, half = chance(KNOWS, miss), chance(HALF_KNOWS, miss)
    return log(sure / half) if right else log((1 - sure) / (1 - half))


def answers_until(told: list[tuple[int, bool]], bounds: Bounds, misses: tuple[float, ...]) -> int:
    """Return after how many answers the sum stands high enough, over enough days."""
    stands, days = 0.0, set[int]()
    for number, (exercise, right) in enumerate(told):
        stands = min(max(stands + moved(right, misses[exercise]), bounds.lowest), bounds.highest)
        days |= {number // A_DAY} if right else set()
        if stands >= bounds.shown and len(days) >= bounds.days:
            return number + 1
    return NEVER


def estimate(people: int) -> None:
    """Print who is shown, by today's rule and by one that knows every difficulty."""
    flat = (MISS_CHANCE,) * SERVING
    assert moved(True, MISS_CHANCE) == weight(True, GUESS)
    for name, bounds in (("ordinary", ORDINARY), ("safety", SAFETY)):
        for mastery in (0.0, 0.5, 0.9, 1.0):
            dice, found = random.Random(f"{name} {mastery}"), ([], [])
            for _ in range(people):
                asked = [dice.randrange(SERVING) for _ in range(ANSWERS)]
                told = [(each, dice.random() < chance(mastery, MISSES[each])) for each in asked]
                for place, misses in enumerate((flat, MISSES)):
                    found[place].append(answers_until(told, bounds, misses))
            shares = [100 * sum(one < NEVER for one in each) / people for each in found]
            middle = [f"{median(each):g}" if median(each) < NEVER else "-" for each in found]
            print(
                f"{name}, mastery {mastery:.1f}: shown {shares[0]:.1f} % today, {shares[1]:.1f} % with every "
                f"difficulty known; median answers {middle[0]} and {middle[1]}"
            )


def rungs() -> None:
    """Print of how many exercises a crew's own figures would say the rung."""
    true = crew.true_difficulties(EXERCISES)
    ability = np.random.RandomState(1).normal(size=20_000)
    share = (1 / (1 + np.exp(true[None, :] - ability[:, None]))).mean(axis=0)
    cuts = np.quantile(share, (0.25, 0.5, 0.75))
    for people in CREWS:
        attempts = crew.invented_attempts(people, EXERCISES, met_share=0.6, seed=2)
        found = statistics.question_figures(attempts)
        known = found[found["facility"].notna()]
        low, high = (np.searchsorted(cuts, known[f"facility_{end}"].astype(float)) for end in ("low", "high"))
        sure = int((low == high).sum())
        print(f"{people} people: a facility for {len(known)} of {EXERCISES}, the rung sure for {sure}")


def main() -> int:
    """Print both bounds."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--people", type=int, default=4000)
    options = parser.parse_args()
    estimate(options.people)
    rungs()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
