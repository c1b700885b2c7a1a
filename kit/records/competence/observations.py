"""Observations at the bench and oral checks, the evidence attached to them, and corrective actions.

An observation says for each criterion looked at: met, not met, or not seen. It decides nothing by itself.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, func, select

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.quantities import TERMS
from kit.basics.typed_text import LEAST_REASON
from kit.records.competence.entry_doubts import of_entry
from kit.records.competence.paper_checks import check_sat, of_sitting
from kit.records.competence.readings import Contradicted, Contradiction, contradictions, judged_by
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act, Draft, NotAllowed
from kit.records.ledger.joins import together
from kit.records.people.crew import began_on
from kit.records.people.staff import Hand, roles_of, write
from kit.records.storage import schema

METHODS = {
    "observation": "seen at work, on a real batch",
    "simulation": "seen at work, but not on a real batch",
    "oral check": "asked and answered aloud",
    "supervised sitting": "exercises done under the tutor's eyes",
    "product": "judged from what was made: a fillet, a weight, a label, a log",
    "witness": "told by a competent person who was there",
    "prior learning": "shown by papers from before",
}
SEEN_AT_WORK = ("observation",)
ASKED = ("oral check", "supervised sitting")
MOST_GAIN = 1.2
"""Fish may take up brine; more than a fifth is another tray or a mistake. Common practice, no source."""
OUTCOMES = ("met", "not met", "not seen")
_A_TIME = re.compile(r"([01]\d|2[0-3]):[0-5]\d")
MEASURES = {
    "weight_before_g": "g",
    "weight_after_g": "g",
    "core_temp_c": "°C",
    "hold_min": "min",
    "chill_min": "min",
    "air_temp_c": "°C",
}


@dataclass(frozen=True)
class Observation:
    """One observation as it is entered.

    Parameters
    ----------
    person : str
        The apprentice.
    step : str
        The step of the work, such as ``cook``.
    day : date
        The local day it happened.
    points : Mapping
        For each criterion looked at: ``met``, ``not met`` or ``not seen``.
    method : str
        One of ``METHODS``.
    batch : str
        The label of the batch, if it was one.
    declared : bool
        Whether the apprentice signed that this was their own work.
    measures : Mapping
        Weights and temperatures by name: see ``MEASURES``.
    files : sequence of str
        The SHA-256 of files that were attached.
    asked : sequence of (question, answer in brief, met)
        Oral questions.
    supports : sequence of str
        What was agreed and used: read aloud, interpreter, extra time.
    notes : str
        Anything else, in words.
    verdicts : sequence of Mapping
        What an attached logger's file showed of each named rule: ``Attached.verdicts``.
    despite : str
        Why what was met counts although a reading or a log says otherwise, although it is entered more than 7
        days later, or although no test paper stands behind a sitting, in words. It is printed.
    read_at : str
        The time of day at which the core was read, such as ``14:05``; empty if nobody noted it.
    sat : Mapping
        Of a supervised sitting with a test paper: which, its score, its time. ``sitting.sign`` makes it.
    given : str
        The answers on that paper, as text.
    """

    person: str
    step: str
    day: date
    points: Mapping[str, str]
    method: str = "observation"
    batch: str = ""
    declared: bool = False
    measures: Mapping[str, float] = field(default_factory=dict)
    files: Sequence[str] = ()
    asked: Sequence[tuple[str, str, bool]] = ()
    supports: Sequence[str] = ()
    notes: str = ""
    verdicts: Sequence[Mapping[str, Any]] = ()
    despite: str = ""
    read_at: str = ""
    sat: Mapping[str, Any] = field(default_factory=dict)
    given: str = ""


def observe(hand: Hand, seen: Observation) -> Act:
    """Record an observation, signed by the tutor who made it.

    Raises
    ------
    NotAllowed
        If the hand is no tutor, has no key, observes themself, or the person is no apprentice now.
    UnknownName, OutOfRange, BadData
        If a criterion, method or outcome is unknown, the day lies ahead, a measure makes no sense, an
        observation of real work has no batch, or the apprentice did not declare it their own work.
    Contradicted
        If a reading or a log contradicts what is called met, and ``despite`` says nothing.
    """
    against = check(hand, seen)
    with hand.records.writing() as connection:
        return observe_within(connection, hand, seen, against)


def observe_within(
    connection: Connection, hand: Hand, seen: Observation, against: Sequence[Contradiction]
) -> Act:
    """Record an observation that was checked, as a part of a larger piece of writing.

    ``against`` is what ``check`` returned for it.
    """
    _check_apprentice(connection, hand, seen.person)
    _check_begun(connection, seen)
    _check_files(connection, seen.files)
    check_sat(connection, seen.person, seen.step, seen.sat)
    facts: dict[str, Any] = {
        "step": seen.step,
        "day": seen.day.isoformat(),
        "method": seen.method,
        "points": dict(seen.points),
        "declared": seen.declared,
        "measures": dict(seen.measures),
        "files": list(seen.files),
        "asked": [
            {
                "question": texts.keep(connection, question, seen.person),
                "answer": texts.keep(connection, answer, seen.person),
                "met": met,
            }
            for question, answer, met in seen.asked
        ],
        "supports": [texts.keep(connection, each, seen.person) for each in seen.supports],
        "notes": texts.keep(connection, seen.notes, seen.person),
    }
    if seen.read_at:
        facts["read_at"] = seen.read_at
    if seen.sat:
        facts["sat"] = {**seen.sat, "given": texts.keep(connection, seen.given, seen.person)}
    if seen.verdicts:
        facts["verdicts"] = [dict(each) for each in seen.verdicts]
    facts |= judged_by(facts)
    if against:
        facts["against"] = [asdict(each) for each in against]
        facts["despite"] = texts.keep(connection, seen.despite, seen.person)
    draft = Draft("observed", hand.person, seen.person, batch=seen.batch or None, facts=facts)
    return write(connection, hand, draft)


def correct(hand: Hand, batch: str, happened: str, action: str, *, day: date, decided_by: str = "") -> Act:
    """Record a deviation on a batch and the corrective action, with who decided it.

    Parameters
    ----------
    hand : Hand
        Who records it.
    batch : str
        The label of the batch.
    happened, action : str
        What went wrong and what was done, in words.
    day : date
        The local day.
    decided_by : str
        The id of the competent person who decided. Default: the hand.
    """
    if not batch.strip() or len(batch) > 40:
        raise OutOfRange("the batch", repr(batch[:40]), "a label of 1 to 40 characters")
    for name, text in (("what happened", happened), ("the action", action)):
        if not text.strip():
            raise OutOfRange(name, "empty", "a few words")
    if day > hand.today():
        raise OutOfRange("the day", day.isoformat(), f"{hand.today().isoformat()} or earlier")
    with hand.records.writing() as connection:
        facts = {
            "day": day.isoformat(),
            "happened": texts.keep(connection, happened, hand.person),
            "action": texts.keep(connection, action, hand.person),
            "decided_by": decided_by or hand.person,
        }
        return write(connection, hand, Draft("corrected", hand.person, batch=batch.strip(), facts=facts))


class Point(NamedTuple):
    """One outcome of one observation or oral check. Points sort by the day, then by the act."""

    day: date
    act: int
    outcome: str
    method: str
    batch: str = ""


def points_of(
    connection: Connection,
    people: Collection[str] | None = None,
    *,
    since: date,
    only_open: ColumnElement[bool] | None = None,
) -> dict[str, dict[str, list[Point]]]:
    """Return the outcomes about these people, or all, by id and criterion, oldest first.

    ``since`` is the first day asked for. With ``only_open``, a condition on decisions, only what nobody
    decided or what such a decision leaves open.
    """
    table, decided = schema.points.c, schema.decided.c
    batch = func.coalesce(schema.acts.c.batch, "")
    query = select(table.person, table.criterion, table.day, table.act, table.outcome, table.method, batch)
    query = query.join_from(schema.points, schema.acts, schema.acts.c.number == table.act)
    query = query.where(table.outcome != "not seen", table.day >= since)
    if people is not None:
        query = query.where(table.person.in_(people))
    if only_open is not None:
        same = (decided.person == table.person) & (decided.criterion == table.criterion)
        query = query.outerjoin(schema.decided, same)
        query = query.where(decided.act.is_(None) | only_open)
    found: dict[str, dict[str, list[Point]]] = defaultdict(lambda: defaultdict(list))
    for who, criterion, *facts in connection.execute(query).all():
        found[who][criterion].append(Point._make(facts))
    for mine in found.values():
        for points in mine.values():
            points.sort()
    return found


def last_seen_days(connection: Connection) -> dict[str, date]:
    """Return for each person id the last day on which they were observed or decided about."""
    table = schema.points.c
    query = select(table.person, func.max(table.day)).group_by(table.person)
    found: dict[str, date] = dict(connection.execute(query).all())
    return found


def observations_on(connection: Connection, person: str, criterion: str) -> tuple[Act, ...]:
    """Return the observations and oral checks of a person that looked at a criterion, oldest first."""
    table = schema.points.c
    ids = together(connection, person)
    numbers = select(table.act).where(table.person.in_(ids), table.criterion == criterion)
    found = connection.scalars(numbers.order_by(table.act)).all()
    return tuple(acts.get(connection, number) for number in found)


def check(hand: Hand, seen: Observation) -> tuple[Contradiction, ...]:
    """Refuse an observation that makes no sense, before anything is written.

    Return what speaks against it, a contradicting reading or a late entry, where a reason says why it counts
    all the same.
    """
    criteria = hand.catalogue.criteria
    steps = dict.fromkeys(c.step for c in criteria.values())
    if seen.step not in steps:
        raise UnknownName("step", seen.step, steps)
    if seen.method not in METHODS:
        raise UnknownName("way of observing", seen.method, METHODS)
    if not seen.points:
        raise OutOfRange("the criteria looked at", 0, "1 or more")
    for criterion, outcome in seen.points.items():
        if criterion not in criteria:
            raise UnknownName("criterion", criterion, criteria)
        if criteria[criterion].step != seen.step:
            raise BadData(
                criterion, f"it belongs to the step {criteria[criterion].step!r}, not {seen.step!r}"
            )
        if outcome not in OUTCOMES:
            raise UnknownName("outcome", outcome, OUTCOMES)
    _check_batch(hand, seen)
    _check_measures(seen.measures)
    _check_read_at(seen)
    _check_verdicts(seen.verdicts)
    facts: dict[str, Any] = {"day": seen.day.isoformat(), "points": seen.points, "measures": seen.measures}
    facts["verdicts"] = seen.verdicts
    against = (
        *contradictions(facts, criteria),
        *of_entry(facts, hand.today()),
        *of_sitting(seen.method, seen.points, seen.sat),
    )
    if against and len(seen.despite.strip()) < LEAST_REASON:
        raise Contradicted(against)
    return against


def _check_begun(connection: Connection, seen: Observation) -> None:
    """Refuse a day before the apprentice began here."""
    people = schema.people.c
    first = connection.scalar(select(people.first_taken_at).where(people.person_id == seen.person))
    days = (began_on(connection, seen.person), None if first is None else first.astimezone().date())
    begun = [day for day in days if day is not None]
    if begun and seen.day < min(begun):
        raise OutOfRange(
            "the day",
            seen.day.isoformat(),
            f"{min(begun).isoformat()} or later: the day on which this apprentice began here",
            "If they began earlier, a manager takes them on with --started.",
        )


def _check_batch(hand: Hand, seen: Observation) -> None:
    if seen.day > hand.today():
        raise OutOfRange("the day", seen.day.isoformat(), f"{hand.today().isoformat()} or earlier")
    if seen.method in SEEN_AT_WORK and not seen.batch.strip():
        raise BadData("the observation", "it names no batch", "the label of the batch it was seen on")
    if len(seen.batch) > 40:
        raise OutOfRange("the batch", repr(seen.batch[:40]), "40 characters or fewer")
    if not seen.declared:
        raise BadData(
            "the observation",
            "the apprentice has not declared it their own work",
            "their signature on the sheet, or their word at the desk",
        )


def _check_verdicts(verdicts: Sequence[Mapping[str, Any]]) -> None:
    for verdict in verdicts:
        if not verdict.get("rule") or verdict.get("outcome") not in ("met", "not met", "cannot tell"):
            raise BadData("a verdict", "it names no rule, or no outcome", "what `attach` gave back")


def _check_measures(measures: Mapping[str, Any]) -> None:
    for name, value in measures.items():
        if name not in MEASURES:
            raise UnknownName("measure", name, MEASURES)
        low, high = (TERMS[name].low, TERMS[name].high) if name in TERMS else (0.0, 1_000_000.0)
        if not isinstance(value, int | float) or isinstance(value, bool) or not low <= value <= high:
            raise OutOfRange(name, value, f"from {low:g} to {high:g}", "Is the unit right?")
    before, after = measures.get("weight_before_g"), measures.get("weight_after_g")
    if before is not None and after is not None and after > before * MOST_GAIN:
        raise OutOfRange(
            "weight_after_g", after, f"{before:g} or a little more", "Were the two weights mixed up?"
        )


def _check_read_at(seen: Observation) -> None:
    if not seen.read_at:
        return
    if not _A_TIME.fullmatch(seen.read_at):
        raise BadData("the time of the reading", f"{seen.read_at!r} is no time", "hours and minutes: 14:05")
    if "core_temp_c" not in seen.measures:
        raise BadData("the time of the reading", "no core temperature stands with it", "the reading too")


def _check_apprentice(connection: Connection, hand: Hand, person: str) -> None:
    if person == hand.person:
        raise NotAllowed("Nobody observes themself: another tutor must.")
    if "apprentice" not in roles_of(connection, person):
        raise NotAllowed(f"{person} is no apprentice here now. Take them on first.")


def _check_files(connection: Connection, files: Sequence[str]) -> None:
    kept = schema.files.c
    for sha in files:
        here = select(kept.sha256).where(kept.sha256 == sha, kept.erased_at.is_(None))
        if connection.scalar(here) is None:
            raise BadData(f"file {sha[:12]}", "it is not kept here", "a file that was attached before")
