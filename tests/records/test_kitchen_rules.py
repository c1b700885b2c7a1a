"""Answers made under a kitchen's rules are marked by those rules, or left to the tutor."""

from datetime import UTC, datetime

import pytest

from kit import exercises
from kit.basics import places
from kit.exercises.catalogue import Catalogue
from kit.exercises.engine.registry import _ENTRIES
from kit.files import Book, read
from kit.files.joined_kitchen import join, remember
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.signing import make_key, unseal_key
from kit.marking.build import number
from kit.practice import create, start
from kit.records import take_in
from kit.records.intake.disputed_mark import matter
from kit.records.intake.remark import check_book

LATER = datetime(2036, 1, 1, tzinfo=UTC)


@pytest.fixture(scope="module")
def mara():
    sealed, _ = make_key("smoke over alder", cost=2**14)
    return unseal_key(sealed, "smoke over alder")


def build(mara, maximum=2.5, **more):
    keys = [KeyHolder("tutor", "Mara Quill", mara.public)]
    tighter = [{"rule": "ie-store-3", "maximum": maximum}]
    return make_kitchen("Harbour Lane", profile="ie", keys=keys, signer=mara, tighter=tighter, **more)


@pytest.fixture
def store_limit():
    @exercises.exercise("The store here", criteria=["CHL-K01"], lesson=6)
    def store_limit_here(draw, profile):
        limit = profile["ie-store-3"].maximum
        return number(f"Fridge {draw.pick(['A', 'B'])}: at most?", limit, "°C", abs_tol=0.1, worked="So.")

    yield "store-limit-here"
    del _ENTRIES["store-limit-here"]


@pytest.fixture
def tutors_machine(tmp_path, monkeypatch):
    """Move from the apprentice's machine to the tutor's, where nothing was joined yet."""

    def go():
        monkeypatch.setenv(places.HOME_VARIABLE, str(tmp_path / "tutor"))

    return go


@pytest.fixture
def book(mara, store_limit, tmp_path):
    """Ana answers 2.5 and then 3 under a kitchen that asks for 2.5; her book and the kitchen."""
    kitchen = build(mara)
    path = tmp_path / "harbour.toml"
    write_kitchen(path, kitchen)
    join(path)
    ana = create("Ana")
    work = start(ana.id)
    work.check(store_limit, "2.5")
    work.next_variant(store_limit)
    work.check(store_limit, "3")
    return ana.book_path, kitchen


def marks(path):
    checked = check_book(path, Catalogue(), {}, LATER)
    assert not checked.refused
    tried = [line for line in checked.lines if line.entry.what == "attempt"]
    return [line.outcome.verdict if line.outcome else "kept" for line in tried], [
        flag for line in tried for flag in line.flags
    ]


def test_the_same_kitchen_here_marks_by_its_own_limits(book, tutors_machine):
    path, kitchen = book
    tutors_machine()
    remember(kitchen)
    assert marks(path) == (["right", "not yet"], [])


def test_without_that_kitchen_the_tutor_decides(book, tutors_machine):
    path, kitchen = book
    tutors_machine()
    verdicts, flags = marks(path)
    assert verdicts == ["kept", "kept"]
    assert [flag.kind for flag in flags] == ["other rules", "other rules"]
    assert kitchen.id in flags[0].says and "tutor decides" in flags[0].says


def test_a_version_with_other_limits_does_not_serve_and_the_older_file_still_does(
    book, mara, tutors_machine, tmp_path
):
    path, first = book
    second = build(mara, maximum=2, before=first)
    third = build(mara, before=second)  # the limits of the first again
    tutors_machine()
    remember(second)
    assert marks(path)[0] == ["kept", "kept"]
    remember(third)
    assert marks(path)[0] == ["right", "not yet"]


def test_another_kitchen_with_the_very_same_limits_does_not_serve(book, mara, tutors_machine):
    path, _ = book
    tutors_machine()
    remember(build(mara))
    assert [flag.kind for flag in marks(path)[1]] == ["other rules", "other rules"]


def test_a_kitchen_that_a_book_only_claims_is_not_believed(mara, store_limit, tutors_machine):
    """Without joining: the limit asked was Ireland's, whatever the line says."""
    ana = create("Ana")
    work = start(ana.id)
    kitchen = build(mara)
    task = work.current(store_limit)
    told = {"profile": "ie", "profile_fingerprint": kitchen.rules().fingerprint, "kitchen": kitchen.stamp}
    claim = {"answer": "3", "read_as": "3 °C", "score": 1.0, "of": 1.0, "verdict": "right", "slip": ""}
    work.book.append("attempt", **task.facts, **told, **claim, hints=0)
    tutors_machine()
    remember(kitchen)
    verdicts, flags = marks(ana.book_path)
    assert verdicts == ["kept"] and [flag.kind for flag in flags] == ["other version"]


def test_a_mark_disputed_under_house_limits_is_looked_at_with_its_own_question(
    book, tutors_machine, store_limit, records
):
    path, kitchen = book
    start_line = Book(path)
    entry = start_line.entries[-1]
    facts = {
        name: getattr(entry, name) for name in ("exercise", "version", "occasion", "seed", "fingerprint")
    }
    rules = {name: getattr(entry, name) for name in ("profile", "profile_fingerprint", "kitchen")}
    told = {name: getattr(entry, name) for name in ("answer", "read_as", "score", "of", "verdict", "slip")}
    start_line.append("dispute", **facts, **rules, **told, text="It was 3.")
    tutors_machine()
    remember(kitchen)
    take_in(records, [path], now=LATER)
    found = matter(records, read(path).header.person, len(read(path).entries) + 1, Catalogue())
    assert found.question.startswith("Fridge ") and found.right == "2.5 °C"
