"""A year of a crew of 12, played with a moved clock through the real books, records and rules.

    python tests/benchmarks/crew_year.py [--weeks 52]

Each week everybody practises on two days and hands in. The tutor takes the books in, sees some of them at
work, asks, decides and renews; the verifier signs. Now and then somebody appeals, leaves, comes back or gets
a new key. Every fourth week the records are saved, put back as a trial and checked whole, and the clock
leaps: ten years ahead, and a day back. Asked for: every check whole, every leap refused with nothing
recorded, nobody competent in anything that was never met, and nothing competent past its review date. Exit
code 1 if not.
"""

import argparse
import os
import random
import sys
import tempfile
from collections import Counter
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import perf_counter

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from kit.basics import places
from kit.basics.errors import KitError
from kit.cli.demo.crew import DEMO_CREW, Manner, SetClock, right_answer, wrong_answer
from kit.exercises.catalogue import Catalogue
from kit.files import Book, signing
from kit.files.joined_kitchen import join
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.kitchen_number import number_in_force
from kit.marking.draw import Draw
from kit.practice import create
from kit.practice.handing_in import hand_in
from kit.practice.lesson_session import Session
from kit.practice.people import Learner
from kit.records import open_records, take_in
from kit.records.competence import deciding
from kit.records.competence.assess import assess_all
from kit.records.competence.observations import Observation, observe
from kit.records.ledger import acts
from kit.records.ledger.acts import ClockAhead, ClockBehind
from kit.records.people import keys, staff
from kit.records.people.staff import Hand
from kit.records.upkeep.backup import backup
from kit.records.upkeep.backup_health import try_restore
from kit.records.upkeep.whole_check import check_all

START = datetime(2026, 1, 5, 8, tzinfo=UTC)
TASKS, SEEN_A_WEEK = 3, 8
HOUR = timedelta(hours=1)


def opened() -> signing.Signer:
    """Return a key of its own."""
    return signing.Signer(Ed25519PrivateKey.generate())


