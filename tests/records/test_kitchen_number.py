"""In a joined kitchen a day of practice counts once it lies between two hand-ins."""

import threading
from datetime import timedelta
from io import StringIO

import pytest
from rich.console import Console
from sqlalchemy import select

from kit.basics import places
from kit.cli.tutor.take_in import report
from kit.files import read
from kit.files.inbox import send_book
from kit.files.inbox_server import InboxServer, open_inbox
from kit.files.joined_kitchen import join
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.kitchen_number import FILE, fetch, give, hear, kitchen_here, new_number, number_in_force
from kit.files.signing import make_key, unseal_key
from kit.marking.model import Number
from kit.practice import create, start
from kit.practice.handing_in import hand_in_here
from kit.records import take_in
from kit.records.ledger import acts
from kit.records.ledger.projection import check_chain
from kit.records.storage import schema
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import START, Writer


@pytest.fixture
def joined_kitchen(tmp_path, monkeypatch):
    """Make a home for the machine, and let it join a kitchen."""
    monkeypatch.setenv(places.HOME_VARIABLE, str(tmp_path / "home"))
    sealed, _ = make_key("smoke over alder", cost=2**14)
    mara = unseal_key(sealed, "smoke over alder")
    kitchen = make_kitchen(
        "Harbour Lane", profile="ie", keys=[KeyHolder("tutor", "Mara Quill", mara.public)], signer=mara
    )
    write_kitchen(tmp_path / "harbour.toml", kitchen)
    join(tmp_path / "harbour.toml")
    return kitchen


def days_counted(records):
    with records.reading() as connection:
        return sorted(set(connection.scalars(select(schema.first_tries.c.local_day))))


def standing(records):
    with records.reading() as connection:
        standings = schema.standings.c
        return connection.scalar(select(standings.held).where(standings.criterion == "CUR-K01"))


def number_given(records):
    with records.reading() as connection:
        return [act.facts.get("number") for act in acts.read(connection, kind=acts.TAKEN_IN)][-1]


def practise(book, days, number=""):
    for day in days:
        for minute in range(4):
            book.attempt("salt-sum", day=day, minute=minute, number=number)


@pytest.mark.slow
@pytest.mark.parametrize("kitchen", [False, True])
def test_a_book_made_up_in_an_hour_and_dated_over_days_shows_nothing_in_a_kitchen(
    kitchen, write, records, bank, request
):
    """The attack: every answer right, over six dates, handed in once. Alone it counts as before."""
    if kitchen:
        request.getfixturevalue("joined_kitchen")
    book = write()
    practise(book, range(6))
    take_in(records, [book.path], catalogue=bank, now=START + timedelta(days=7))
    assert len(days_counted(records)) == (1 if kitchen else 6)
    assert standing(records) is (not kitchen)


def test_days_between_two_hand_ins_count_each_and_the_check_stays_whole(joined_kitchen, write, records, bank):
    book = write()
    practise(book, [0])
    take_in(records, [book.path], catalogue=bank, now=START + timedelta(hours=2))
    number = number_given(records)
    practise(book, [1, 3], number)
    (taken,) = take_in(records, [book.path], catalogue=bank, now=START + timedelta(days=4)).books
    assert not taken.flags and taken.right == 8
    assert days_counted(records) == [(START + timedelta(days=n)).date() for n in (0, 1, 3)]
    assert standing(records) and number_given(records) != number
    assert check_chain(records).whole and check_all(records, bank).problems == ()


@pytest.mark.slow
def test_a_line_dated_before_its_number_counts_as_handed_in(joined_kitchen, write, records, bank):
    book = write()
    practise(book, [0])
    take_in(records, [book.path], catalogue=bank, now=START + timedelta(days=5))
    practise(book, [1, 2], number_given(records))
    take_in(records, [book.path], catalogue=bank, now=START + timedelta(days=9))
    assert days_counted(records) == [(START + timedelta(days=n)).date() for n in (5, 9)]


def test_nobody_chooses_among_numbers(joined_kitchen, write, records, bank):
    """A made-up number, and one that the book has left behind, would let its writer choose questions."""
    book, numbers = write(), []
    for day in (0, 1):
        practise(book, [day], numbers[-1] if numbers else "")
        take_in(records, [book.path], catalogue=bank, now=START + timedelta(days=day, hours=2))
        numbers.append(number_given(records))
    practise(book, [2], numbers[1])
    book.attempt("salt-sum", day=3, number=numbers[0])
    book.attempt("salt-sum", day=3, minute=1, number=new_number())
    (taken,) = take_in(records, [book.path], catalogue=bank, now=START + timedelta(days=4)).books
    assert [flag.kind for flag in taken.flags] == ["other seed", "other seed"]
    assert taken.right == 4


