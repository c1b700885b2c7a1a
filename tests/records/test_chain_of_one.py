"""The check of the whole chain, and of one person's part: what each looks at, and in what order it tells."""

from __future__ import annotations

import pytest
from sqlalchemy import delete, text, update

from kit.basics.side_work import SideWork
from kit.records.competence import deciding
from kit.records.ledger import acts, projection
from kit.records.ledger.projection import check_chain
from kit.records.people import staff
from kit.records.storage import schema
from tests.records.conftest import lift


@pytest.fixture
def two(kitchen):
    """Two apprentices; of the first something was seen and decided, with words."""
    other = staff.take_on(kitchen.manager, "apprentice", name="Una Brekke")
    seen = kitchen.see(1, notes="Careful.")
    decided = deciding.decide(
        kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "Once so far."
    )
    return kitchen, other, seen, decided


def harm(kitchen, statement):
    with kitchen.records.writing() as connection:
        lift(connection, "acts_keep_every_row")
        lift(connection, "acts_keep_every_word")
        connection.execute(statement)


def test_a_whole_chain_is_told_with_its_end_and_every_act(two):
    kitchen, other, _, decided = two
    told = []
    report = check_chain(kitchen.records, told=told)
    assert report.whole and report.problems == () and report.not_checked == ()
    assert (report.acts, report.head) == (decided.number, acts.LedgerHead(decided.number, decided.hash))
    with kitchen.records.reading() as connection:
        assert told == list(acts.read(connection))
        mine = list(acts.read(connection, person=kitchen.apprentice))
    told = []
    assert check_chain(kitchen.records, kitchen.apprentice, told).whole
    assert told == mine
    assert check_chain(kitchen.records, other).acts == decided.number


def test_a_signature_of_ones_own_that_went_is_named_and_that_of_another_not(two):
    kitchen, other, seen, _ = two
    harm(kitchen, update(schema.acts).where(schema.acts.c.number == seen.number).values(signature=None))
    wanted = (f"act {seen.number} has no signature",)
    assert check_chain(kitchen.records).problems == wanted
    assert check_chain(kitchen.records, kitchen.apprentice).problems == wanted
    assert check_chain(kitchen.records, other).whole


def test_a_change_of_anybodys_act_is_named_to_everybody(two):
    kitchen, other, seen, _ = two
    harm(kitchen, update(schema.acts).where(schema.acts.c.number == seen.number).values(batch="B9"))
    for person in (None, kitchen.apprentice, other):
        problems = check_chain(kitchen.records, person).problems
        assert problems == (f"act {seen.number} was changed after it was recorded",)


def test_a_signature_that_does_not_fit_is_told_after_the_rest(two):
    kitchen, other, seen, _ = two
    harm(kitchen, update(schema.acts).where(schema.acts.c.number == seen.number).values(signature="00" * 64))
    misfit = f"act {seen.number} has a signature that does not fit its key"
    assert check_chain(kitchen.records).problems == (misfit,)
    assert check_chain(kitchen.records, other).whole
    harm_words(kitchen, "Well done.")
    first, *rest = check_chain(kitchen.records).problems
    assert first.startswith("words kept under the mark ") and rest[-1] == misfit
    harm_tables(kitchen, schema.decided)
    assert check_chain(kitchen.records).problems[-1] == misfit


def harm_words(kitchen, words):
    with kitchen.records.writing() as connection:
        table = schema.words
        mine = table.c.person == kitchen.apprentice
        connection.execute(update(table).where(mine, table.c.text == "Careful.").values(text=words))


def harm_tables(kitchen, table):
    with kitchen.records.writing() as connection:
        connection.execute(delete(table).where(table.c.person == kitchen.apprentice))


def test_words_that_were_changed_are_told_of_whom_they_are_about(two):
    kitchen, other, seen, _ = two
    harm_words(kitchen, "Careless.")
    wanted = (f"words kept under the mark {seen.facts['notes'][:12]} were changed",)
    assert check_chain(kitchen.records).problems == wanted
    assert check_chain(kitchen.records, kitchen.apprentice).problems == wanted
    assert check_chain(kitchen.records, other).whole


@pytest.mark.parametrize("table", [schema.roles, schema.points, schema.decided], ids=lambda table: table.name)
def test_tables_that_do_not_follow_are_named_of_whom_they_are_about(two, table):
    kitchen, other, _, _ = two
    harm_tables(kitchen, table)
    wanted = (f"the table {table.name!r} does not follow from the acts",)
    assert check_chain(kitchen.records).problems == wanted
    assert check_chain(kitchen.records, kitchen.apprentice).problems == wanted
    assert check_chain(kitchen.records, other).whole
    assert check_chain(kitchen.records).problems == wanted, "the check itself mended something"


def test_an_act_that_went_and_those_after_it_are_told_apart(two):
    kitchen, _, seen, decided = two
    harm(kitchen, text(f"DELETE FROM acts WHERE number = {seen.number - 1}"))
    problems = check_chain(kitchen.records).problems
    assert problems == (f"act {seen.number - 1} is missing",)
    assert check_chain(kitchen.records).acts == decided.number


def test_signatures_may_be_checked_by_the_side_in_lots(two, monkeypatch):
    kitchen, _, seen, _ = two
    monkeypatch.setattr(projection._Signatures, "LOT", 1)
    given = []

    class Side(SideWork):
        def give(self, work, lot):
            given.extend(number for number, _ in lot)
            return super().give(work, lot)

    assert check_chain(kitchen.records, side=Side()).whole and seen.number in given
    given.clear()
    assert check_chain(kitchen.records).whole and given == []


@pytest.mark.file_only("there a column of moments takes no other word")
def test_an_act_that_cannot_be_read_is_named_by_its_number(two):
    kitchen, _, seen, _ = two
    harm(kitchen, text(f"UPDATE acts SET at = 'yesterday' WHERE number = {seen.number}"))
    report = check_chain(kitchen.records)
    assert report.problems[0].startswith(f"act {seen.number} cannot be read")
