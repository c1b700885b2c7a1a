"""Decisions, second signatures and appeals: append-only, signed, one criterion at a time.

Exercises prove knowledge. Skill is proved by observed acts. Neither decides: a tutor does, and a verifier
looks at a sample. Nothing averages over criteria where a mistake can hurt someone.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from dateutil.relativedelta import relativedelta
from sqlalchemy import Connection, select

from kit import __version__
from kit.basics.errors import BadData, KitError, OutOfRange, UnknownName
from kit.basics.typed_text import LEAST_REASON
from kit.records.competence import second_signature
from kit.records.competence.assess import assess, judge
from kit.records.competence.assessment import EVIDENCE_RULE, Assessment
from kit.records.competence.decision_state import Decided, decisions
from kit.records.competence.first_tries import hashes_of, profiles_of
from kit.records.competence.readings import Contradicted, Contradiction, against_decision
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act, Draft, NotAllowed
from kit.records.ledger.projection import COMPETENT, NOT_YET
from kit.records.people.staff import Hand, check, write
from kit.records.storage import schema

if TYPE_CHECKING:
    from kit.criteria import Criterion

DECISIONS = (COMPETENT, NOT_YET)
SETTLED = ("stands", "assess again")


class MissingEvidence(KitError):
    """The evidence on record does not allow this decision yet."""

    def __init__(self, criterion: str, missing: tuple[str, ...]) -> None:
        self.criterion, self.missing = criterion, missing
        super().__init__(f"{criterion} cannot be decided competent yet. Missing: {' '.join(missing)}")


class Changed(KitError):
    """Somebody else decided in the meantime."""


def decide(
    hand: Hand,
    person: str,
    criterion: str,
    decision: str,
    reason: str,
    *,
    despite: str = "",
    seen_act: int | None = None,
) -> Act:
    """Record a tutor's decision on one criterion, signed, and return it.

    Parameters
    ----------
    hand : Hand
        The tutor, with an opened key.
    person : str
        The apprentice.
    criterion : str
        The criterion's id.
    decision : str
        ``competent`` or ``not yet competent``.
    reason : str
        In words: on what the decision rests, and the feedback given.
    despite : str
        Why it holds although a reading or a log of an observation it rests on says otherwise. It is printed.
    seen_act : int, optional
        The act of the decision that was on the screen, 0 for none. If another has come since, nothing is
        recorded.

    Raises
    ------
    NotAllowed
        If the hand is no tutor fit to assess today, decides about themself, or the person is no apprentice.
    MissingEvidence
        If it says competent and evidence is missing.
    Contradicted
        If it says competent, a reading or a log it rests on says otherwise, and ``despite`` says nothing.
    Changed
        If somebody decided in the meantime.
    UnknownName, OutOfRange
        If the criterion or decision is unknown, or there is no reason.
    """
    wish = Wish(criterion, decision, reason, despite, seen_act)
    check_wish(hand, wish)
    with hand.records.writing() as connection:
        return decide_within(connection, hand, person, wish)


@dataclass(frozen=True)
class Wish:
    """One decision as it is entered: see ``decide`` for each field."""

    criterion: str
    decision: str
    reason: str
    despite: str = ""
    seen_act: int | None = None


def check_wish(hand: Hand, wish: Wish) -> None:
    """Refuse an unknown criterion or decision, or no reason, before anything is written."""
    _criterion(hand, wish.criterion)
    if wish.decision not in DECISIONS:
        raise UnknownName("decision", wish.decision, DECISIONS)
    check_reason(wish.reason)


def decide_within(connection: Connection, hand: Hand, person: str, wish: Wish) -> Act:
    """Record a decision as a part of a larger piece of writing: see ``decide``."""
    criterion = wish.criterion
    check(connection, hand, Draft("decided", hand.person, person, criterion))
    found = assess(connection, hand.catalogue, person, criterion, hand.today())
    _check_unchanged(found.decided, wish.seen_act)
    _check_no_appeal(found.decided)
    check_allowed(found, wish.decision)
    facts = _facts(connection, hand, person, wish.decision, wish.reason, found)
    if wish.decision == COMPETENT:
        facts |= _against_facts(connection, hand, person, found, wish.despite)
        facts |= _second_facts(connection, hand, found)
    return write(connection, hand, Draft("decided", hand.person, person, criterion, facts=facts))


def against(connection: Connection, hand: Hand, criterion: str, points: Sequence[int]) -> list[Contradiction]:
    """Return what speaks against a decision that rests on these observations, by the rules of today."""
    seen = {number: acts.get(connection, number).facts for number in points}
    return against_decision(hand.catalogue.criteria[criterion], seen)


def _against_facts(
    connection: Connection, hand: Hand, person: str, found: Assessment, despite: str
) -> dict[str, Any]:
    told = against(connection, hand, found.criterion.id, found.points)
    if not told:
        return {}
    if len(despite.strip()) < LEAST_REASON:
        raise Contradicted(told)
    return {
        "against": [asdict(one) for one in told],
        "despite": texts.keep(connection, despite, person),
    }


def bring_in(hand: Hand, person: str, criterion: str, *, day: date, who: str, paper: str, reason: str) -> Act:
    """Record a decision made before this kit was in use, from a signed paper; it always needs a second one.

    Parameters
    ----------
    hand : Hand
        The tutor who has the paper in hand.
    person, criterion : str
        About whom and what.
    day : date
        The day on the paper.
    who : str
        Who decided then.
    paper : str
        Where the paper is kept.
    reason : str
        Why it still holds.
    """
    about = _criterion(hand, criterion)
    check_reason(reason)
    if day > hand.today():
        raise OutOfRange("the day", day.isoformat(), f"{hand.today().isoformat()} or earlier")
    if not who.strip() or not paper.strip():
        raise BadData("the paper", "it must say who decided and where it is kept")
    with hand.records.writing() as connection:
        check(connection, hand, Draft("brought in", hand.person, person, criterion))
        before = _current(connection, hand, person, criterion)
        _check_no_appeal(before)
        alone = judge(about, hand.today(), decided=before)  # it rests on the paper, not on evidence here
        facts = _facts(connection, hand, person, COMPETENT, reason, alone) | {
            "missing": [],
            "day": day.isoformat(),
            "review_on": (day + relativedelta(months=about.review_months)).isoformat(),
            "who": texts.keep(connection, who, person),
            "paper": texts.keep(connection, paper, person),
            "second_wanted": True,
            "plan": "all that is brought in",
        }
        return write(connection, hand, Draft("brought in", hand.person, person, criterion, facts=facts))


def verify(hand: Hand, act: int, agrees: bool, reason: str) -> Act:
    """Record a second signature: the verifier agrees or disagrees with a decision.

    A disagreement makes the criterion `not yet competent` until a tutor decides anew.

    Raises
    ------
    NotAllowed
        If the verifier made the decision, or it is about the verifier.
    BadData
        If the act is no decision, is no longer the current one, or has a second signature.
    Contradicted
        If the verifier agrees, a reading it rests on says otherwise, and the decision gives no reason for it.
    """
    check_reason(reason)
    with hand.records.writing() as connection:
        decision = _decision(connection, act)
        check(connection, hand, Draft("second", hand.person, decision.person, facts={"act": act}))
        row = _current(connection, hand, str(decision.person), str(decision.criterion))
        if row is None or row.act != act:
            raise BadData(f"act {act}", "a later decision has taken its place")
        if row.second in ("agreed", "disagreed"):
            raise BadData(f"act {act}", "it has a second signature already")
        told = against(connection, hand, str(decision.criterion), decision.facts.get("points", ()))
        if agrees and told and not decision.facts.get("despite"):
            raise Contradicted(told)
        facts = {"act": act, "agrees": agrees, "reason": texts.keep(connection, reason, str(decision.person))}
        draft = Draft("second", hand.person, decision.person, decision.criterion, facts=facts)
        return write(connection, hand, draft)


def appeal(hand: Hand, act: int, text: str, *, book_line: str = "") -> Act:
    """Record that an apprentice disputes a decision. It is open again until somebody else settles it.

    Raises
    ------
    BadData
        If the act is no decision, is no longer the current one, or an appeal is open already.
    """
    check_reason(text)
    with hand.records.writing() as connection:
        decision = _decision(connection, act)
        row = _current(connection, hand, str(decision.person), str(decision.criterion))
        if row is None or row.act != act:
            raise BadData(f"act {act}", "a later decision has taken its place")
        if row.appeal is not None:
            raise BadData(f"act {act}", f"the appeal of act {row.appeal} is still open")
        facts = {
            "act": act,
            "words": texts.keep(connection, text, str(decision.person)),
            "book_line": book_line,
        }
        draft = Draft("appealed", hand.person, decision.person, decision.criterion, facts=facts)
        return write(connection, hand, draft)


def settle(hand: Hand, appeal_act: int, outcome: str, reason: str) -> Act:
    """Settle an appeal: the decision stands, or the criterion is assessed again.

    Raises
    ------
    NotAllowed
        If the hand made the decision that is disputed.
    BadData, UnknownName
        If there is no such open appeal, or the outcome is not one of ``SETTLED``.
    """
    if outcome not in SETTLED:
        raise UnknownName("outcome", outcome, SETTLED)
    check_reason(reason)
    with hand.records.writing() as connection:
        opened = acts.get(connection, appeal_act)
        if opened.kind != "appealed":
            raise BadData(f"act {appeal_act}", "it is no appeal")
        decision = _decision(connection, int(opened.facts["act"]))
        check(connection, hand, Draft("settled", hand.person, facts={"appeal": appeal_act}))
        row = _current(connection, hand, str(decision.person), str(decision.criterion))
        if row is None or row.appeal != appeal_act:
            raise BadData(f"act {appeal_act}", "this appeal is not open any more")
        facts = {
            "appeal": appeal_act,
            "outcome": outcome,
            "reason": texts.keep(connection, reason, str(decision.person)),
        }
        draft = Draft("settled", hand.person, decision.person, decision.criterion, facts=facts)
        return write(connection, hand, draft)


def criterion_print(criterion: Criterion) -> str:
    """Return a short hash of a criterion's words and needs: the version that was decided on."""
    said = f"{criterion.id}\n{criterion.text}\n{criterion.safety_critical}\n{criterion.observations_needed}"
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def check_allowed(found: Assessment, decision: str) -> None:
    """Refuse ``competent`` where evidence is missing.

    Raises
    ------
    MissingEvidence
        With all that is missing.
    """
    if decision == COMPETENT and found.missing:
        raise MissingEvidence(found.criterion.id, found.missing)