@pytest.mark.slow
def test_from_the_page_to_the_records_and_back(joined_kitchen, records):
    """Hand in, be taken in, go on: the number arrives by itself, and every mark stands."""
    ana = create("Ana")
    work = start(ana.id)
    exercise = next(
        one for one in work.catalogue.evidence if isinstance(work.current(one).question.kind, Number)
    )
    first = work.current(exercise)
    work.check(exercise, "1")
    assert number_in_force() == "" and first.number == ""
    said = hand_in_here(ana)
    assert any("between two hand-ins" in one for one in said)
    books = sorted(places.handed_in_folder().glob("*.book"))
    now = work.book.clock()
    take_in(records, books, now=now)
    later = start(ana.id)
    assert later.number == number_in_force() == number_given(records) != ""
    assert later.current(exercise).question.seed == first.question.seed  # what was begun is finished
    later.next_variant(exercise)
    later.check(exercise, "1")
    entry = read(ana.book_path).entries[-1]
    assert entry.number == later.number
    hand_in_here(ana)
    (taken,) = take_in(records, books, now=now + timedelta(minutes=5)).books
    assert taken.status == "taken" and not taken.flags


def test_a_number_comes_on_a_stick_and_another_kitchens_does_not(joined_kitchen, tmp_path):
    stick = tmp_path / "stick"
    stick.mkdir()
    give("k-0123456789ab", new_number(), START, [stick])
    assert not fetch(stick) and number_in_force() == ""
    number = new_number()
    give(joined_kitchen.id, number, START, [stick])
    assert fetch(stick) and number_in_force() == number
    give(joined_kitchen.id, new_number(), START - timedelta(days=1), [stick])
    assert not fetch(stick) and number_in_force() == number
    (stick / "kitchen-number.toml").write_text("number = [")
    assert not fetch(stick) and number_in_force() == number


def test_the_number_is_left_for_all_to_read_and_a_folder_that_takes_none_is_named(
    joined_kitchen, write, records, bank, tmp_path, monkeypatch
):
    """A lesson may run under another account than the desk: nobody honest waits for a number in silence."""
    book = write()
    practise(book, [0])
    (found,) = [take_in(records, [book.path], catalogue=bank, now=START + timedelta(hours=2))]
    assert found.without_number == ()
    assert (book.path.parent / "kitchen-number.toml").stat().st_mode & 0o777 == 0o644
    practise(book, [1])

    def refuse(path, data):
        raise PermissionError(13, "not yours", str(path))

    monkeypatch.setattr("kit.files.kitchen_number.write_private", refuse)
    found = take_in(records, [book.path], catalogue=bank, now=START + timedelta(days=2))
    assert book.path.parent in found.without_number and found.of("taken")
    told = Console(file=StringIO(), width=400)
    report(found, told)
    assert f"cannot be left in {book.path.parent}" in told.file.getvalue()


def test_the_inbox_tells_the_new_number_over_its_socket(joined_kitchen, tmp_path):
    """A lesson's account cannot look into the inbox: the number comes back with the answer to a hand-in."""
    folder, path = tmp_path / "inbox", tmp_path / "s"
    inbox = open_inbox(folder)
    here = kitchen_here()
    give(here, "a" * 16, START, [folder])
    with InboxServer(path, inbox) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        book = Writer(tmp_path / "ana.book", "p-ana", "Ana Lind")
        book.attempt("salt-sum", day=0)
        assert number_in_force() == ""
        assert send_book(book.path.read_bytes(), str(path)).startswith("Handed in")
        assert number_in_force() == "a" * 16
        for strange in ("k-" + "0" * 12, here):
            since = START + timedelta(days=1 if strange != here else -1)
            give(strange, "b" * 16, since, [folder])
            send_book(book.path.read_bytes(), str(path))
            assert number_in_force() == "a" * 16, "another kitchen's, and an older one, change nothing"
        (folder / FILE).write_text("x" * 5000)
        assert "already" in send_book(book.path.read_bytes(), str(path))
        server.shutdown()
    assert not hear("") and not hear("number = 3") and not hear("\ud800")