@dataclass
class Year:
    """The kitchen: its clock, its people, and what was counted."""

    home: Path
    clock: SetClock = field(default_factory=lambda: SetClock(START))
    dice: random.Random = field(default_factory=lambda: random.Random(2026))
    catalogue: Catalogue = field(default_factory=Catalogue)
    counted: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin the records, sign the kitchen's file, take everybody on."""
        self.records = open_records(places.records_file())
        self.manager = staff.begin(self.records, "Hedda Quill", self.clock, opened())
        hands = []
        for name, role in (("Osric Vane", "tutor"), ("Wilma Tack", "tutor"), ("Ines Roald", "verifier")):
            person, key = staff.take_on(self.manager, role, name=name), opened()
            until = (START + timedelta(days=800)).date()
            staff.note_assessor(self.manager, person, "Assessor course", START.date(), until)
            keys.add_key(self.manager, person, key.key_id, key.public)
            hands.append(replace(self.manager, person=person, key=key))
        self.tutor, self.other, self.verifier = hands
        key = self.tutor.key
        holder = KeyHolder("tutor", "Osric Vane", key.public)
        self.kitchen = make_kitchen("Harbour Lane", profile="ie", keys=[holder], signer=key, clock=self.clock)
        write_kitchen(self.home / "kitchen file.toml", self.kitchen)
        join(self.home / "kitchen file.toml")
        self.crew: list[tuple[Manner, Learner, str]] = []
        for manner in DEMO_CREW:
            learner = create(manner.name, clock=self.clock)
            staff.take_on(self.manager, "apprentice", name=manner.name, person=learner.id)
            self.crew.append((manner, learner, learner.id))

    def practise(self, week: int) -> None:
        """Everybody does some tasks on two days and hands in; the tutor takes the books in."""
        for day in (0, 2):
            self.clock.now = START + timedelta(weeks=week, days=day, hours=1)
            for manner, learner, _ in self.crew:
                grown = min(1.0, week / 20)
                sure = manner.right_at_first + (manner.right_at_last - manner.right_at_first) * grown
                book = Book(learner.book_path, clock=self.clock)
                number = number_in_force()
                session = Session(
                    learner, book, catalogue=self.catalogue, kitchen=self.kitchen, number=number
                )
                for exercise in self.dice.sample(self.catalogue.ids(), TASKS):
                    self.answer(session, exercise, sure)
                self.clock.now += timedelta(minutes=1)
        self.clock.now += HOUR
        places.handed_in_folder().mkdir(exist_ok=True)
        for _, learner, _ in self.crew:
            hand_in(learner, places.handed_in_folder() / f"{learner.id}.book")
        books = sorted(places.handed_in_folder().glob("*.book"))
        taken = take_in(self.records, books, now=self.clock(), catalogue=self.catalogue)
        self.counted["answers"] += sum(one.answers for one in taken.books)
        self.faults += [f"week {week}: {one.name}: {one.why}" for one in taken.of("refused")]
        self.faults += [f"week {week}: {flag.says}" for one in taken.flagged for flag in one.flags]

    def answer(self, session: Session, exercise: str, sure: float) -> None:
        """Answer a fresh question once."""
        task = session.current(exercise)
        if task.for_tutor:
            return
        if task.attempts:
            task = session.next_variant(exercise)
        self.clock.now += timedelta(seconds=self.dice.randint(20, 90))
        draw = Draw(self.dice.randrange(10**9))
        right = self.dice.random() < sure
        session.check(exercise, right_answer(task.question) if right else wrong_answer(task.question, draw))

    def at_work(self, week: int) -> None:
        """See some at work, ask where that is all that is missing, decide, sign a second time."""
        self.clock.now = START + timedelta(weeks=week, days=3, hours=1)
        with self.records.reading() as connection:
            active = {one.person for one in staff.members(self.records) if "apprentice" in one.roles}
            stands = assess_all(connection, self.catalogue, self.tutor.today(), active)
        steps = {c.step: [one for one in self.catalogue.criteria.values() if one.step == c.step] for c in
                 self.catalogue.criteria.values()}  # fmt: skip
        seen = [one for one in self.crew if one[2] in active]
        for manner, _, person in self.dice.sample(seen, min(SEEN_A_WEEK, len(seen))):
            self.see(week, manner, person, self.dice.choice(list(steps.values())))
        for _, _, person in seen:
            for name, criterion in self.catalogue.criteria.items():
                found = stands.of(person, name)
                if "ask" in found.next:
                    asked = Observation(
                        person, criterion.step, self.tutor.today(), {name: "met"}, "oral check", declared=True
                    )
                    self.act("asked", lambda one=asked: observe(self.tutor, one))
                if {"decide", "refresher", "review"} & set(found.next):
                    why = "As the evidence on file says."
                    self.act(
                        "decided",
                        lambda p=person, n=name, w=why: deciding.decide(self.tutor, p, n, "competent", w),
                    )
        self.second(week)

    def see(self, week: int, manner: Manner, person: str, of_step: list) -> None:
        """See somebody at one step: what is met goes by how good they are by then."""
        good = min(0.97, 0.4 + 0.5 * manner.right_at_last + week / 100)
        points = {
            one.id: "met" if self.dice.random() < good else "not met"
            for one in of_step
            if one.kind == "performance"
        }
        step = of_step[0].step
        measures = {"core_temp_c": 74.5, "hold_min": 1.0, "chill_min": 100.0} if step == "cook" else {}
        if points:
            day = self.tutor.today()
            batch = f"W{week}-{person[-3:]}"
            what = Observation(person, step, day, points, batch=batch, declared=True, measures=measures)
            self.act("seen at work", lambda: observe(self.tutor, what))

    def second(self, week: int) -> None:
        """Sign what waits for it, four in five; now and then somebody appeals, and it is settled."""
        self.clock.now += HOUR
        with self.records.reading() as connection:
            stands = assess_all(connection, self.catalogue, self.tutor.today())
            waiting = [
                found.decided.act
                for _, _, person in self.crew
                for name in self.catalogue.criteria
                if (found := stands.of(person, name)).decided is not None and found.decided.wants_second
            ]
        for act in waiting:
            agrees = self.dice.random() > 0.2
            self.act(
                "signed a second time",
                lambda a=act, g=agrees: deciding.verify(self.verifier, a, g, "Read the sheets and the log."),
            )
        if week % 9 == 8:
            with self.records.reading() as connection:
                told = [one.number for one in acts.read(connection, kind="decided")]
            if told:
                number = self.dice.choice(told[-20:])
                made = self.act(
                    "appealed", lambda: deciding.appeal(self.tutor, number, "They say: too early.")
                )
                if made is not None:
                    words = "Looked at the sheet again."
                    self.act("settled", lambda: deciding.settle(self.other, made.number, "stands", words))

    def act(self, what: str, work):
        """Record something; what the rules refuse is counted and is no fault."""
        self.clock.now += timedelta(minutes=1)
        try:
            made = work()
        except KitError as error:
            self.counted[f"refused: {type(error).__name__}"] += 1
            return None
        self.counted[what] += 1
        return made

    def upkeep(self, week: int) -> None:
        """Save, try the backup, check everything, and let the clock leap."""
        file = self.home / f"week-{week}.backup"
        backup(self.records, file, now=self.clock(), by=self.manager)
        try_restore(self.records.path, file, self.clock())
        self.faults += [f"week {week}: {one}" for one in check_all(self.records, self.catalogue).problems]
        now, before = self.clock.now, self.head()
        for leap, refusal in ((timedelta(days=3650), ClockAhead), (timedelta(days=-1), ClockBehind)):
            self.clock.now = now + leap
            with suppress(refusal):
                staff.note(self.tutor, self.crew[0][2], "hours", hours=1)
                self.faults.append(f"week {week}: a leap of {leap.days} days was written")
        self.clock.now = now
        if self.head() != before:
            self.faults.append(f"week {week}: a leap left something behind")
        self.counted["checks"] += 1
        self.look_over(week)

    def look_over(self, week: int) -> None:
        """Nobody is competent in what was never met, or past its review date."""
        with self.records.reading() as connection:
            stands = assess_all(connection, self.catalogue, self.tutor.today())
            for _, _, person in self.crew:
                for name, criterion in self.catalogue.criteria.items():
                    found = stands.of(person, name)
                    if not (found.holds and found.state in ("competent", "refresher due")):
                        continue
                    act = acts.get(connection, found.decided.act)
                    if criterion.kind == "performance" and not act.facts["points"]:
                        self.faults.append(f"week {week}: {name} is competent, and nobody saw it")
                    if found.until is not None and found.until < self.tutor.today():
                        self.faults.append(f"week {week}: {name} is competent past its review date")

    def head(self) -> int:
        """Return the number of the last act."""
        with self.records.reading() as connection:
            return acts.head(connection).number

    def staff_changes(self, week: int) -> None:
        """Somebody leaves and comes back; the tutor gets a new key, which two people let in."""
        who = self.crew[3][2]
        if week == 22:
            self.act("left", lambda: staff.leave(self.manager, who, "apprentice"))
        if week == 34:
            self.act("came back", lambda: staff.come_back(self.manager, who, "apprentice"))
        if week == 16:
            key = opened()
            self.act(
                "retired a key",
                lambda: keys.retire_key(self.manager, self.other.key.key_id, "The laptop was stolen."),
            )
            added = self.act(
                "put a key on file",
                lambda: keys.add_key(self.manager, self.other.person, key.key_id, key.public),
            )
            if added is not None:
                self.act("confirmed a key", lambda: keys.confirm_key(self.verifier, added.number))
                self.other: Hand = replace(self.other, key=key)

    def competent(self) -> dict[str, int]:
        """Return in how many criteria each stands competent at the end."""
        with self.records.reading() as connection:
            stands = assess_all(connection, self.catalogue, self.tutor.today())
        return {
            manner.name: sum(
                found.holds and found.state in ("competent", "refresher due")
                for found in (stands.of(person, name) for name in self.catalogue.criteria)
            )
            for manner, _, person in self.crew
        }


def main() -> int:
    """Play the year and print it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--weeks", type=int, default=52)
    options = parser.parse_args()
    began = perf_counter()
    with tempfile.TemporaryDirectory() as scratch:
        os.environ[places.HOME_VARIABLE] = scratch
        year = Year(Path(scratch))
        for week in range(options.weeks):
            year.practise(week)
            year.staff_changes(week)
            year.at_work(week)
            if week % 4 == 3:
                year.upkeep(week)
        standing = year.competent()
        print(f"{year.head()} acts, {perf_counter() - began:.0f} s")
        year.records.close()
    for what, count in sorted(year.counted.items()):
        print(f"  {what:32} {count:6}")
    print("competent in so many criteria at the end:")
    for manner in sorted(DEMO_CREW, key=lambda one: -standing[one.name]):
        sure = f"right at last {manner.right_at_last:.2f}"
        print(f"  {manner.name:20} {sure:20} {standing[manner.name]:3} of {len(Catalogue().criteria)}")
    print("\n".join(year.faults[:20]) or "no fault")
    return 1 if year.faults else 0


if __name__ == "__main__":
    sys.exit(main())
