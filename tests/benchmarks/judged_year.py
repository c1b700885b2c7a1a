"""A year of a crew of 12 and of one of 2,000: are the planted faults found, and who is named wrongly?

    python tests/benchmarks/judged_year.py [--small 200] [--large 10] [--markdown]

The people are invented: one in ten guesses, one in five forgets, one copies a paper of 40 tasks from
somebody, nine tenths of it, and the others are steady. Ten of the 140 questions are bad. There are 3 tutors,
or one for 50 people. Each decides on 30 criteria of each of theirs; a third has a second signature, which
disagrees with 5 of 100. In the last three months one tutor grows lenient: then it disagrees with 30 of 100.

The pages themselves are asked: the list of questions to mend (its first 10), the sentence on drift, the
pairs that answer alike. ``false`` is how often a sound question, a steady tutor, or any pair of a crew in
which nobody copied is named. Where too few people stand behind a figure, it is hidden, and nothing is found.
"""

from __future__ import annotations

import argparse
from collections import Counter
from datetime import date

import numpy as np
import pandas as pd

from kit import statistics
from kit.statistics import invented_crew as crew
from kit.statistics.invented_sittings import copied, invented_sittings
from kit.views.tutor import numbers_page

GUESSERS, FORGETFUL, EXERCISES, TASKS, COPIED = 0.1, 0.2, 140, 40, 0.9
PLACES = {
    crew.BACKWARDS: (10, 50, 90),
    crew.TOO_HARD: (21, 63),
    crew.TOO_EASY: (33, 75),
    crew.LAME: (44, 84, 124),
}
PLANTED = tuple(
    crew.Planted(crew.exercise_name(place), fault) for fault, places in PLACES.items() for place in places
)
TODAY, DECISIONS, A_TUTOR = date(2026, 12, 20), 30, 50
SIGNED, STEADY, LENIENT = 1 / 3, 0.05, 0.30
Counts = Counter[str]


def questions(people: int, seed: int, count: Counts) -> None:
    """Count what the page names of the planted and of the sound questions."""
    manners = {"guessers": GUESSERS, "forgetful": FORGETFUL}
    attempts = crew.invented_attempts(people, EXERCISES, planted=PLANTED, **manners, seed=seed)
    blocks = numbers_page.mend_blocks(attempts, crew.invented_bank(EXERCISES))
    named = {row[0] for block in blocks if block["kind"] == "table" for row in block["rows"]}
    bad = {each.exercise for each in PLANTED}
    count["bad"], count["bad found"] = count["bad"] + len(bad), count["bad found"] + len(named & bad)
    count["sound"] += EXERCISES - len(bad)
    count["sound named"] += len(named - bad)


def tutors(people: int, seed: int, count: Counts) -> None:
    """Count who is told of a drift: tutor 0 grew lenient, nobody else."""
    random = np.random.RandomState(seed)
    staff = max(3, people // A_TUTOR)
    made = people * DECISIONS
    tutor, month = random.randint(staff, size=made), random.randint(1, 13, size=made)
    off = np.where((tutor == 0) & (month >= 10), LENIENT, STEADY)
    said = np.where(random.random_sample(made) < off, "disagreed", "agreed")
    said = np.where(random.random_sample(made) < SIGNED, said, "not drawn")
    table = pd.DataFrame({"decided_by": [f"T{each}" for each in tutor], "second_signature": said})
    table["day"] = pd.to_datetime([f"2026-{each:02d}-15" for each in month])
    for row in statistics.drift(table, TODAY).astype(object).to_dict("records"):
        row = {name: None if pd.isna(value) else value for name, value in row.items()}
        told = "That is a drift: +" in numbers_page.month_blocks([], [row])[0]["text"]
        who = "lenient" if row["tutor"] == "T0" else "steady"
        count[who], count[f"{who} named"] = count[who] + 1, count[f"{who} named"] + told


def sittings(people: int, seed: int, count: Counts) -> None:
    """Count whether the copied sitting is found, and whether an honest crew shows any pair."""
    honest = invented_sittings(people, TASKS, guessers=GUESSERS, forgetful=FORGETFUL, seed=seed)
    source, copier = crew.person_name(people // 3), crew.person_name(people // 2)
    found = statistics.alike(copied(honest, source, copier, share=COPIED, seed=seed))
    count["copied"] += 1
    count["copied found"] += bool((found["first"].eq(source) & found["second"].eq(copier)).any())
    count["honest crews"] += 1
    count["honest crews named"] += not statistics.alike(honest).empty


def main() -> int:
    """Play the years and print what was found."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--small", type=int, default=200, help="crews of 12")
    parser.add_argument("--large", type=int, default=10, help="crews of 2,000")
    parser.add_argument("--markdown", action="store_true")
    options = parser.parse_args()
    rows = []
    for people, crews in ((12, options.small), (2_000, options.large)):
        count: Counts = Counter()
        for seed in range(crews):
            questions(people, seed, count)
            tutors(people, seed, count)
            sittings(people, seed, count)
        for what, found, false in (
            ("bad questions", "bad", "sound"),
            ("the tutor grown lenient", "lenient", "steady"),
            ("the copied sitting", "copied", "honest crews"),
        ):
            hit = count[f"{found} {'named' if found == 'lenient' else 'found'}"]
            wrong = f"{count[f'{false} named']} of {count[false]}"
            rows.append((f"{people:,}", what, f"{hit} of {count[found]}", wrong))
    line = "| {} |".format if options.markdown else "{}".format
    between = " | " if options.markdown else "   "
    for row in (("People", "Planted", "Found", "Named wrongly"), *rows):
        print(line(between.join(row)))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
