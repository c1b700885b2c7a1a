"""Numbers about questions, tried on invented crews. Prints its figures.

    python tests/benchmarks/question_numbers.py [--crews 20] [--attempts 1000000]

First every table of 1,000,000 attempts, and the Rasch model's difficulties of 140 questions and 2,000 people.
Then, of each size of crew: how many of the planted bad questions are found, how often a sound one is named.

Figures to reach on 2 cores: the tables in 20 s and 2 GB; difficulties within 0.15 logits (root mean square),
in 10 s.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time

import numpy as np

from kit import statistics
from kit.statistics import invented_crew as crew

EXERCISES = 140
SAYS = {
    crew.BACKWARDS: "the able miss it",
    crew.TOO_HARD: "safety: nearly all miss it",
    crew.TOO_EASY: "safety: nearly all get it",
    crew.LAME: "a message that helps less than none",
}
PLACES = {
    crew.BACKWARDS: (10, 50, 90),
    crew.TOO_HARD: (21, 63),
    crew.TOO_EASY: (33, 75),
    crew.LAME: (44, 84, 124),
}
PLANTED = tuple(
    crew.Planted(crew.exercise_name(place), fault) for fault, places in PLACES.items() for place in places
)
MOST_RMSE, MOST_FIT_S, MOST_TABLES_S, MOST_GB = 0.15, 10.0, 20.0, 2.0


def found_and_false(people: int, crews: int, met_share: float) -> None:
    """Print how many planted faults are found, and how many sound questions are named, at this size."""
    bank, found, false = (
        crew.invented_bank(EXERCISES),
        dict.fromkeys(SAYS, 0),
        dict.fromkeys(SAYS.values(), 0),
    )
    bad = {each.exercise for each in PLANTED}
    top = 0
    for seed in range(crews):
        attempts = crew.invented_attempts(people, EXERCISES, planted=PLANTED, met_share=met_share, seed=seed)
        named = statistics.questions_to_mend(attempts, bank)
        pairs = set(zip(named["exercise"], named["fault"], strict=True))
        for each in PLANTED:
            found[each.fault] += (each.exercise, SAYS[each.fault]) in pairs
        for exercise, fault in pairs:
            if exercise not in bad:
                false[fault] = false.get(fault, 0) + 1
        top += len(set(named["exercise"].head(5)) & bad)
    shares = ", ".join(
        f"{fault} {100 * hits / (crews * len(PLACES[fault])):.0f} %" for fault, hits in found.items()
    )
    sound = crews * (EXERCISES - len(bad))
    alarms = ", ".join(f"{fault} {100 * times / sound:.2f} %" for fault, times in false.items())
    print(f"{people} people, {100 * met_share:.0f} % met: found: {shares}")
    print(f"  sound questions named: {alarms}; of the first 5 rows {100 * top / (5 * crews):.0f} % planted")


def recovery() -> bool:
    """Print how near the difficulties come, with and without gaps; say if that is good enough."""
    good = True
    for met_share in (1.0, 0.6):
        attempts = crew.invented_attempts(2_000, EXERCISES, met_share=met_share, seed=3)
        answers, true = statistics.answer_table(attempts), crew.true_difficulties(EXERCISES)
        began, processor = time.perf_counter(), time.process_time()
        fit = statistics.rasch(answers)
        took, worked = time.perf_counter() - began, time.process_time() - processor
        off = fit.difficulty - (true - true.mean())
        rmse = float(np.sqrt((off**2).mean()))
        inside = float((np.abs(off) <= 1.96 * fit.error).mean())
        print(
            f"Rasch, {EXERCISES} × 2,000, {100 * met_share:.0f} % met: {rmse:.3f} logits in {took:.1f} s "
            f"({worked:.1f} s of a processor); {100 * inside:.0f} % of true ones inside their interval"
        )
        good &= rmse <= MOST_RMSE and (took <= MOST_FIT_S or met_share < 1)
    return good


def tables(wanted: int) -> bool:
    """Print how long all tables of so many attempts take, and the most memory of the whole process."""
    people = round(wanted / (EXERCISES * 1.38))  # each miss is followed by a second try three times in four
    attempts = crew.invented_attempts(people, EXERCISES, planted=PLANTED, seed=5)
    bank = crew.invented_bank(EXERCISES)
    began = time.perf_counter()
    statistics.question_figures(attempts)
    statistics.slip_shares(attempts)
    statistics.second_tries(attempts)
    statistics.version_changes(attempts)
    statistics.questions_to_mend(attempts, bank)
    answers = statistics.answer_table(attempts)
    statistics.alpha(answers)
    statistics.kr20(answers)
    statistics.kr21(answers)
    statistics.error_of_measurement(answers)
    took = time.perf_counter() - began
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    print(f"{len(attempts):,} attempts of {people:,} people: all tables {took:.1f} s, at most {peak:.2f} GB")
    return took <= MOST_TABLES_S and peak <= MOST_GB


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--crews", type=int, default=20)
    parser.add_argument("--attempts", type=int, default=1_000_000)
    options = parser.parse_args()
    good = tables(options.attempts)  # first: the memory is that of the whole process
    good &= recovery()
    for people, met_share in ((12, 1.0), (60, 1.0), (300, 1.0), (300, 0.5), (2_000, 1.0)):
        found_and_false(people, options.crews if people < 2_000 else max(options.crews // 5, 1), met_share)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
