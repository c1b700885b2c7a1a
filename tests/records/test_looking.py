"""Disputes, flags and explanations: what waits, what a look at it does, and how it opens a decision again."""

from __future__ import annotations

import pytest

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.records import assess_all, take_in
from kit.records.competence import deciding
from kit.records.competence.decision_state import decisions
from kit.records.intake.review import look_at, open_matters
from kit.records.ledger.acts import NotAllowed
from kit.records.ledger.projection import check_chain
from kit.records.reports.board import board


@pytest.fixture
def worked(kitchen, write, bank):
    """Three days of practice on one criterion, the second answer wrong and disputed, and an explanation."""
    book = write(kitchen.apprentice, "Tam Ferris")
    book.attempt("chill-time", day=0)
    wrong = book.attempt("chill-time", right=False, day=1)
    told = {"fingerprint": wrong.fingerprint, "score": 0.0, "of": 1.0, "verdict": "not yet"}
    book.note("dispute", "chill-time", 2, text="The limit is 3, not 5.", **told)
    book.attempt("chill-time", day=2)
    book.attempt("chill-time", day=2)
    book.note("explained", "salt-sum", 1, answer="Salt draws the water out.")
    kitchen.clock.on(3)
    take_in(kitchen.records, [book.path], now=kitchen.clock.now, catalogue=bank)
    return kitchen


def stands(kitchen, bank, criterion="COK-K02"):
    with kitchen.records.reading() as connection:
        return decisions(connection, bank, kitchen.clock.now.date())[kitchen.apprentice][criterion]


def line_of(kitchen, sort):
    return next(one.line for one in open_matters(kitchen.records) if one.sort == sort)


def test_a_disputed_mark_opens_the_decision_until_it_is_looked_at(worked, bank):
    deciding.decide(worked.tutor, worked.apprentice, "COK-K02", "competent", "Shown in practice.")
    assert stands(worked, bank).state == "disputed"
    assert not stands(worked, bank).holds
    look_at(worked.tutor, worked.apprentice, "dispute", line_of(worked, "dispute"), "mark stands", "It is 5.")
    assert stands(worked, bank).state == "second wanted"
    assert [one.sort for one in open_matters(worked.records)] == ["explanation"]
    assert check_chain(worked.records).whole


def test_a_mark_that_was_wrong_counts_as_right_and_the_mark_itself_stays(worked, bank):
    def cell():
        found = board(worked.records, person="Tam Ferris", catalogue=bank)
        return found.stands.of(found.people[0].person_id, "COK-K02").practice

    assert cell().days_right == 2
    line = line_of(worked, "dispute")
    look_at(worked.tutor, worked.apprentice, "dispute", line, "mark was wrong", "The card was misprinted.")
    assert cell().days_right == 3
    with worked.records.reading() as connection:
        verdicts = list(connection.exec_driver_sql("SELECT verdict FROM marks ORDER BY entry"))
    assert [row[0] for row in verdicts] == ["right", "not yet", "right", "right"]


@pytest.mark.parametrize(
    ("sort", "line", "outcome", "reason", "error"),
    [
        ("dispute", 99, "mark stands", "Looked.", BadData),
        ("dispute", 2, "mark stands", "Looked.", BadData),
        ("flag", 0, "nothing wrong", "Looked.", BadData),
        ("guess", 2, "mark stands", "Looked.", UnknownName),
        ("dispute", 4, "shows it", "Looked.", UnknownName),
        ("dispute", 4, "mark stands", "", OutOfRange),
    ],
)
def test_what_does_not_wait_cannot_be_looked_at(worked, sort, line, outcome, reason, error):
    with pytest.raises(error):
        look_at(worked.tutor, worked.apprentice, sort, line, outcome, reason)


def test_a_second_look_and_ones_own_book_are_refused(worked):
    line = line_of(worked, "explanation")
    look_at(worked.tutor, worked.apprentice, "explanation", line, "shows it", "Clear and right.")
    with pytest.raises(BadData, match="already"):
        look_at(worked.other, worked.apprentice, "explanation", line, "not yet", "I differ.")
    with pytest.raises(NotAllowed, match="own book"):
        look_at(worked.tutor, worked.tutor.person, "explanation", line, "shows it", "Mine.")


def test_a_decision_runs_out_and_says_so_before(kitchen, bank):
    for day in (1, 2):
        kitchen.see(day)
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen twice.")
    deciding.verify(kitchen.verifier, act.number, True, "Read both sheets.")
    review = stands(kitchen, bank, "COK-P01").review_on
    for days_before, state in ((31, "competent"), (30, "refresher due"), (0, "refresher due"), (-1, "over")):
        kitchen.clock.on((review - kitchen.clock.on(0)).days - days_before)
        assert stands(kitchen, bank, "COK-P01").state == state
    assert not stands(kitchen, bank, "COK-P01").holds


def test_nothing_averages_over_what_can_hurt(kitchen, bank):
    for day in (1, 2):
        kitchen.see(day)
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen twice.")
    with kitchen.records.reading() as connection:
        found = assess_all(connection, bank, kitchen.clock.now.date())
    assert found.safety(kitchen.apprentice) == (1, 2)
