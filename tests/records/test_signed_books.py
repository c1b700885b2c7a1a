"""Taking in a book whose person has a key: lines without its signature are flagged and prove nothing."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from kit.files import Book
from kit.files.book_keys import make_pin_key, signer_of
from kit.records import take_in
from kit.records.intake.review import look_at, open_matters
from kit.records.storage import schema


@pytest.fixture
def key():
    return signer_of(make_pin_key("2719", cost=2**14)[1])


@pytest.fixture
def ana(write, key):
    """A writer with one answer of before, then a key, then one signed answer."""
    writer = write()
    writer.attempt("salt-sum", day=0)
    writer.book.signer = key
    writer.book.append("key", public=key.public)
    writer.attempt("salt-sum", day=1)
    return writer


@pytest.fixture
def take(records, bank, now):
    def go(path):
        (taken,) = take_in(records, [path], catalogue=bank, now=now).books
        return taken

    return go


def past_the_kit(writer):
    """Let the writer's book write without its key, as a text editor could."""
    writer.book = Book(writer.path, clock=writer.clock)
    writer.book._key_for = lambda what: None


def counts(records):
    entries, marks = schema.entries.c, schema.marks.c
    query = select(marks.counts).join_from(schema.marks, schema.entries, entries.key == marks.entry)
    with records.reading() as connection:
        return list(connection.scalars(query.order_by(entries.position)))


def kinds(taken):
    return [(flag.kind, flag.line) for flag in taken.flags]


def test_signed_lines_and_those_before_the_key_count(ana, take, records):
    taken = take(ana.path)
    assert (taken.status, taken.answers, taken.flags) == ("taken", 2, ())
    assert counts(records) == [True, True]


@pytest.mark.slow
def test_unsigned_lines_are_flagged_once_in_a_row_and_do_not_count(ana, take, records, key):
    past_the_kit(ana)
    for day in (2, 3, 4):
        ana.attempt("salt-sum", day=day)
    ana.book = Book(ana.path, clock=ana.clock, signer=key)
    ana.attempt("salt-sum", day=5)
    taken = take(ana.path)
    assert kinds(taken) == [("not signed", 5)]
    assert "Lines 5 to 7 are not signed" in taken.flags[0].says
    assert counts(records) == [True, True, False, False, False, True]


def test_the_key_of_what_was_taken_in_before_is_remembered(ana, take, records):
    take(ana.path)
    past_the_kit(ana)
    ana.attempt("salt-sum", day=2)
    assert kinds(take(ana.path)) == [("not signed", 5)]
    assert counts(records) == [True, True, False]


def test_a_foreign_key_counts_only_once_the_tutor_asked(ana, take, records, kitchen):
    other = signer_of(make_pin_key("9999", cost=2**14)[1])
    ana.book.signer = other
    ana.book.append("key", public=other.public)
    ana.attempt("salt-sum", day=2)
    assert kinds(take(ana.path)) == [("new key", 5)]
    assert counts(records) == [True, True, False]
    (matter,) = [one for one in open_matters(records) if one.exercise == "new key"]
    look_at(kitchen.tutor, matter.who, "flag", matter.line, "nothing wrong", "It was her.", "new key")
    ana.attempt("salt-sum", day=3)
    assert kinds(take(ana.path)) == []
    assert counts(records) == [True, True, False, True]


@pytest.mark.slow
def test_a_foreign_key_that_the_tutor_doubts_never_counts(ana, take, records, kitchen):
    other = signer_of(make_pin_key("9999", cost=2**14)[1])
    ana.book.signer = other
    ana.book.append("key", public=other.public)
    take(ana.path)
    look_at(kitchen.tutor, "p-ana", "flag", 5, "not to be counted on", "She knew nothing.", "new key")
    ana.attempt("salt-sum", day=3)
    take(ana.path)
    assert counts(records) == [True, True, False]


def test_a_book_without_a_key_needs_no_signature(write, take, records):
    bo = write("p-bo", "Bo Falk")
    for day in range(3):
        bo.attempt("salt-sum", day=day)
    assert take(bo.path).flags == () and counts(records) == [True] * 3
