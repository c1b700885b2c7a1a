"""The evidence replayed over acts that are told by hand: each thing a decision can lack, and only that."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import insert

from kit.records.competence import evidence_replay
from kit.records.competence.deciding import criterion_print
from kit.records.competence.evidence_replay import evidence_replayed
from kit.records.ledger.acts import Act
from kit.records.storage import schema
from tests.records.conftest import START, SmallBank

BANK = SmallBank()
SKILL, SAFE, KNOWN = "COK-P01", "COK-K01", "COK-K02"


@pytest.fixture
def connection(engine):
    """Three lines of p-1's book by two takings, and one of p-2's."""
    with engine.connect() as opened:
        for key, person in ((1, "p-1"), (2, "p-2")):
            opened.execute(insert(schema.people).values(key=key, person_id=person, first_taken_at=START))
        taking = {"taken_at": START, "kit_version": "1", "file_name": "f", "first_position": 0, "entries": 1}
        for key, person in ((1, 1), (2, 1), (3, 2)):
            opened.execute(insert(schema.takings).values(key=key, person=person, **taking))
        for key, (person, taken) in enumerate(((1, 1), (1, 1), (1, 2), (2, 3)), start=1):
            line = {"person": person, "taking": taken, "position": key, "hash": f"h{key}", "what": "attempt"}
            opened.execute(insert(schema.entries).values(key=key, **line))
        yield opened


def act(number, kind, person="p-1", criterion=None, by="s-t", batch=None, **facts):
    at = START + timedelta(minutes=number)
    return Act(number, kind, at, by, person, criterion, batch, facts, None, "", f"{number:064x}", None)


def day(number):
    return (START + timedelta(days=number)).date().isoformat()


def seen(number, on, outcome="met", criterion=SKILL, method="observation", person="p-1", **more):
    facts = {"day": day(on), "method": method, "points": {criterion: outcome}}
    return act(number, "observed", person, batch=f"B{on}", **(facts | more))


def decided(number, on, *points, criterion=SKILL, person="p-1", **more):
    facts = {"decision": "competent", "day": day(on), "points": list(points), "evidence_rule": 2}
    return act(number, "decided", person, criterion, **(facts | more))


def faults(connection, *told, bank=BANK):
    found, open_points = evidence_replayed(connection, told, bank)
    assert open_points == []
    return found


TWO = (seen(1, 1), seen(2, 2))
RENEWED = (*TWO, decided(3, 2, 1, 2))


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ((*TWO, decided(3, 2, 1, 2)), ""),
        ((*TWO, decided(3, 2, 1, 2, criterion_print=criterion_print(BANK.criteria[SKILL]))), ""),
        ((TWO[0], decided(3, 2, 1)), "observed and met on 1 of 2 days, each on a batch of its own"),
        ((TWO[0], decided(3, 2, 1, decision="not yet competent")), ""),
        ((*TWO, decided(3, 2, 1, 2, 9)), "act 9 did not count towards COK-P01 then"),
        ((*TWO, decided(3, 2, 1, 8, 9)), "act 8, 9 did not count towards COK-P01 then"),
        ((TWO[0], seen(2, 2, person="p-2"), decided(3, 2, 1)), "met on 1 of 2 days"),
        ((TWO[0], seen(2, 2, criterion=SAFE), decided(3, 2, 1)), "met on 1 of 2 days"),
        ((TWO[0], seen(2, 2, "not seen"), decided(3, 2, 1)), "met on 1 of 2 days"),
        ((TWO[0], seen(2, 2, method="simulation"), decided(3, 2, 1)), "met on 1 of 2 days"),
        ((*TWO, seen(3, 3, "not met"), decided(4, 3, 1, 2)), "act 1, 2 did not count"),
        ((*TWO, decided(3, 250, 1, 2)), "act 1, 2 did not count"),  # grown old
        ((TWO[0], decided(3, 2, 1), seen(4, 2)), "met on 1 of 2 days"),  # what came later is no evidence
        ((*RENEWED, decided(5, 5, 1, 2)), "act 1, 2 did not count"),
        ((*RENEWED, seen(5, 5), seen(6, 6), decided(7, 6, 5, 6)), ""),
        ((*TWO, decided(3, 2, 1, 2, decision="not yet competent"), decided(5, 5, 1, 2)), ""),
        ((*RENEWED, act(4, "second", criterion=SKILL, act=3, agrees=False), decided(5, 5, 1, 2)), ""),
        (
            (*RENEWED, act(4, "second", criterion=SKILL, act=3, agrees=True), decided(5, 5, 1, 2)),
            "did not count",
        ),
        ((*RENEWED, act(4, "second", criterion=SKILL, act=2, agrees=False), decided(5, 5, 1, 2)), "did not"),
        ((*RENEWED, act(4, "second", "p-2", SKILL, act=3, agrees=False), decided(5, 5, 1, 2)), "did not"),
    ],
)
def test_a_skill_rests_on_what_was_seen_before_the_decision(connection, told, says):
    found = faults(connection, *told)
    assert len(found) == bool(says)
    assert says in "".join(found)
    if found:
        assert found[0].startswith(
            f"act {max(one.number for one in told if one.kind == 'decided')} was not entitled"
        )


@pytest.mark.parametrize(
    ("after", "says"),
    [
        ((act(4, "appealed", criterion=SKILL, act=3),), "the appeal of act 4 was open"),
        ((act(4, "appealed", criterion=SKILL, act=2),), "did not count"),  # of another decision
        (
            (
                act(4, "appealed", criterion=SKILL, act=3),
                act(5, "settled", criterion=SKILL, appeal=4, outcome="assess again"),
            ),
            "",
        ),
        (
            (
                act(4, "appealed", criterion=SKILL, act=3),
                act(5, "settled", criterion=SKILL, appeal=4, outcome="stands"),
            ),
            "did not count",
        ),
        (
            (
                act(4, "appealed", criterion=SKILL, act=3),
                act(5, "settled", criterion=SKILL, appeal=3, outcome="assess again"),
            ),
            "the appeal of act 4 was open",
        ),
    ],
)
def test_an_appeal_opens_a_decision_until_it_is_settled(connection, after, says):
    found = faults(connection, *RENEWED, *after, decided(9, 5, 1, 2))
    assert says in "".join(found) and len(found) == bool(says)


def test_not_even_not_yet_is_decided_past_an_open_appeal(connection):
    opened = act(4, "appealed", criterion=SKILL, act=3)
    late = decided(5, 5, decision="not yet competent")
    assert faults(connection, *RENEWED, opened, late) == [
        "act 5 was not entitled: the appeal of act 4 was open"
    ]


def test_what_was_seen_under_two_ids_counts_while_they_are_joined(connection):
    told = (seen(1, 1), seen(2, 2, person="p-book"), act(3, "joined", other="p-book"))
    assert faults(connection, *told, decided(4, 2, 1, 2)) == []
    assert faults(connection, *told[:2], decided(4, 2, 1, 2)) != []
    parted = act(4, "parted", act=3)
    assert faults(connection, *told, parted, decided(5, 2, 1, 2)) != []
    other = decided(5, 2, 1, 2, person="p-book")
    assert faults(connection, *told, other, decided(6, 5, 1, 2)) != []  # it was decided under the other id


@pytest.mark.parametrize(
    ("rule", "despite", "says"),
    [
        ("a-rule", "", "a reading speaks against it, and no reason is given"),
        ("a-rule", "m4rk", ""),
        ("late", "", ""),  # settled where it was entered
    ],
)
def test_a_reading_against_it_needs_a_reason(connection, rule, despite, says):
    against = [{"criterion": SKILL, "rule": rule, "says": "41 °C"}]
    told = (seen(1, 1, against=against), seen(2, 2), decided(3, 2, 1, 2, despite=despite))
    assert says in "".join(faults(connection, *told)) and len(faults(connection, *told)) == bool(says)
    other = [{"criterion": SAFE, "rule": "a-rule", "says": "41 °C"}]
    assert faults(connection, seen(1, 1, against=other), *told[1:2], decided(3, 2, 1, 2)) == []


TAKEN = act(1, "taken in", taking=1)
ASKED = seen(2, 1, criterion=SAFE, method="oral check")


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ((TAKEN, decided(5, 2, criterion=KNOWN, entries=["h1", "h2"])), ""),
        ((TAKEN, decided(5, 2, criterion=KNOWN)), "it names no line of practice"),
        (
            (TAKEN, decided(5, 2, criterion=KNOWN, entries=["h1", "h4"])),
            "1 line that it names stood in no book",
        ),
        (
            (TAKEN, decided(5, 2, criterion=KNOWN, entries=["h8", "h9"])),
            "2 lines that it names stood in no book",
        ),
        ((TAKEN, act(6, "taken in", taking=2), decided(7, 2, criterion=KNOWN, entries=["h3"])), ""),
        (
            (TAKEN, decided(5, 2, criterion=KNOWN, entries=["h3"]), act(6, "taken in", taking=2)),
            "1 line that it names stood in no book of theirs then",  # it was taken in after the decision
        ),
        ((TAKEN, ASKED, decided(5, 2, 2, criterion=SAFE, entries=["h1"])), ""),
        ((TAKEN, ASKED, decided(5, 2, 2, criterion=SAFE)), "it names no line of practice"),
        (
            (TAKEN, decided(5, 2, criterion=SAFE, entries=["h1"])),
            "an oral check or a supervised sitting was missing",
        ),
        ((seen(2, 1, criterion=KNOWN, method="oral check"), decided(5, 2, 2, criterion=KNOWN)), ""),
        ((act(3, "erased"), decided(5, 2, criterion=KNOWN, entries=["gone"])), ""),  # it cannot be asked
    ],
)
def test_knowing_rests_on_lines_of_ones_own_book_and_on_asking(connection, told, says):
    found = faults(connection, *told)
    assert says in "".join(found) and len(found) == bool(says)


def test_while_a_mark_is_disputed_all_evidence_counts(connection):
    again = decided(5, 5, 1, 2)
    assert faults(connection, *RENEWED, again) != []
    line = {"person": 1, "taking": 1, "position": 9, "hash": "h9", "what": "dispute"}
    connection.execute(insert(schema.entries).values(key=9, **line))
    assert faults(connection, *RENEWED, again) == []


# --- the second signature, from the third rule on ------------------------------------------------------


def third(number, on, *points, **more):
    return decided(number, on, *points, **({"evidence_rule": 3, "second_wanted": True} | more))


def after_five(*told):
    """Five decisions "competent" of this tutor before, by a rule of before that asks for nothing."""
    first = [
        decided(number, 0, criterion="OLD-K01", person=f"p-{number}", evidence_rule=3)
        for number in range(50, 55)
    ]
    return [*first, *(replace(one, number=one.number + 100) for one in told)]


def of_third(connection, *told):
    """Faults where the five before are on a criterion of other days, which is said apart."""
    found, open_points = evidence_replayed(connection, told, BANK)
    assert open_points == ["the evidence of 5 decisions on other words of a criterion"]
    return found


@pytest.mark.parametrize(
    ("more", "entitled"),
    [
        ({}, True),
        ({"second_wanted": False}, False),
        ({"second_wanted": None}, False),
    ],
)
def test_a_tutors_first_decisions_ask_for_a_second_signature(connection, more, entitled):
    found = faults(connection, *TWO, third(3, 2, 1, 2, **more))
    said = ["act 3 was not entitled: it does not ask for a second signature as the plan does"]
    assert found == ([] if entitled else said)


@pytest.mark.parametrize(
    ("more", "entitled"),
    [
        ({"second_wanted": False, "draw_every": 2}, True),
        ({"second_wanted": False, "draw_every": 5}, False),
        ({"second_wanted": False}, False),
        ({"second_wanted": True}, False),  # it says what the plan does not
    ],
)
def test_later_ones_say_how_they_are_drawn(connection, more, entitled):
    told = after_five(seen(1, 1), seen(2, 2), third(3, 2, 101, 102, **more))
    assert (of_third(connection, *told) == []) is entitled


DRAWN_2 = {"second_wanted": False, "draw_every": 2}


@pytest.mark.parametrize(
    ("first", "between", "asks"),
    [
        ({"second_wanted": True}, (), True),  # still wanted: nothing is drawn anew
        (DRAWN_2, (), False),
        (DRAWN_2, (act(4, "drawn", criterion=SKILL, act=103, every=1),), True),
        (DRAWN_2, (act(4, "drawn", criterion=SKILL, act=103, every=2**63),), False),
        (DRAWN_2, (act(4, "drawn", criterion=SKILL, act=99, every=1),), False),
        (DRAWN_2, (act(4, "second", criterion=SKILL, act=103, agrees=False),), True),
        (DRAWN_2, (act(4, "second", criterion=SKILL, act=103, agrees=True),), False),
    ],
)
def test_deciding_again_draws_nothing_anew(connection, first, between, asks):
    old = third(3, 2, 101, 102, evidence_rule=2, **first)
    again = [seen(5, 5), seen(6, 6)]
    points = (105, 106)
    if between and between[0].facts.get("agrees") is False:
        points = (101, 102, 105, 106)
    for more in ({"second_wanted": True}, DRAWN_2):
        told = after_five(seen(1, 1), seen(2, 2), old, *between, *again, third(7, 6, *points, **more))
        mine = [one for one in of_third(connection, *told) if one.startswith("act 107")]
        assert (mine == []) is (asks == more["second_wanted"]), (mine, more)


def test_a_claim_of_a_limit_needs_a_reading_behind_it(connection):
    claims = SmallBank()
    cooks = replace(BANK.criteria[SKILL], limit_point="cook")
    claims.__dict__["criteria"] = {**BANK.criteria, SKILL: cooks}
    bare = (*TWO, third(3, 2, 1, 2))
    said = ["act 3 was not entitled: no reading stands behind it, and no reason is given"]
    assert faults(connection, *bare, bank=claims) == said
    assert faults(connection, *TWO, third(3, 2, 1, 2, despite="m4rk"), bank=claims) == []
    assert (
        faults(connection, *TWO, decided(3, 2, 1, 2), bank=claims) == []
    )  # the rule of before asked no reading
    found, open_points = evidence_replayed(
        connection, [seen(1, 1, measures={"core_temp_c": 76.0}), TWO[1], third(3, 2, 1, 2)], claims
    )
    assert found == [] and open_points == [
        "the readings of 1 observation judged by other rules than yours now"
    ]


# --- what cannot be asked ------------------------------------------------------------------------------


def test_decisions_of_before_and_on_other_words_are_counted_apart(connection):
    old = [seen(1, 1), *(decided(number, 2, 1, evidence_rule=None) for number in (3, 4))]
    told = [*old, decided(5, 2, criterion="OLD-K01"), decided(6, 2, 1, criterion_print="another")]
    found, open_points = evidence_replayed(connection, [*old], BANK)
    assert found == [] and open_points == [evidence_replay._by_todays_rule([3, 4])]
    found, open_points = evidence_replayed(connection, told, BANK)
    assert "the evidence of 1 decision on other words of a criterion" not in open_points
    assert "the evidence of 2 decisions on other words of a criterion" in open_points


@pytest.mark.parametrize("rule", [None, 1, 4, "2", 99])
def test_a_rule_that_never_was_is_that_of_before(connection, rule):
    found, open_points = evidence_replayed(connection, [TWO[0], decided(3, 2, 1, evidence_rule=rule)], BANK)
    assert found == [] and open_points == [evidence_replay._by_todays_rule([3])]


@pytest.mark.parametrize("rule", [2, 3])
def test_after_todays_rule_that_of_before_does_not_come_back(connection, rule):
    first = decided(2, 1, criterion=KNOWN, decision="not yet competent", evidence_rule=rule)
    late = decided(3, 2, 1, evidence_rule=None, second_wanted=True)
    (found,) = faults(connection, TWO[0], first, late)
    assert found.startswith("act 3 was not entitled: observed and met on 1 of 2 days")


def test_the_first_dozen_of_before_is_named():
    assert evidence_replay._by_todays_rule([7]).startswith("whether act 7 had enough evidence")
    twelve = evidence_replay._by_todays_rule(range(1, 13))
    assert twelve.startswith("whether acts 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 had enough")
    assert "12 and 1 more had" in evidence_replay._by_todays_rule(range(1, 14))


def test_not_yet_uses_up_none_of_the_first_ones(connection):
    told = [
        decided(number, 0, criterion="OLD-K01", person=f"p-{number}", decision="not yet competent")
        for number in range(50, 55)
    ]
    later = [replace(one, number=one.number + 100) for one in (*TWO, third(3, 2, 101, 102, **DRAWN_2))]
    (found,) = of_third(connection, *told, *later)
    assert found.endswith("it does not ask for a second signature as the plan does")
