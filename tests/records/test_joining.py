"""Two ids of one person, joined and parted by signed acts: what counts, who may, and what the check says."""

from dataclasses import replace

import pytest

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.records import take_in
from kit.records.competence import deciding, observations
from kit.records.competence.assess import assess, what_waits
from kit.records.competence.observations import Observation
from kit.records.ledger import acts
from kit.records.ledger.acts import Draft, NotAllowed
from kit.records.ledger.joins import joined_ids, together
from kit.records.people import staff
from kit.records.people.crew import key_of, learners
from kit.records.people.held import answers_of
from kit.records.people.joining import join, part
from kit.records.reports.board import board
from kit.records.reports.person_page import person_page
from kit.records.upkeep.erase import erase_person
from kit.records.upkeep.whole_check import check_all
from kit.tables.frames import called

BOOK = "p-tam-book"
KNOWN = "We filled it in side by side."


@pytest.fixture
def two(kitchen, bank, write):
    """The natural order: Tam is taken on by name; his own book comes afterwards, with another id."""
    book = write(BOOK, "Tam Ferris")
    for day in (0, 1):
        book.attempt("salt-sum", day=day)
    kitchen.book = book
    kitchen.clock.on(3)
    (refused,) = take_in(kitchen.records, [book.path], now=kitchen.clock(), catalogue=bank).books
    assert refused.status == "refused"
    taken = take_in(
        kitchen.records, [book.path], now=kitchen.clock(), catalogue=bank, same_name=lambda *_: True
    )
    assert taken.books[0].status == "taken"
    return kitchen


def stands(kitchen, criterion, person=None):
    with kitchen.records.reading() as connection:
        catalogue, day = kitchen.manager.catalogue, kitchen.manager.today()
        return assess(connection, catalogue, person or kitchen.apprentice, criterion, day)


def whole(kitchen):
    report = check_all(kitchen.records, kitchen.manager.catalogue)
    assert report.problems == ()
    return report


@pytest.mark.slow
def test_today_a_person_is_split_and_a_join_makes_them_one(two):
    assert stands(two, "CUR-K01").state == "nothing"  # the attack of the natural order: two halves
    with pytest.raises(UnknownName, match="several"):
        staff.find(two.records, "Tam Ferris")
    join(two.tutor, two.apprentice, BOOK, KNOWN)
    assert stands(two, "CUR-K01").state == "ready"
    assert stands(two, "CUR-K01").practice.tries == 2
    for asked in ("Tam Ferris", BOOK, two.apprentice):
        assert staff.find(two.records, asked).person == two.apprentice
    with two.records.reading() as connection:
        assert together(connection, two.apprentice) == (two.apprentice, BOOK)
        tams = [one for one in learners(connection) if one.name == "Tam Ferris"]
        assert [(one.person, one.key) for one in tams] == [(two.apprentice, key_of(connection, BOOK))]
        assert len(answers_of(connection, two.apprentice)["lines"]) == 3
        waits = what_waits(connection, two.manager.catalogue, two.manager.today())
        assert waits[two.apprentice]["CUR-K01"][0] == ("decide",) and BOOK not in waits
    page = person_page(two.records, two.apprentice, two.manager.today(), two.manager.catalogue)
    assert page.answers == 2 and [day.tried for day in page.days] == [1, 1]
    assert (
        len(
            [
                one
                for one in board(two.records, catalogue=two.manager.catalogue).people
                if one.name == "Tam Ferris"
            ]
        )
        == 1
    )
    whole(two)


def test_a_decision_rests_on_both_and_the_check_follows(two):
    two.clock.on(5)
    staff.take_on(two.manager, "apprentice", person=BOOK)
    for day in (6, 7):
        seen = Observation(
            BOOK, "cook", two.clock.on(day), {"COK-P01": "met"}, batch=f"B{day}", declared=True
        )
        observations.observe(two.tutor, seen)
    with pytest.raises(deciding.MissingEvidence):
        deciding.decide(two.tutor, two.apprentice, "COK-P01", "competent", "Seen twice.")
    two.clock.on(8)
    joined = join(two.tutor, two.apprentice, BOOK, KNOWN)
    act = deciding.decide(two.tutor, two.apprentice, "COK-P01", "competent", "Seen twice.")
    assert len(act.facts["points"]) == 2 and stands(two, "COK-P01").holds
    whole(two)
    two.clock.on(9)
    part(two.manager, joined.number, "It is his cousin.")
    whole(two)  # the decision was allowed when it was made
    assert stands(two, "CUR-K01").state == "nothing"
    assert stands(two, "CUR-K01", BOOK).state == "ready"


@pytest.mark.slow
def test_knowledge_from_the_joined_book_carries_a_decision_that_checks(two):
    join(two.tutor, two.apprentice, BOOK, KNOWN)
    act = deciding.decide(two.tutor, two.apprentice, "CUR-K01", "competent", "Shown in practice.")
    assert len(act.facts["entries"]) == 2
    whole(two)


