"""A small bank of our own, answer books written by the real Book, and records in a scratch folder."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable
from copy import copy
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from sqlalchemy import create_engine

from kit.basics.errors import UnknownName
from kit.criteria.knowledge import Bounds
from kit.exercises import Info
from kit.exercises.catalogue import Catalogue
from kit.files import Book, signing
from kit.marking.draw import seed_for
from kit.marking.model import Number, Outcome, Question
from kit.records import open_records
from kit.records.competence import observations
from kit.records.competence.observations import Observation
from kit.records.ledger import acts
from kit.records.people import keys, staff
from kit.records.storage import schema
from kit.rules import load

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
NOW = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


@dataclass(frozen=True)
class FakeCriterion:
    id: str
    step: str
    kind: str
    safety_critical: bool
    text: str = "Invented for the tests."
    source: str = "our own"
    seen: bool = True
    observations_needed: int = 2
    review_months: int = 6
    limit_point: str = ""


class SmallBank(Catalogue):
    """Three exercises: one ordinary criterion, one safety-critical, one performance it prepares for."""

    # So little evidence is enough that a story of two or three days can be told.
    ordinary = Bounds(shown=0.7, kept=0.35, lowest=0, highest=2, days=2)
    safety = Bounds(shown=1.1, kept=0.8, lowest=0, highest=2, days=3)

    versions = {"salt-sum": 1, "core-hold": 2, "chill-time": 1}  # noqa: RUF012 - never changed

    def info(self, exercise):
        if exercise not in self.versions:
            raise UnknownName("exercise", exercise, self.versions)
        return Info(exercise, 5, exercise.replace("-", " "), (), (), self.versions[exercise], "kit")

    def question(self, exercise, seed, profile):
        if profile.id != "ie":
            raise UnknownName("profile", profile.id, ["ie"])
        truth = float(seed % 97 + 3)
        return Question(exercise, self.versions[exercise], seed, f"How much? ({truth:g})", Number("g"), truth)

    def fingerprint(self, question):
        return hashlib.sha256(f"{question.exercise}{question.seed}".encode()).hexdigest()[:16]

    def content_print(self, question):
        return self.fingerprint(question)

    def mark(self, question, answer):
        if answer == "make it stop":
            raise RuntimeError("marking fell over")
        if answer == "?":
            return Outcome(0, 1, "not read", "What number is that?")
        right = answer == str(question.answer)
        return Outcome(float(right), 1.0, "right" if right else "not yet", "…", "" if right else "any slip")

    @cached_property
    def criteria(self):
        made = (
            FakeCriterion("CUR-K01", "cure", "knowledge", False),
            FakeCriterion("COK-K01", "cook", "knowledge", True),
            FakeCriterion("COK-K02", "cook", "knowledge", False),
            FakeCriterion("COK-P01", "cook", "performance", True),
        )
        return {each.id: each for each in made}

    @cached_property
    def evidence(self):
        return {
            "salt-sum": ("CUR-K01",),
            "core-hold": ("COK-K01", "COK-P01"),
            "chill-time": ("COK-K02",),
        }


class Clock:
    def __init__(self):
        self.now = START

    def __call__(self):
        return self.now


class Writer:
    """Writes a real answer book for one person, day by day."""

    def __init__(self, path: Path, person: str, name: str):
        self.bank, self.clock, self.person = SmallBank(), Clock(), person
        self.book = Book.make(path, person=person, name=name, clock=self.clock)
        self.path, self.occasions = path, {}

    def attempt(self, exercise, right=True, *, day=None, minute=0, occasion=None, number="", **changes):
        """Append an attempt at a new variant (or that of ``occasion``), with any fact changed.

        ``number`` is the kitchen's.
        """
        if day is not None:
            self.clock.now = START + timedelta(days=day, minutes=minute)
        if occasion is None:
            occasion = self.occasions[exercise] = self.occasions.get(exercise, 0) + 1
        version = self.bank.versions.get(exercise, 1)
        seed = seed_for(self.person, exercise, version, occasion, number)
        facts = {
            "exercise": exercise,
            "version": version,
            "occasion": occasion,
            "seed": seed,
            "profile": "ie",
        }
        facts |= {"number": number} if number else {}
        if exercise in self.bank.versions:
            question = self.bank.question(exercise, seed, load("ie"))
            answer = str(question.answer) if right else "0"
            outcome = self.bank.mark(question, answer)
            facts |= {"fingerprint": self.bank.fingerprint(question), "answer": answer}
            facts |= {
                "score": outcome.score,
                "of": outcome.of,
                "verdict": outcome.verdict,
                "slip": outcome.slip,
            }
        else:
            facts |= {
                "fingerprint": "f",
                "answer": "1",
                "score": 1.0,
                "of": 1.0,
                "verdict": "right",
                "slip": "",
            }
        facts |= {"profile_fingerprint": "p", "read_as": "", "hints": 0} | changes
        return self.book.append("attempt", **facts)

    def note(self, what, exercise="salt-sum", occasion=1, **more):
        version = self.bank.versions.get(exercise, 1)
        facts = {"exercise": exercise, "version": version, "occasion": occasion, "fingerprint": "f"}
        facts |= {"seed": seed_for(self.person, exercise, version, occasion), "profile": "ie"}
        facts |= {"profile_fingerprint": "p", "answer": None}
        return self.book.append(what, **(facts | more))


@pytest.fixture
def bank():
    return SmallBank()


@pytest.fixture
def writer_class():
    return Writer


@pytest.fixture
def now():
    return NOW


@pytest.fixture
def write(tmp_path):
    """A function that starts a book: ``write("ana")``."""

    def start(person="p-ana", name="Ana Lind", file=None):
        return Writer(tmp_path / (file or f"{person}.book"), person, name)

    return start


@pytest.fixture(scope="module")
def engine():
    """Every table, empty, in memory: for rules of tables alone, without a file, people or keys."""
    made = create_engine("sqlite://")
    schema.metadata.create_all(made)
    yield made
    made.dispose()


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory):
    """Records that nobody has written to, closed: made once, as it takes longer than most tests."""
    opened = open_records(tmp_path_factory.mktemp("empty") / "records.db")
    opened.close()
    return opened.path


def pytest_collection_modifyitems(items):
    """Leave out on a server what can mean something only for a file; the mark says why."""
    for item in items:
        mark = item.get_closest_marker("file_only")
        if mark and "postgresql" in getattr(getattr(item, "callspec", None), "params", {}).values():
            item.add_marker(pytest.mark.skip(reason=f"not on PostgreSQL: {mark.args[0]}"))


@pytest.fixture(scope="session")
def empty_database(server):
    """A database that holds records nobody has written to, to make others from."""
    name = server.database()
    open_records(server.address(name)).close()
    return name


@pytest.fixture(params=["sqlite", "postgresql"])
def records(request, tmp_path):
    """The one place that says which database the records tests run on."""
    (tmp_path / "tutor").mkdir(mode=0o700)
    file = tmp_path / "tutor" / "records.db"
    if request.param == "sqlite":
        opened = open_records(shutil.copy(request.getfixturevalue("empty_file"), file), busy_s=5)
        yield opened
        opened.close()
        return
    server = request.getfixturevalue("server")
    name = server.database(request.getfixturevalue("empty_database"))
    opened = open_records(server.address(name), busy_s=5, beside=file)
    yield opened
    opened.close()
    server.drop(name)


def reopened(records, **more):
    """Open the same records a second time, as another program would."""
    if not records.address:
        return open_records(records.path, **more)
    whole = records.engine.url.render_as_string(hide_password=False)
    return open_records(f"{whole}&schema=kitchen", beside=records.path, **more)


def lift(connection, trigger):
    """Lift a trigger, as somebody with the whole database in hand could."""
    table = f" ON {trigger.split('_')[0]}" if connection.dialect.name == "postgresql" else ""
    connection.exec_driver_sql(f"DROP TRIGGER {trigger}{table}")


class Built:
    """Records that many tests begin with: built by the first, kept, and laid out for the others."""

    def __init__(self, folder: Path, server: Callable[[], Any]) -> None:
        self.folder, self.server = folder, server
        self.made: dict[tuple[str, str], Any] = {}
        self.databases: dict[str, str] = {}

    def once(self, name: str, records: Any, build: Callable[[], Any]) -> Any:
        """Fill empty records by ``build``, or with what it once made; return what it once returned."""
        kept = (name, records.engine.dialect.name)
        here = self.folder / "-".join(kept)
        if kept not in self.made:
            self.made[kept] = build()
            records.close()
            shutil.copytree(records.path.parent, here)
            if records.address:
                self.databases[name] = self.server().database(records.engine.url.database)
        else:
            records.close()
            shutil.copytree(here, records.path.parent, dirs_exist_ok=True)
            if records.address:
                self.server().replace(records.engine.url.database, self.databases[name])
        return self.made[kept]


@pytest.fixture(scope="session")
def built(request, tmp_path_factory):
    return Built(tmp_path_factory.mktemp("built"), lambda: request.getfixturevalue("server"))


@dataclass
class SetClock:
    now: datetime = START

    def __call__(self) -> datetime:
        return self.now

    def on(self, days: int) -> date:
        self.now = START + timedelta(days=days)
        return self.now.date()


def _with_key(hand: staff.Hand, manager: staff.Hand) -> staff.Hand:
    key = signing.Signer(Ed25519PrivateKey.generate())
    keys.add_key(manager, hand.person, key.key_id, key.public)
    return replace(hand, key=key)


class Kitchen:
    """A manager, two tutors, a verifier and an apprentice, all fit and with keys."""

    def __init__(self, records: Any, bank: Any) -> None:
        self.clock = SetClock()
        self.records = records
        key = signing.Signer(Ed25519PrivateKey.generate())
        first = staff.begin(records, "Berit Falk", self.clock, key)
        self.manager = replace(first, catalogue=bank)
        self.tutor = self.hand("tutor", "Osric Vane")
        self.other = self.hand("tutor", "Wilma Tack")
        self.verifier = self.hand("verifier", "Ines Roald")
        self.apprentice = staff.take_on(self.manager, "apprentice", name="Tam Ferris")

    def over(self, records: Any) -> Kitchen:
        """Return the same people at work in a copy of the records."""
        other = copy(self)
        other.records, other.clock = records, SetClock()
        for name in ("manager", "tutor", "other", "verifier"):
            setattr(other, name, replace(getattr(self, name), records=records, clock=other.clock))
        return other

    def hand(self, role: str, name: str) -> staff.Hand:
        person = staff.take_on(self.manager, role, name=name)
        until = START.date() + timedelta(days=900)
        staff.note_assessor(self.manager, person, "Assessor course", START.date(), until)
        return _with_key(replace(self.manager, person=person, key=None), self.manager)

    def new_key(self, hand: staff.Hand) -> staff.Hand:
        """Give somebody whose key was retired a new one: proposed by the manager, then confirmed."""
        key = signing.Signer(Ed25519PrivateKey.generate())
        proposal = keys.add_key(self.manager, hand.person, key.key_id, key.public)
        keys.confirm_key(self.verifier, proposal.number)
        return replace(hand, key=key)

    def see(self, day: int, outcome: str = "met", criterion: str = "COK-P01", **more: Any) -> acts.Act:
        on = self.clock.on(day)
        facts = {"batch": f"B{day:03d}", "declared": True} | more
        if facts.get("method") == "supervised sitting":  # no paper was drawn for it, so it says why it counts
            facts.setdefault("despite", "The paper was lost; it was asked from the card.")
        seen = Observation(self.apprentice, "cook", on, {criterion: outcome}, **facts)
        return observations.observe(self.tutor, seen)


@pytest.fixture
def kitchen_in(bank, built):
    """A function that puts the people of a kitchen into empty records."""
    return lambda records: built.once("kitchen", records, lambda: Kitchen(records, bank)).over(records)


@pytest.fixture
def kitchen(records, kitchen_in):
    return kitchen_in(records)


@pytest.fixture
def with_key():
    """A function that gives a hand a fresh key: ``with_key(hand, manager)``."""
    return _with_key
