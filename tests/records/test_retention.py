"""Records of leavers run out by a signed rule; nothing else runs out, whatever the clock or a job says."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta

import pytest

from kit.basics.errors import OutOfRange
from kit.basics.typed_names import fold
from kit.records import take_in
from kit.records.ledger import acts
from kit.records.ledger.acts import ClockAhead, Draft, NotAllowed
from kit.records.ledger.erased import erased_on
from kit.records.people import staff
from kit.records.people.joining import join
from kit.records.people.staff import Hand, write
from kit.records.upkeep.erase import erase_by_rule
from kit.records.upkeep.retention import due, run_retention, set_retention
from kit.records.upkeep.site_backup import JOURNAL
from kit.records.upkeep.whole_check import check_all
from tests.records.conftest import START


def gone(records, person):
    with records.reading() as connection:
        return erased_on(connection, person) is not None


@pytest.fixture
def left(kitchen):
    """Tam left on the first day, a rule of one year stands, and the kitchen goes on."""
    staff.leave(kitchen.manager, kitchen.apprentice, "apprentice", "Moved away.")
    kitchen.rule = set_retention(kitchen.manager, 1)
    return kitchen


def years_on(kitchen, days):
    """Let the kitchen work on, half a year at a time, so that the clock is believed."""
    now = (kitchen.clock.now - START).days
    for day in [*range(now + 180, days, 180), days]:
        kitchen.clock.on(day)
        staff.note(kitchen.manager, kitchen.tutor.person, "note", "Still at work.")


def test_a_leaver_is_erased_when_the_time_is_over_and_not_before(left, bank):
    records, person = left.records, left.apprentice
    with records.reading() as connection:
        (one,) = due(connection)
    assert (one.person, one.until) == (person, (START + timedelta(days=365)).date())
    years_on(left, 365)
    assert run_retention(records, left.clock).erased == () and not gone(records, person)
    left.clock.on(368)
    done = run_retention(records, left.clock)
    assert (done.rule, done.years, done.erased, done.waits) == (left.rule.number, 1, (person,), ())
    with records.reading() as connection:
        act = list(acts.read(connection, kind="erased"))[-1]
        assert due(connection) == ()
    assert (act.by, act.person, act.facts["rule"]) == (left.manager.person, person, left.rule.number)
    assert fold("Tam Ferris") not in {fold(one.name) for one in staff.members(records)}
    found = check_all(records, bank)
    assert found.problems == () and not any("grants" in one for one in found.not_checked)
    assert run_retention(records, left.clock).erased == ()
    told = [json.loads(line) for line in records.path.with_name(JOURNAL).read_text().splitlines()]
    assert [one["erased"] for one in told] == [[], [person], []] and told[1]["rule"] == left.rule.number


def test_a_book_taken_in_later_counts_as_being_here(left, write, bank):
    ana = staff.take_on(left.manager, "apprentice", name="Ana Lind", person="p-ana")
    staff.leave(left.manager, ana, "apprentice")
    book = write("p-ana", "Ana Lind")
    book.attempt("salt-sum", day=0)
    years_on(left, 200)
    take_in(left.records, [book.path], now=left.clock(), catalogue=bank)
    years_on(left, 400)
    assert run_retention(left.records, left.clock).erased == (left.apprentice,)


def test_who_is_here_came_back_or_signed_for_others_stays(left, with_key):
    staff.leave(left.manager, left.other.person, "tutor")  # had a key: decisions of others rest on it
    back = staff.take_on(left.manager, "apprentice", name="Nell Oddy")
    staff.leave(left.manager, back, "apprentice")
    left.clock.on(1)
    staff.come_back(left.manager, back, "apprentice")
    years_on(left, 400)
    assert run_retention(left.records, left.clock).erased == (left.apprentice,)


def test_without_a_rule_or_after_its_end_nobody_runs_out(kitchen):
    staff.leave(kitchen.manager, kitchen.apprentice, "apprentice")
    years_on(kitchen, 2000)
    assert run_retention(kitchen.records, kitchen.clock) is None
    set_retention(kitchen.manager, 1)
    set_retention(kitchen.manager, None)
    assert run_retention(kitchen.records, kitchen.clock) is None
    assert not gone(kitchen.records, kitchen.apprentice)


@pytest.mark.parametrize("days", [370, 3000])
def test_a_clock_that_leaps_erases_nobody(left, days):
    left.clock.on(days)
    with pytest.raises(ClockAhead, match="Nobody was erased"):
        run_retention(left.records, left.clock)
    assert not gone(left.records, left.apprentice)


def test_only_a_manager_who_signs_sets_the_rule(kitchen):
    for hand in (kitchen.tutor, kitchen.verifier, replace(kitchen.manager, key=None)):
        with pytest.raises(NotAllowed):
            set_retention(hand, 1)
    for years in (0, 101):
        with pytest.raises(OutOfRange):
            set_retention(kitchen.manager, years)


def test_a_job_that_goes_beyond_the_rule_is_refused(left):
    records, by = left.records, left.manager.person
    years_on(left, 400)
    job = Hand(records, by, clock=left.clock)
    other = staff.take_on(left.manager, "apprentice", name="Nell Oddy")
    for person in (other, left.tutor.person):
        with pytest.raises(NotAllowed):
            erase_by_rule(job, person, left.rule.number, 1)
    for hand, rule in (
        (job, left.rule.number - 1),
        (replace(job, person=left.tutor.person), left.rule.number),
    ):
        with pytest.raises(NotAllowed, match="no rule in force"):
            erase_by_rule(hand, left.apprentice, rule, 1)
    assert not any(gone(records, each) for each in (other, left.tutor.person, left.apprentice))


def test_an_erasure_before_its_time_written_past_the_kit_is_named(left, bank):
    """Whoever writes rows without the kit's own check is found by the check of the chain."""
    facts = {"kept_until": None, "retention_years": 1, "rule": left.rule.number, "reason": "", "files": []}
    draft = Draft("erased", left.manager.person, left.apprentice, facts=facts)
    with left.records.writing() as connection:
        acts.append(connection, draft, left.clock(), None)
    found = check_all(left.records, bank).problems
    assert any("stay until" in one for one in found), found


@pytest.mark.slow
def test_two_joined_ids_wait_for_a_person(left, write, bank):
    book = write("p-nell", "Nell Oddy")
    book.attempt("salt-sum", day=0)
    take_in(left.records, [book.path], now=left.clock(), catalogue=bank)
    nell = staff.take_on(left.manager, "apprentice", name="Nell Oddy", same_name=True)
    join(left.tutor, nell, "p-nell", "The same: she wrote that book.")
    staff.leave(left.manager, nell, "apprentice")
    years_on(left, 400)
    done = run_retention(left.records, left.clock)
    assert done.erased == (left.apprentice,)
    assert [person for person, _ in done.waits] == [nell] and "Part them" in done.waits[0][1]


def test_writing_the_act_by_hand_is_refused_too(left):
    facts = {"rule": left.rule.number, "files": []}
    draft = Draft("erased", left.manager.person, left.apprentice, facts=facts)
    with pytest.raises(NotAllowed, match="stay until"), left.records.writing() as connection:
        write(connection, Hand(left.records, left.manager.person, clock=left.clock), draft)