def test_a_book_goes_on_after_the_join(two, bank):
    join(two.tutor, two.apprentice, BOOK, KNOWN)
    two.book.attempt("salt-sum", day=4)
    two.clock.on(5)
    (taken,) = take_in(two.records, [two.book.path], now=two.clock(), catalogue=bank).books
    assert (taken.status, taken.answers) == ("taken", 1)
    assert stands(two, "CUR-K01").practice.tries == 3
    whole(two)


MISUSE = {
    "without a key": (lambda k: join(replace(k.tutor, key=None), k.apprentice, BOOK, KNOWN), NotAllowed),
    "by a verifier": (lambda k: join(k.verifier, k.apprentice, BOOK, KNOWN), NotAllowed),
    "with a tutor": (lambda k: join(k.tutor, k.apprentice, k.other.person, KNOWN), NotAllowed),
    "about oneself": (lambda k: join(k.tutor, k.tutor.person, BOOK, KNOWN), NotAllowed),
    "nobody taken on": (lambda k: join(k.tutor, BOOK, k.apprentice, KNOWN), NotAllowed),
    "the same twice": (lambda k: join(k.tutor, k.apprentice, k.apprentice, KNOWN), BadData),
    "somebody unknown": (lambda k: join(k.tutor, k.apprentice, "p-nobody", KNOWN), UnknownName),
    "no reason": (lambda k: join(k.tutor, k.apprentice, BOOK, " "), OutOfRange),
    "nothing to part": (lambda k: part(k.tutor, 1, "No reason."), BadData),
}


@pytest.mark.parametrize("attempt", MISUSE)
def test_a_join_that_must_not_be(two, attempt):
    act, error = MISUSE[attempt]
    with two.records.reading() as connection:
        before = acts.head(connection)
    with pytest.raises(error):
        act(two)
    with two.records.reading() as connection:
        assert acts.head(connection) == before and joined_ids(connection) == {}


def test_two_books_are_not_added_up_and_nobody_is_joined_twice(two, bank, write):
    second = write("p-second", "Tam Ferris")
    second.attempt("chill-time", day=0)
    take_in(two.records, [second.path], now=two.clock(), catalogue=bank, same_name=lambda *_: True)
    join(two.tutor, two.apprentice, BOOK, KNOWN)
    for other in ("p-second", BOOK):
        with pytest.raises(BadData, match="one person"):
            join(two.tutor, two.apprentice, other, KNOWN)
    staff.take_on(two.manager, "apprentice", person="p-second")
    with pytest.raises(BadData, match="one person"):
        join(two.tutor, "p-second", BOOK, KNOWN)


def test_both_with_a_book_are_refused(two, bank, write):
    second = write("p-second", "Tam Ferris")
    second.attempt("chill-time", day=0)
    take_in(two.records, [second.path], now=two.clock(), catalogue=bank, same_name=lambda *_: True)
    staff.take_on(two.manager, "apprentice", person="p-second")
    with pytest.raises(BadData, match="both ids have an answer book"):
        join(two.tutor, "p-second", BOOK, KNOWN)


def test_joined_people_are_parted_before_either_is_erased(two):
    joined = join(two.tutor, two.apprentice, BOOK, KNOWN)
    staff.leave(two.manager, two.apprentice, "apprentice")
    for one in (two.apprentice, BOOK):
        with pytest.raises(NotAllowed, match="Part them first"):
            erase_person(two.manager, one, "Asked for it.")
    part(two.manager, joined.number, "To erase both.")
    for one in (two.apprentice, BOOK):
        erase_person(two.manager, one, "Asked for it.")
    whole(two)


def test_a_forged_parting_is_named_by_the_check(two):
    """Somebody with a key writes straight into the chain what no rule allows."""
    with two.records.writing() as connection:
        forged = Draft(
            "parted", two.tutor.person, two.apprentice, facts={"act": 3, "other": BOOK, "reason": ""}
        )
        acts.append(connection, forged, two.clock(), two.tutor.key)
    problems = check_all(two.records, two.manager.catalogue).problems
    assert any("act 3 joined no such two" in one for one in problems)


def test_a_forged_join_by_a_verifier_is_named_by_the_check(two):
    with two.records.writing() as connection:
        forged = Draft("joined", two.verifier.person, two.apprentice, facts={"other": BOOK, "reason": ""})
        acts.append(connection, forged, two.clock(), two.verifier.key)
    assert any("was not allowed" in one for one in check_all(two.records, two.manager.catalogue).problems)


@pytest.mark.parametrize("names", [False, True])
def test_in_the_tables_two_joined_ids_are_one_person(two, names):
    before = called(two.records, names)
    assert before[BOOK] != before[two.apprentice]
    join(two.tutor, two.apprentice, BOOK, KNOWN)
    after = called(two.records, names)
    assert after[BOOK] == after[two.apprentice]
    assert "(" not in after[BOOK] and len(set(after.values())) == len(set(before.values())) - 1
