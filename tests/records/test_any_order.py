"""Whatever people do, in any order: the chain stays whole, and no decision stands without its evidence."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from kit.basics.errors import KitError
from kit.records import open_records
from kit.records.competence import deciding, observations
from kit.records.competence.decision_state import decisions
from kit.records.competence.observations import Observation
from kit.records.ledger import acts
from kit.records.ledger.projection import check_chain, follow_again
from kit.records.people import staff
from kit.records.storage import schema

HANDS = ("tutor", "other", "verifier", "manager")
CRITERIA = ("COK-P01", "COK-K01", "COK-K02")
ACTIONS = st.one_of(
    st.tuples(st.just("see"), st.sampled_from(("met", "not met", "not seen")), st.sampled_from(CRITERIA)),
    st.tuples(st.just("ask"), st.sampled_from(("met", "not met")), st.sampled_from(CRITERIA)),
    st.tuples(
        st.just("decide"), st.sampled_from(("competent", "not yet competent")), st.sampled_from(CRITERIA)
    ),
    st.tuples(st.just("verify"), st.booleans(), st.integers(1, 40)),
    st.tuples(st.just("appeal"), st.none(), st.integers(1, 40)),
    st.tuples(st.just("settle"), st.sampled_from(("stands", "assess again")), st.integers(1, 40)),
    st.tuples(st.just("leave"), st.none(), st.none()),
    st.tuples(st.just("return"), st.none(), st.none()),
)
STORY = st.lists(st.tuples(st.sampled_from(HANDS), ACTIONS, st.integers(0, 90)), min_size=3, max_size=14)


def play(kitchen, who, action, days):
    name, what, about = action
    kitchen.clock.now += timedelta(days=days)
    hand = getattr(kitchen, who)
    if name in ("see", "ask"):
        method = "observation" if name == "see" else "oral check"
        day = kitchen.clock.now.date()
        seen = Observation(
            kitchen.apprentice, "cook", day, {about: what}, method, batch=f"B{day}", declared=True
        )
        observations.observe(hand, seen)
    elif name == "decide":
        deciding.decide(hand, kitchen.apprentice, about, what, "As it stands.")
    elif name == "verify":
        deciding.verify(hand, about, what, "As it stands.")
    elif name == "appeal":
        deciding.appeal(hand, about, "I see it otherwise.")
    elif name == "settle":
        deciding.settle(hand, about, what, "As it stands.")
    elif name == "leave":
        staff.leave(hand, kitchen.apprentice, "apprentice")
    else:
        staff.come_back(hand, kitchen.apprentice, "apprentice")


@pytest.fixture(scope="module")
def folders(tmp_path_factory):
    return lambda: tmp_path_factory.mktemp("any")


@pytest.mark.slow
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(story=STORY, seen_before=st.booleans())
def test_the_chain_stays_whole_and_every_competent_has_its_evidence(
    story, seen_before, folders, kitchen_in, bank
):
    records = open_records(folders() / "records.db", busy_s=5)
    try:
        kitchen = kitchen_in(records)
        for day in (1, 2) if seen_before else ():
            kitchen.see(day)
        for who, action, days in story:
            before = chain(records)
            try:
                play(kitchen, who, action, days)
            except KitError:
                assert chain(records) == before  # what is refused leaves nothing behind
            else:
                assert chain(records)[:-1] == before
        assert check_chain(records).problems == ()
        look_over(kitchen, records, bank)
        with records.writing() as connection:
            follow_again(connection)
        assert check_chain(records).problems == ()
    finally:
        records.close()


def chain(records):
    with records.reading() as connection:
        return list(connection.scalars(select(schema.acts.c.hash).order_by(schema.acts.c.number)))


def look_over(kitchen, records, bank):
    """Hold what stands against the chain, read by other means than the code that wrote it."""
    with records.reading() as connection:
        every = list(acts.read(connection))
        standing = decisions(connection, bank, kitchen.clock.now.date())
    by_number = {act.number: act for act in every}
    for criterion, found in standing.get(kitchen.apprentice, {}).items():
        act = by_number[found.act]
        assert act.signature and act.by != act.person
        if not found.holds:
            continue
        assert act.facts["decision"] == "competent"
        assert bank.criteria[criterion].kind == "performance" or act.facts["entries"] or act.facts["points"]
        days = {by_number[n].facts["day"] for n in act.facts["points"]}
        outcomes = {by_number[n].facts["points"][criterion] for n in act.facts["points"]}
        assert outcomes <= {"met"}
        if bank.criteria[criterion].kind == "performance":
            assert len(days) >= 2
        against = [a for a in every if a.kind == "second" and a.facts["act"] == act.number]
        assert all(a.facts["agrees"] and a.by != act.by for a in against)
    for act in every:
        if act.kind == "settled":
            opened = by_number[act.facts["appeal"]]
            assert act.by != by_number[opened.facts["act"]].by
        assert act.person != act.by or act.number <= 2, act  # the first manager and their key