def _facts(
    connection: Connection, hand: Hand, person: str, decision: str, reason: str, found: Assessment
) -> dict[str, Any]:
    day, about = hand.today(), found.criterion
    review = day + relativedelta(months=about.review_months) if decision == COMPETENT else None
    return {
        "decision": decision,
        "day": day.isoformat(),
        "review_on": None if review is None else review.isoformat(),
        "reason": texts.keep(connection, reason, person),
        "criterion_print": criterion_print(about),
        "points": list(found.points),
        "entries": hashes_of(connection, found.lines),
        "files": _files(connection, found.points),
        "missing": list(found.missing),
        "profiles": list(profiles_of(connection, person)),
        "replaces": None if found.decided is None else found.decided.act,
        "kit": __version__,
        "evidence_rule": EVIDENCE_RULE,
    }


def _second_facts(connection: Connection, hand: Hand, found: Assessment) -> dict[str, Any]:
    table = schema.acts.c
    mine = select(table.number).where(table.kind == "decided", table.by == hand.person)
    mine = mine.where(table.facts.contains(f'"decision":"{COMPETENT}"'))  # as `acts.as_json` writes it
    asked = second_signature.second_asked(
        safety_critical=found.criterion.safety_critical,
        earlier=len(connection.scalars(mine.limit(second_signature.PLAN.first)).all()),
        before="" if found.decided is None else found.decided.second,
    )
    return asked | {"plan": second_signature.PLAN.says}


