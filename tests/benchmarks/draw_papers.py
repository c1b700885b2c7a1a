"""How long drawing test papers takes, and how equal they are. Exits with 1 if a figure is missed.

    python tests/benchmarks/draw_papers.py [--papers 500] [--tasks 40]

Figures to reach on a quiet machine: 500 papers of 40 tasks in 20 s, none with a task that was practised; the
expected scores of somebody who guesses within 2 points of 40 between any two papers.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import PaperPlan, fitting
from kit.files.signing import Signer
from kit.records import open_records
from kit.records.competence import papers
from kit.records.people import keys, staff

LONGEST_S, APART = 20.0, 2.0


def plan_with(catalogue: Catalogue, tasks: int) -> PaperPlan:
    """Return a plan of so many tasks over as many criteria as there are."""
    wanted: dict[str, int] = {}
    for turn in (1, 2, 3):
        for name in catalogue.exercises_for:
            if sum(wanted.values()) < tasks and len(fitting(catalogue, name)) >= turn:
                wanted[name] = turn
    return PaperPlan(1, wanted, 120)


def main() -> int:
    """Draw, measure and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--papers", type=int, default=500)
    parser.add_argument("--tasks", type=int, default=40)
    given = parser.parse_args()
    catalogue = Catalogue()
    plan = plan_with(catalogue, given.tasks)
    with tempfile.TemporaryDirectory() as folder:
        records = open_records(Path(folder) / "records.db")
        manager = staff.begin(records, "Berit Falk")
        tutor = staff.take_on(manager, "tutor", name="Piers Holloway")
        key = Signer(Ed25519PrivateKey.generate())
        keys.add_key(manager, tutor, key.key_id, key.public)
        hand = replace(manager, person=tutor, key=key, catalogue=catalogue)
        people = [staff.take_on(hand, "apprentice", name=f"Apprentice {n}") for n in range(given.papers)]
        begun, at_work = time.perf_counter(), time.process_time()
        half = len(people) // 2  # two draws: within one, all have the same exercises
        drawn = [paper for part in (people[:half], people[half:]) for paper in papers.draw(hand, plan, part)]
        took, worked = time.perf_counter() - begun, time.process_time() - at_work
        records.close()
    expected = [
        sum(catalogue.facts_of[task.exercise].guess_chance for task in paper.tasks) for paper in drawn
    ]
    apart = max(expected) - min(expected)
    old = sum(len(paper.tasks) - paper.fresh for paper in drawn)
    print(
        f"{len(drawn)} papers of {plan.count} tasks in {took:.1f} s, {worked:.1f} s of them at work "
        f"(to reach: {LONGEST_S:g} for 500 of 40 on a quiet machine)"
    )
    print(f"a guesser's expected score differs by {apart:.2f} points (to reach: {APART:g}); practised: {old}")
    return 0 if took <= LONGEST_S and apart <= APART and old == 0 else 1


if __name__ == "__main__":
    sys.exit(main())
