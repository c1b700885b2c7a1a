"""Moderation: a verifier, perhaps of another kitchen, looks at a sample of decisions and says what was found.

Rule ``risk-sample/1``, in ``SAMPLE_SAYS``. By lot means: by the next act that somebody else signed. So who
decides can neither foresee nor steer it, and it stays the same while a verifier works through it. The weights
are ours: common practice, no source.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Connection, select

from kit.basics.errors import BadData, UnknownName
from kit.exercises.catalogue import Catalogue
from kit.records.competence.deciding import check_reason
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act, Draft
from kit.records.people.staff import Hand, write
from kit.records.storage import schema

RULE = "risk-sample/1"
"""Raise its number when the rule changes: each finding says by which one its decision was drawn."""
MODERATED = "moderated"
DAYS, FIRST, CERTAIN, ONE_IN, AT_MOST = 92, 5, 6, 8, 30
SAFETY, DESPITE, OVERTURNED, NEW, ALONE = 3, 3, 2, 1, 1
LOOK_AGAIN = "look again"
FINDINGS: Mapping[str, str] = {
    "sound": "the evidence carries the decision",
    "to improve": "the decision stands; the tutor is told what to do better",
    LOOK_AGAIN: "the criterion is open again until somebody else settles it",
}
"""What a verifier may find, and what follows."""
SAMPLE_SAYS = (
    f"Of the standing decisions of the last {DAYS} days. Points: {SAFETY} where a mistake can hurt someone, "
    f"{DESPITE} where a reading said otherwise, {OVERTURNED} where this tutor was overturned before, "
    f"{NEW} for each tutor's first {FIRST}, {ALONE} where nobody signed second. Each from {CERTAIN} points "
    f"on is looked at; of the others 1 in {ONE_IN} by lot, and one of each tutor at least. At most "
    f"{AT_MOST}, the most points first."
)


@dataclass(frozen=True)
class Sampled:
    """One decision of the sample: its act, about whom and what, by whom, and why it was drawn.

    ``found`` is what was said of it since, or empty.
    """

    act: int
    person: str
    criterion: str
    decision: str
    by: str
    day: date
    risk: int
    why: tuple[str, ...]
    found: str = ""


def sample(connection: Connection, catalogue: Catalogue, today: date) -> tuple[Sampled, ...]:
    """Return the decisions to moderate on a day, by rule ``RULE``, the most points first.

    Parameters
    ----------
    connection : Connection
        To the records.
    catalogue : Catalogue
        What criteria there are.
    today : date
        The local day. [day]
    """
    rows = _standing(connection, today - timedelta(days=DAYS), today)
    overturned, earlier = _overturned(connection), _places(connection)
    found, lots = _findings(connection), _lots(connection, rows)
    made = []
    for row in rows:
        why = _why(row, catalogue, row.by in overturned, earlier[row.act])
        risk = sum(points for points, _ in why)
        made.append((lots[row.act], risk, row, tuple(says for _, says in why)))
    chosen = [each for each in made if each[1] >= CERTAIN or each[0] % ONE_IN == 0]
    for tutor in {row.by for *_, row, _ in made} - {row.by for *_, row, _ in chosen}:
        chosen.append(
            min((each for each in made if each[2].by == tutor), key=lambda each: (-each[1], each[0]))
        )
    chosen.sort(key=lambda each: (-each[1], each[0]))
    return tuple(
        Sampled(
            row.act,
            row.person,
            row.criterion,
            row.decision,
            row.by,
            row.day,
            risk,
            why,
            found.get(row.act, ""),
        )
        for _, risk, row, why in chosen[:AT_MOST]
    )


def to_moderate(connection: Connection, catalogue: Catalogue, today: date, me: str) -> tuple[Sampled, ...]:
    """Return what of the sample one verifier may still look at: nothing of their own, nothing looked at."""
    return tuple(
        one
        for one in sample(connection, catalogue, today)
        if me not in (one.by, one.person) and not one.found
    )


def moderate(hand: Hand, act: int, finding: str, reason: str) -> tuple[Act, ...]:
    """Record what a verifier found on a decision of the sample, signed.

    "Look again" opens the criterion by an act of its own; somebody else settles it.

    Raises
    ------
    UnknownName
        If it is none of ``FINDINGS``.
    BadData
        If the decision is not in today's sample, or was looked at before.
    NotAllowed
        If it is one's own decision, or about oneself.
    """
    if finding not in FINDINGS:
        raise UnknownName("finding", finding, FINDINGS)
    check_reason(reason)
    with hand.records.writing() as connection:
        drawn = {one.act: one for one in sample(connection, hand.catalogue, hand.today())}
        if act not in drawn:
            raise BadData(f"act {act}", "it is not in the sample of today", "one of the list")
        one = drawn[act]
        if one.found:
            raise BadData(f"act {act}", f"it was looked at before, and found {one.found!r}")
        facts = {
            "act": act,
            "finding": finding,
            "rule": RULE,
            "risk": one.risk,
            "reason": texts.keep(connection, reason, one.person),
        }
        said = write(connection, hand, Draft(MODERATED, hand.person, one.person, one.criterion, facts=facts))
        if finding != LOOK_AGAIN:
            return (said,)
        facts = {"act": act, "words": facts["reason"], "book_line": "", "moderated": said.number}
        opened = Draft("appealed", hand.person, one.person, one.criterion, facts=facts)
        return said, write(connection, hand, opened)


@dataclass(frozen=True)
class VerifierFinding:
    """What a verifier found on one of a tutor's decisions, in words."""

    act: int
    criterion: str
    finding: str
    day: date
    reason: str