def _criterion(hand: Hand, criterion: str) -> Criterion:
    known = hand.catalogue.criteria
    if criterion not in known:
        raise UnknownName("criterion", criterion, known)
    return known[criterion]


def check_reason(reason: str) -> None:
    """Refuse a reason of less than 3 characters."""
    if len(reason.strip()) < LEAST_REASON:
        raise OutOfRange("the reason", repr(reason), "a few words", "Every decision says what it rests on.")


def _check_no_appeal(before: Decided | None) -> None:
    """Refuse to decide past an open appeal: only somebody else's settling closes it."""
    if before is not None and before.appeal is not None:
        raise NotAllowed(
            f"An appeal is open (act {before.appeal}). Somebody else than the person who decided settles it "
            "first: `smokehouse record settle`."
        )


def _check_unchanged(before: Decided | None, seen_act: int | None) -> None:
    now = 0 if before is None else before.act
    if seen_act is not None and seen_act != now:
        raise Changed(
            f"Somebody decided on this criterion since you looked (act {now}). Nothing was recorded. "
            "Look at it again."
        )


def _current(connection: Connection, hand: Hand, person: str, criterion: str) -> Decided | None:
    return decisions(connection, hand.catalogue, hand.today(), [person]).get(person, {}).get(criterion)


def _decision(connection: Connection, act: int) -> Act:
    found = acts.get(connection, act)
    if found.kind not in ("decided", "brought in"):
        raise BadData(f"act {act}", "it is no decision")
    return found


def _files(connection: Connection, numbers: tuple[int, ...]) -> list[str]:
    found: list[str] = []
    for number in numbers:
        found += acts.get(connection, number).facts.get("files", [])
    return list(dict.fromkeys(found))
