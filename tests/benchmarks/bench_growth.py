"""How one kitchen's pages grow with its people, and how quick a check since a seen code is.

    python tests/benchmarks/bench_growth.py [--people 250 2500] [--acts 12] [--page 50]

For each number of people: the cells of a page of ``--page`` people and one person's page, each the
best of 3, by processor time, since the machine may be busy. The ratio of the last to the first is what grows.
Then the check of the whole chain against the check since a code 100 acts before its end. Acts are so
many a person; the issue's 10,000 people want ``--people 1000 10000``, which takes long.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from datetime import timedelta
from pathlib import Path

from bench_desk import NOW, Chain, take_on_all
from sqlalchemy import insert, select

from kit import criteria
from kit.exercises.catalogue import Catalogue
from kit.records import open_records
from kit.records.competence.assess import assess_all
from kit.records.ledger.projection import check_chain, check_since, follow_again
from kit.records.reports.person_page import person_page
from kit.records.storage import schema


def best(work, turns: int = 3) -> float:
    """Return the least processor time of a few runs. [s]"""
    took = []
    for _ in range(turns):
        began = time.process_time()
        work()
        took.append(time.process_time() - began)
    return min(took)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, nargs="+", default=[250, 2500])
    parser.add_argument("--acts", type=int, default=12, help="Of each person.")
    parser.add_argument("--page", type=int, default=50, help="People on a page of the board.")
    asked = parser.parse_args()
    catalogue, found = Catalogue(), {}
    for people in asked.people:
        with tempfile.TemporaryDirectory() as scratch:
            found[people] = one(Path(scratch), people, asked, catalogue)
    first, last = found[asked.people[0]], found[asked.people[-1]]
    for name in first:
        growth = last[name] / first[name]
        shown = ", ".join(f"{people:,}: {each[name]:.3f} s" for people, each in found.items())
        print(f"{name:<34} {shown}; grows {growth:.2f} times")


def one(scratch: Path, people: int, asked: argparse.Namespace, catalogue: Catalogue) -> dict[str, float]:
    records = open_records(scratch / "records.db")
    ids = [f"s-{number:016x}" for number in range(people)]
    with records.writing() as connection:
        for person in ids:
            key = connection.execute(
                insert(schema.people).values(person_id=person, first_taken_at=NOW - timedelta(days=200))
            ).inserted_primary_key[0]
            name = f"Invented {person[-6:]}"
            connection.execute(
                insert(schema.names).values(person=key, name=name, folded=name.lower(), since=NOW)
            )
    tutor, key = take_on_all(records, ids)
    names = [each.id for each in criteria.load() if each.kind == "performance"]
    with records.writing() as connection:
        chain = Chain(connection, tutor, key)
        for turn in range(asked.acts):
            for number, person in enumerate(ids):
                at = NOW - timedelta(days=150 - 10 * turn)
                points = {names[(turn + number) % len(names)]: "met"}
                facts = {"day": at.date().isoformat(), "method": "observation", "points": points}
                facts |= {"declared": True, "measures": {}, "files": [], "verdicts": [], "supports": []}
                chain.add("observed", at, person, None, f"B-{turn}", facts)
        connection.execute(insert(schema.acts), chain.rows)
        follow_again(connection)
        seen = connection.scalar(select(schema.acts.c.hash).where(schema.acts.c.number == chain.number - 100))
    page, today = ids[: asked.page], NOW.date()

    def crew_page() -> None:
        with records.reading() as connection:
            assess_all(connection, catalogue, today, page)

    took = {
        f"the rail's cells of {asked.page} people": best(crew_page),
        "one person's page": best(lambda: person_page(records, ids[0], today, catalogue)),
        "check since a code, 100 acts": best(lambda: check_since(records, seen)),
        "check of the whole chain": best(lambda: check_chain(records), 1),
    }
    assert check_since(records, seen).whole
    records.close()
    return took


if __name__ == "__main__":
    main()
