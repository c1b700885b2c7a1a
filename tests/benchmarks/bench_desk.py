"""What the tutor's desk costs with a large kitchen. Prints its figures; exits with 1 if one is missed.

    python tests/benchmarks/bench_desk.py [--people 1000] [--marks 300000] [--acts 60000]

Figures to reach on 2 cores: from ``TutorDesk()`` to today's lists and the board within 1 s; any page within
0.5 s. The acts are hashed, chained and signed as the kit does it, but written in one go; what follows from
them is then worked out by the kit itself.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections import defaultdict
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bench_records import multiply_marks, timed, write_book
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from dateutil.relativedelta import relativedelta
from sqlalchemy import insert, select

from kit import criteria
from kit.files import signing
from kit.records import open_records, take_in
from kit.records.competence.assessment import EVIDENCE_RULE
from kit.records.competence.deciding import criterion_print
from kit.records.competence.readings import judged_by
from kit.records.competence.second_signature import second_asked
from kit.records.ledger import acts
from kit.records.ledger.acts import Draft
from kit.records.ledger.projection import check_chain, follow_again
from kit.records.people import keys, staff
from kit.records.storage import schema

OPEN_S, PAGE_S = 1.0, 0.5
FORMS: dict[str, dict[str, str]] = {
    "bench": {"step": "cook"},
    "observe": {"step": "cook"},
    "take on": {},
    "join": {},
    "paper": {},
}
NOW = datetime.now(UTC)


class Chain:
    """The end of a chain that is written in one go."""

    def __init__(self, connection, by: str, key: signing.Signer) -> None:
        self.head, self.by, self.key, self.rows = acts.head(connection), by, key, []
        self.number, self.hash = self.head.number, self.head.hash

    def add(
        self, kind: str, at: datetime, person: str, criterion: str | None, batch: str | None, facts
    ) -> None:
        """Add one signed act, hashed as `acts.append` does it."""
        self.number += 1
        text = acts.as_json(facts)
        draft = Draft(kind, self.by, person, criterion, batch, facts)
        who, key_id = (self.by, person), self.key.key_id
        made = acts.digest(self.number, kind, at, who, draft, text, key_id, self.hash)
        row = {"number": self.number, "kind": kind, "at": at, "by": self.by, "person": person}
        row |= {"criterion": criterion, "batch": batch, "facts": text, "key_id": key_id, "prev": self.hash}
        self.rows.append(row | {"hash": made, "signature": self.key.sign(acts.message(made))})
        self.hash = made


def take_on_all(records, people: list[str]):
    """Take on a manager, a tutor with a key, a verifier, and every apprentice."""
    began = NOW - timedelta(days=200)
    manager = staff.begin(records, "Hedda Quill", lambda: began)
    tutor = staff.take_on(manager, "tutor", name="Osric Vane")
    staff.take_on(manager, "verifier", name="Ines Roald")
    staff.note_assessor(manager, tutor, "Course", began.date(), (NOW + timedelta(days=400)).date())
    key = signing.Signer(Ed25519PrivateKey.generate())
    keys.add_key(manager, tutor, key.key_id, key.public)
    for person in people:
        staff.take_on(manager, "apprentice", person=person)
    return tutor, key


READ = {"cook": {"core_temp_c": 82.0}, "chill": {"core_temp_c": 1.0}, "store": {"core_temp_c": 1.0}}
"""What is read where a criterion has a limit."""


def add_acts(records, tutor: str, key: signing.Signer, people: list[str], wanted: int) -> None:
    """Write observations and decisions, half of each, over the last half year.

    Each criterion is seen on three batches on end. Then it is competent, where no more are needed.
    """
    doing = criteria.of_kind("performance")
    each = max(2, wanted // len(people)) // 2
    seen, competent = defaultdict(list), 0
    with records.writing() as connection:
        chain = Chain(connection, tutor, key)
        for turn in range(each):
            at = NOW - timedelta(days=180 - 170 * turn // each)
            for place, person in enumerate(people):
                about = doing[(turn // 3 + place) % len(doing)]
                same = [c.id for c in doing if c.step == about.step][:3]
                facts = {"step": about.step, "day": at.date().isoformat(), "method": "observation"}
                facts |= {"points": dict.fromkeys({about.id, *same}, "met"), "declared": True}
                facts |= {"measures": READ.get(about.limit_point, {}), "files": [], "asked": []}
                facts |= {"supports": [], "notes": ""}
                facts |= judged_by(facts)
                chain.add("observed", at, person, None, f"B{turn}", facts)
                seen[person, about.id].append(chain.number)
                enough = turn % 3 == 2 and (about.observations_needed or 1) <= 3
                decision = "competent" if enough else "not yet competent"
                review = (at.date() + relativedelta(months=about.review_months)).isoformat()
                facts = {"decision": decision, "day": at.date().isoformat(), "reason": "", "points": []}
                facts |= {"evidence_rule": EVIDENCE_RULE, "criterion_print": criterion_print(about)}
                facts["points"] = seen[person, about.id][-3:] if enough else []
                facts |= {
                    "review_on": review if decision == "competent" else None,
                    "entries": [],
                    "files": [],
                }
                facts |= {"missing": []}
                if decision == "competent":
                    facts |= second_asked(safety_critical=about.safety_critical, earlier=competent)
                    competent += 1
                chain.add("decided", at, person, about.id, None, facts)
        connection.execute(insert(schema.acts), chain.rows)
        follow_again(connection)


def build(folder: Path, options: argparse.Namespace):
    """Return records with that many people, marks and acts. Not part of the measurement."""
    books = [write_book(folder, number, 60) for number in range(options.people)]
    records = open_records(folder / "tutor" / "records.db")
    take_in(records, books, processes=os.cpu_count() or 1)
    multiply_marks(records, options.marks)
    with records.reading() as connection:
        people = list(connection.scalars(select(schema.people.c.person_id)))
    tutor, key = take_on_all(records, people)
    add_acts(records, tutor, key, people, options.acts)
    report = check_chain(records)
    assert report.whole, report.problems[:3]
    print(f"acts in the chain: {report.acts}, whole and signed")
    return records, tutor, people


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--people", type=int, default=1000)
    parser.add_argument("--marks", type=int, default=300_000)
    parser.add_argument("--acts", type=int, default=60_000)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        records, tutor, people = build(Path(scratch), options)
        figures = measure(records, tutor, people)
        records.close()
    late = [name for name, (took, limit) in figures.items() if took > limit]
    return 1 if late else 0


def measure(records, tutor: str, people: list[str]) -> dict[str, tuple[float, float]]:
    """Open the desk and turn its pages as somebody would."""
    found = {}

    def took(name: str, work, limit: float) -> None:
        found[name] = (timed(work), limit)
        print(f"{name}: {found[name][0]:.2f} s (to reach: {limit:g} s)")

    from kit.views.tutor import TutorDesk

    parts = {}

    def open_desk() -> None:
        desk = TutorDesk(records=records, me=tutor)
        parts.update(desk=desk, today=desk.today(), board=desk.board())

    took("from TutorDesk() to today's lists and the board", open_desk, OPEN_S)
    desk, board = parts["desk"], parts["board"]
    person = desk.person()
    panel = desk.sign()

    def ask(part, **what) -> None:
        part.heard({"serial": 1, **what})

    took("one step of the board", lambda: ask(board, do="board", step="cook"), PAGE_S)
    took("a later page of the board", lambda: ask(board, do="board", page=11), PAGE_S)
    took("a search by name", lambda: ask(board, do="board", search="invented 77"), PAGE_S)
    took("one apprentice's page", lambda: ask(person, do="person", person=people[-1]), PAGE_S)
    evidence = {"do": "evidence", "person": people[-1], "criterion": "COK-P01"}
    took("the evidence on one criterion", lambda: ask(person, **evidence), PAGE_S)
    form = {"do": "form", "form": "decide", "person": people[-1], "criterion": "COK-P01"}
    took("a form", lambda: ask(person, **form), PAGE_S)
    took("today's lists again", desk.today, PAGE_S)
    manager = desk.manager()
    took("the manager's desk", desk.manager, PAGE_S)
    took("somebody on the manager's desk", lambda: ask(manager, do="member", person=people[-1]), PAGE_S)
    took("a search on the manager's desk", lambda: ask(manager, do="find", search="invented 77"), PAGE_S)
    for name, more in FORMS.items():
        ask(panel.head, do="close")
        sheet = {"do": "form", "form": name, "person": people[-1], **more}
        took(f"the form “{name}”", lambda asked=sheet: ask(person, **asked), PAGE_S)
        assert panel.form is not None and panel.form.sort == name
    return found


if __name__ == "__main__":
    sys.exit(main())