def findings_on(connection: Connection, tutor: str) -> tuple[VerifierFinding, ...]:
    """Return what was found on the decisions of one tutor, the latest first. For that tutor."""
    mine = set(connection.scalars(select(schema.acts.c.number).where(schema.acts.c.by == tutor, _DECISIONS)))
    told = [act for act in acts.read(connection, kind=MODERATED) if act.facts["act"] in mine]
    said = texts.tell_all(connection, [act.facts["reason"] for act in told])
    return tuple(
        VerifierFinding(
            int(act.facts["act"]),
            str(act.criterion),
            str(act.facts["finding"]),
            act.at.astimezone().date(),
            said.get(act.facts["reason"], texts.ERASED),
        )
        for act in reversed(told)
    )


_DECISIONS = schema.acts.c.kind.in_(("decided", "brought in"))


def _lots(connection: Connection, rows: Sequence[Any]) -> dict[int, int]:
    """Return the lot of each decision, from the next act that somebody else signed; 1 where there is none.

    So who decides cannot foresee it, and later acts do not change it.
    """
    table = schema.acts.c
    first = min((row.act for row in rows), default=0)
    query = select(table.number, table.by, table.hash).where(table.key_id.is_not(None), table.number > first)
    later = connection.execute(query.order_by(table.number.desc())).all()
    place, lots, nearest, other = 0, dict[int, int](), None, None  # two signers, the nearest first
    for row in sorted(rows, key=lambda one: -one.act):
        while place < len(later) and later[place].number > row.act:
            here = later[place]
            nearest, other = (here, other) if nearest and nearest.by == here.by else (here, nearest)
            place += 1
        drawn = nearest if nearest is None or nearest.by != row.by else other
        lots[row.act] = 1 if drawn is None else _drawn(drawn.hash, row.act)
    return lots


def _drawn(lot: str, act: int) -> int:
    return int.from_bytes(hashlib.sha256(f"{lot}\nmoderation\n{act}".encode()).digest()[:8], "big")


def _standing(connection: Connection, since: date, until: date) -> Sequence[Any]:
    decided, table = schema.decided.c, schema.acts.c
    query = (
        select(decided.act, decided.person, decided.criterion, decided.decision, decided.by, decided.day)
        .add_columns(decided.second, table.facts)
        .join_from(schema.decided, schema.acts, table.number == decided.act)
        .where(decided.day >= since, decided.day <= until, decided.appeal.is_(None))
    )
    return connection.execute(query.order_by(decided.act)).all()


def _overturned(connection: Connection) -> set[str]:
    """Return the tutors whose decision was refused by a second signature, or is to be assessed again."""
    makers = dict(connection.execute(select(schema.acts.c.number, schema.acts.c.by).where(_DECISIONS)).all())
    appeals = {act.number: int(act.facts["act"]) for act in acts.read(connection, kind="appealed")}
    gone = [int(act.facts["act"]) for act in acts.read(connection, kind="second") if not act.facts["agrees"]]
    gone += [
        appeals.get(int(act.facts["appeal"]), 0)
        for act in acts.read(connection, kind="settled")
        if act.facts["outcome"] == "assess again"
    ]
    return {makers[number] for number in gone if number in makers}


def _places(connection: Connection) -> dict[int, int]:
    """Return which decision of its maker each is, from 0."""
    count: Counter[str] = Counter()
    found: dict[int, int] = {}
    table = schema.acts.c
    for number, by in connection.execute(
        select(table.number, table.by).where(_DECISIONS).order_by(table.number)
    ):
        found[number] = count[by]
        count[by] += 1
    return found


def _findings(connection: Connection) -> dict[int, str]:
    return {int(act.facts["act"]): str(act.facts["finding"]) for act in acts.read(connection, kind=MODERATED)}


def _why(row: Any, catalogue: Catalogue, overturned: bool, place: int) -> list[tuple[int, str]]:
    about, facts = catalogue.criteria.get(row.criterion), acts.facts_of(row.facts)
    offered = (
        (SAFETY, "safety-critical", about is not None and about.safety_critical),
        (DESPITE, "a reading said otherwise", bool(facts.get("despite"))),
        (OVERTURNED, "this tutor was overturned before", overturned),
        (NEW, f"one of this tutor's first {FIRST}", place < FIRST),
        (ALONE, "nobody signed second", row.second not in ("agreed", "disagreed")),
    )
    return [(points, says) for points, says, holds in offered if holds]
