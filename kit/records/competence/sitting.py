"""Signing the result of a test paper: evidence by the method "supervised sitting"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from kit.basics.errors import KitError, OutOfRange
from kit.basics.typed_text import LEAST_REASON
from kit.records.competence.observations import Observation, check, observe_within
from kit.records.competence.papers import (
    PaperResult,
    TestPaper,
    as_text,
    paper_of,
    questions_of,
    result_act,
    result_of,
)
from kit.records.ledger.acts import Act, NotAllowed
from kit.records.people.staff import Hand
from kit.rules import Profile


@dataclass(frozen=True)
class SatPaper:
    """A paper as it was sat: the day, minutes used [min], and the answers by the place of their task."""

    paper: str
    day: date
    used_min: int
    answers: Mapping[int, Any]
    person: str = ""
    declared: bool = False
    despite: str = ""


class TooLate(KitError):
    """Answers were given after the time of the paper, and nobody wrote down why they count."""


def look(hand: Hand, sat: SatPaper, profile: Profile | None = None) -> tuple[TestPaper, PaperResult]:
    """Return what a sat paper earns, marked again from the data, before anything is signed.

    Raises
    ------
    UnknownName, OtherVersion
        If there is no such paper, or the kit draws other questions today.
    NotAllowed
        If it was marked before, or belongs to somebody else.
    TooLate, OutOfRange
        If it took longer than its time with no reason written down, or a number makes no sense.
    """
    with hand.records.reading() as connection:
        paper = paper_of(connection, sat.paper)
        before = result_act(connection, paper.id)
    if before is not None:
        raise NotAllowed(f"The paper {paper.id} was marked before, by act {before.number}: it is sat once.")
    if sat.person and sat.person != paper.person:
        raise NotAllowed(f"The paper {paper.id} was drawn for somebody else.")
    unknown = [place for place in sat.answers if not 1 <= place <= len(paper.tasks)]
    if unknown:
        raise OutOfRange("the task", unknown[0], f"from 1 to {len(paper.tasks)}")
    allowed = paper.minutes + paper.extra_min
    if sat.used_min < 1:
        raise OutOfRange("the time used", sat.used_min, "1 min or more")
    if sat.used_min > allowed and len(sat.despite.strip()) < LEAST_REASON:
        raise TooLate(
            f"The paper {paper.id} took {sat.used_min} min; {allowed} min were agreed. Leave out what was "
            "answered later, or write down why it counts: that is printed beside the result."
        )
    return paper, result_of(paper, questions_of(paper, hand.catalogue, profile), sat.answers, hand.catalogue)


def sign(hand: Hand, sat: SatPaper, profile: Profile | None = None) -> list[Act]:
    """Record what a paper earned: one signed act for each step that it covers.

    Raises
    ------
    NotAllowed, Contradicted
        As ``look`` and ``observe`` raise.
    """
    paper, result = look(hand, sat, profile)
    steps: dict[str, dict[str, str]] = {}
    for criterion, outcome in result.points.items():
        steps.setdefault(hand.catalogue.criteria[criterion].step, {})[criterion] = outcome
    summary = {
        "paper_id": paper.id,
        "drawn": paper.act,
        "score": round(result.score, 4),
        "of": round(result.of, 4),
        "cut_pct": paper.cut_pct,
        "passed": result.passed,
        "used_min": sat.used_min,
        "allowed_min": paper.minutes + paper.extra_min,
    }
    observed = [
        Observation(
            paper.person,
            step,
            sat.day,
            points,
            method="supervised sitting",
            declared=sat.declared,
            despite=sat.despite,
            sat=summary,
            given=as_text(sat.answers),
        )
        for step, points in steps.items()
    ]
    checked = [(seen, check(hand, seen)) for seen in observed]
    with hand.records.writing() as connection:  # all of the paper, or nothing
        return [observe_within(connection, hand, seen, against) for seen, against in checked]
