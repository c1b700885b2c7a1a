"""Answers, sittings and decisions of those who agreed, as open records for another system."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any

from kit.basics.errors import UnknownName
from kit.exercises.catalogue import Catalogue
from kit.files.statements import OpenRecord
from kit.records.competence.certifying import STATEMENTS, consents
from kit.records.intake.attempts import MarkedAttempt, marked_attempts
from kit.records.ledger import acts
from kit.records.ledger.acts import Act, NotAllowed
from kit.records.ledger.erased import erased_on
from kit.records.ledger.projection import COMPETENT
from kit.records.people.crew import crew_by_name
from kit.records.people.pseudonyms import pseudonyms
from kit.records.people.staff import name_of
from kit.records.storage.store import Records

HOLDS = (
    "an opaque word in place of the name; of each answer the question, the moment, the points and the slip; "
    "of each sitting its paper, points and minutes; of each decision the criterion, the moment, what was "
    "decided, and an opaque word for who did. No name, no typed words, no weights or temperatures. "
    "In a small kitchen, who knows the people may still guess"
)
"""The personal data that the open records hold, to say before they are written."""


PROGRESS_HOLDS = (
    "the name; of each step how many criteria were decided competent and when, when the step was mastered, a "
    "forecast with its band, and what is to be refreshed by when. No answer, no words that anybody typed"
)
"""The personal data that a table of progress holds, to say before it is written."""


def who_agreed(records: Records, person: str = "", to: str = STATEMENTS) -> tuple[frozenset[str], int]:
    """Return whose records may go, and how many of the crew did not agree.

    Raises
    ------
    NotAllowed
        If ``person`` is given, and they did not agree.
    """
    with records.reading() as connection:
        told = consents(connection, to)
        agreed = frozenset(each for each in told if erased_on(connection, each) is None)
        if person and person not in agreed:
            raise NotAllowed(
                f"{name_of(connection, person)} has not agreed that their records go to another system. "
                f"Ask, then record it: `smokehouse export consent --to {to}`."
            )
        crew = {each.person for each in crew_by_name(connection)}
    return (frozenset({person}), 0) if person else (agreed, len(crew - agreed))


def open_records_of(
    records: Records, people: Collection[str], catalogue: Catalogue | None = None
) -> Iterator[OpenRecord]:
    """Yield the answers of these people, then their sittings and the decisions on them, in order."""
    bank = catalogue or Catalogue()
    with records.reading() as connection:
        called = pseudonyms(connection)
    for one in marked_attempts(records):
        if one.person in people:
            yield _answered(one, called[one.person], bank)
    with records.reading() as connection:
        for act in acts.read(connection):
            if act.person not in people:
                continue
            if act.kind == "observed" and act.facts.get("sat"):
                yield _sat(act, called, bank)
            elif act.kind in ("decided", "brought in"):
                yield _decided(act, called, bank)


def _answered(one: MarkedAttempt, account: str, bank: Catalogue) -> OpenRecord:
    try:
        info = bank.info(one.exercise)
        title, criteria = info.title, info.criteria or info.prepares_for
    except UnknownName:  # an exercise of before
        title, criteria = one.exercise, ()
    return OpenRecord(
        account=account,
        verb="answered",
        about=f"items/{one.exercise}/v{one.version}",
        kind="cmi.interaction",
        title=title,
        at=one.at,
        number=one.line,
        right=None if one.verdict == "kept" else one.verdict == "right",
        score=one.score,
        of=one.of,
        revision=str(one.version),
        within=tuple(f"criteria/{name}" for name in criteria),
        more={
            "day": one.day.isoformat(),
            "occasion": one.occasion,
            "rule_profile": one.profile,
            "verdict": one.verdict,
            "slip": one.slip,
            "counts": one.counts,
            "right_first_time": one.right_first_time,
            "with_help": one.with_help,
        },
    )


def _sat(act: Act, called: dict[str, str], bank: Catalogue) -> OpenRecord:
    sat: dict[str, Any] = act.facts["sat"]
    return OpenRecord(
        account=called[str(act.person)],
        verb="completed",
        about=f"papers/{sat['paper_id']}/{act.facts['step']}",
        kind="assessment",
        title=f"Test paper {sat['paper_id']}",
        at=act.at,
        number=act.number,
        right=sat["passed"],
        score=sat["score"],
        of=sat["of"],
        minutes=sat["used_min"],
        instructor=called[act.by],
        within=tuple(f"criteria/{name}" for name in act.facts["points"]),
        more={"day": act.facts["day"], "outcomes": dict(act.facts["points"])},
    )


def _decided(act: Act, called: dict[str, str], bank: Catalogue) -> OpenRecord:
    criterion, facts = bank.criteria.get(str(act.criterion)), act.facts
    return OpenRecord(
        account=called[str(act.person)],
        verb="passed" if facts["decision"] == COMPETENT else "failed",
        about=f"criteria/{act.criterion}",
        kind="objective",
        title=str(act.criterion) if criterion is None else criterion.text,
        at=act.at,
        number=act.number,
        right=facts["decision"] == COMPETENT,
        instructor=called[act.by],
        within=() if criterion is None else (f"steps/{criterion.step}",),
        more={
            "day": facts["day"],
            "decision": facts["decision"],
            "review_on": facts["review_on"],
            "replaces_act": facts["replaces"],
            "brought_in": act.kind == "brought in",
        },
    )
