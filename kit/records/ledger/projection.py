"""What follows from the chain: who holds which role and key, what was observed, which decision stands.

These tables make pages quick. They hold nothing of their own: `follow_again` works all of them out from the
chain, and `check_chain` compares.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Row, Table, bindparam, delete, insert, select, update

from kit.basics.side_work import SideWork
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act, Draft, LedgerHead
from kit.records.ledger.draws import DRAWN, TO_DRAW, is_drawn, second_of
from kit.records.storage import schema
from kit.records.storage.store import Records, said_plainly

NOT_YET = "not yet competent"
COMPETENT = "competent"
NO_ACT = LedgerHead(0, "")
FOLLOWS: tuple[Table, ...] = (
    schema.roles,
    schema.signing_keys,
    schema.assessors,
    schema.points,
    schema.decided,
)


@dataclass(frozen=True)
class ChainReport:
    """What a check found: how many acts, the end of the chain, and every problem in words.

    ``not_checked`` says in words what the check did not reach.
    """

    acts: int
    head: LedgerHead
    problems: tuple[str, ...]
    not_checked: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether nothing is wrong."""
        return not self.problems


def follow(connection: Connection, act: Act) -> None:
    """Write down what follows from one act."""
    step = _STEPS.get(act.kind)
    if step is not None:
        step(connection, act)


def draw_open(connection: Connection, by: str, key: acts.SigningKey, at: datetime) -> None:
    """Draw which decisions of others are to be signed a second time. Whoever signs anything does it."""
    decided = schema.decided.c
    query = select(decided.act, decided.person, decided.criterion).where(decided.second == TO_DRAW)
    rows = connection.execute(query.where(decided.by != by, decided.person != by)).all()
    for number, person, criterion in rows:
        facts = {"act": number, "every": acts.get(connection, number).facts["draw_every"]}
        follow(connection, acts.append(connection, Draft(DRAWN, by, person, criterion, facts=facts), at, key))


def follow_again(
    connection: Connection,
    person: str | None = None,
    told: Iterable[Act] | None = None,
    tables: Sequence[Table] = FOLLOWS,
) -> None:
    """Work out again, from the chain alone, everything that follows from it, or from acts about a person.

    ``told`` are those acts, where they were read already. ``tables`` may leave out ``points``. Rows that
    follow from many acts in a row are written at one go.
    """
    for table in reversed(tables):
        connection.execute(delete(table) if person is None else delete(table).where(table.c.person == person))
    points: list[dict[str, Any]] = []
    decided: dict[tuple[str | None, str | None], dict[str, Any]] = {}
    for act in list(acts.read(connection, person=person)) if told is None else told:
        if act.kind == "observed":
            points += _point_rows(act) if schema.points in tables else ()
        elif act.kind in ("decided", "brought in"):
            decided[act.person, act.criterion] = _decided_row(act)
        else:
            if act.kind in ("second", "appealed", "settled", DRAWN):
                _write_decided(connection, decided)
            follow(connection, act)
    _write_decided(connection, decided)
    if points:
        connection.execute(_ADD_POINTS, points)


def _write_decided(
    connection: Connection, decided: dict[tuple[str | None, str | None], dict[str, Any]]
) -> None:
    """Put these decisions in the place of earlier ones on the same, and forget them here."""
    if decided:
        connection.execute(_CLEAR_DECIDED, [{"who": who, "about": about} for who, about in decided])
        connection.execute(_ADD_DECIDED, list(decided.values()))
        decided.clear()


def check_chain(
    records: Records,
    person: str | None = None,
    told: list[Act] | None = None,
    side: SideWork | None = None,
) -> ChainReport:
    """Walk the whole chain: every hash, every link, every signature; then compare what follows from it.

    With a person only their signatures, words and tables are looked at, and still every hash and link.
    ``told``, an empty list, is given every act that was read. ``side`` may check signatures meanwhile.
    """
    told = [] if told is None else told
    signatures = _Signatures(side or SideWork())
    with records.reading() as connection:
        end, problems = _walk(connection, person, told, signatures)
        changed = texts.changed(connection, person)
    problems += [f"words kept under the mark {mark[:12]} were changed" for mark in changed]
    more = [] if problems else _not_following(records, person, told)
    wrong = [f"act {number} {acts.MISFIT}" for number in signatures.wrong()]
    return ChainReport(end.number, end, tuple(problems + wrong or more))


def check_since(records: Records, seen: str) -> ChainReport:
    """Walk only the acts after a head that was written down: every hash, link and signature from there on.

    What stood before that head, and what follows from the acts, is not looked at: ``check_chain`` does that.

    Parameters
    ----------
    records : Records
        The open records.
    seen : str
        The code of the head, as a paper shows it, or the whole hash.

    Raises
    ------
    BadData
        If it is no such code.
    """
    told, signatures = list[Act](), _Signatures(SideWork())
    with records.reading() as connection:
        start, cut = acts.head_of(connection, seen)
        if start is None:
            return ChainReport(acts.head(connection).number, acts.head(connection), (cut,))
        end, problems = _walk(connection, None, told, signatures, start)
    wrong = [f"act {number} {acts.MISFIT}" for number in signatures.wrong()]
    left = (f"the {start.number:,} acts up to that code, and what follows from the acts",)
    return ChainReport(end.number, end, tuple(problems + wrong), left)


class _Signatures:
    """The signatures of a walk, checked by the side in lots."""

    LOT = 2000

    def __init__(self, side: SideWork) -> None:
        self._side, self._lot = side, list[tuple[int, tuple[str, str, str]]]()
        self._given = list[Callable[[], list[int]]]()

    def add(self, row: Any, publics: acts.PublicKeys) -> None:
        """Take the signature of an act, if it has one."""
        if row.signature:
            self._lot.append((row.number, acts.to_check(row, publics)))
        if len(self._lot) >= self.LOT:
            self._given.append(self._side.give(acts.misfits, self._lot))
            self._lot = []

    def wrong(self) -> list[int]:
        """Return which acts have a signature that does not fit, in order. The last lot is checked here."""
        last = acts.misfits(self._lot)
        return sorted([number for found in reversed(self._given) for number in found()] + last)


def _walk(
    connection: Connection,
    person: str | None,
    told: list[Act],
    signatures: _Signatures,
    before: LedgerHead = NO_ACT,
) -> tuple[LedgerHead, list[str]]:
    problems = list[str]()
    publics = dict(acts.public_keys(connection)) if before.number else {}
    try:
        for row in _rows_of_chain(connection, before.number):
            if row.kind == "key added":
                publics |= acts.key_in(row)
            about = person in (None, row.person)
            if problem := acts.problem_of(row, before, signatures=about):
                problems.append(problem)
            elif about:
                signatures.add(row, publics)
                told.append(acts.act_of(row))
            before = LedgerHead(row.number, row.hash)
    except (TypeError, ValueError):  # a moment or a number that is none
        problems.append(f"act {before.number + 1} cannot be read: it was changed after it was recorded")
    return before, problems


def _rows_of_chain(connection: Connection, after: int) -> Iterable[Row[Any]]:
    """Return the rows after an act in order, at one go; one by one where one of them cannot be read."""
    table = schema.acts.c
    query = select(schema.acts).where(table.number > after).order_by(table.number)
    try:
        return connection.execute(query).all()
    except (TypeError, ValueError):
        return connection.execute(query)


def _not_following(records: Records, person: str | None, told: Sequence[Act]) -> list[str]:
    """Replay the acts, or a person's, in a transaction that is then thrown away, and compare."""
    problems = []
    with said_plainly(records.where), records.engine.execution_options(write=True).connect() as connection:
        connection.begin()
        kept = {table.name: _rows(connection, table, person) for table in FOLLOWS}
        others = [table for table in FOLLOWS if table is not schema.points]
        try:  # the points are most of it, and are compared without writing them
            seen = [tuple(row.values()) for act in told if act.kind == "observed" for row in _point_rows(act)]
            follow_again(connection, person, told, others)
        except (KeyError, TypeError, ValueError):  # signed or chained anew with facts that say nothing
            return ["an act cannot be read"]
        now = {table.name: _rows(connection, table, person) for table in others}
        now[schema.points.name] = set(seen)
        for table in FOLLOWS:
            if kept[table.name] is None or now[table.name] != kept[table.name]:
                problems.append(f"the table {table.name!r} does not follow from the acts")
        connection.rollback()
    return problems


def _rows(connection: Connection, table: Table, person: str | None) -> set[Any] | None:
    """Return what a table holds; None if it holds what cannot be read, such as a day that is none."""
    query = select(table) if person is None else select(table).where(table.c.person == person)
    try:
        return {tuple(row) for row in connection.execute(query)}
    except (TypeError, ValueError):
        return None


def _start_role(connection: Connection, act: Act) -> None:
    connection.execute(
        insert(schema.roles).values(person=act.person, role=act.facts["role"], since=act.at, until=None)
    )


def _end_role(connection: Connection, act: Act) -> None:
    roles = schema.roles
    connection.execute(
        update(roles)
        .where(roles.c.person == act.person, roles.c.role == act.facts["role"], roles.c.until.is_(None))
        .values(until=act.at)
    )


def _add_key(connection: Connection, act: Act) -> None:
    facts = act.facts
    connection.execute(
        insert(schema.signing_keys).values(
            key_id=facts["key_id"], person=act.person, public=facts["public"], since=act.at, until=None
        )
    )


def _retire_key(connection: Connection, act: Act) -> None:
    keys = schema.signing_keys
    connection.execute(update(keys).where(keys.c.key_id == act.facts["key_id"]).values(until=act.at))


def _note_assessor(connection: Connection, act: Act) -> None:
    facts = act.facts
    connection.execute(
        insert(schema.assessors).values(
            act=act.number,
            person=act.person,
            what=facts["what"],
            since=date.fromisoformat(facts["since"]),
            until=date.fromisoformat(facts["until"]),
        )
    )


def _observe(connection: Connection, act: Act) -> None:
    if rows := _point_rows(act):
        connection.execute(_ADD_POINTS, rows)


def _point_rows(act: Act) -> list[dict[str, Any]]:
    facts = act.facts
    return [
        {
            "act": act.number,
            "person": act.person,
            "criterion": criterion,
            "outcome": outcome,
            "day": date.fromisoformat(facts["day"]),
            "method": facts["method"],
        }
        for criterion, outcome in facts["points"].items()
    ]


_ADD_POINTS, _ADD_DECIDED = insert(schema.points), insert(schema.decided)
_CLEAR_DECIDED = delete(schema.decided).where(
    schema.decided.c.person == bindparam("who"), schema.decided.c.criterion == bindparam("about")
)


def _decide(connection: Connection, act: Act) -> None:
    connection.execute(_CLEAR_DECIDED, {"who": act.person, "about": act.criterion})
    connection.execute(_ADD_DECIDED, _decided_row(act))


def _decided_row(act: Act) -> dict[str, Any]:
    facts = act.facts
    return {
        "person": act.person,
        "criterion": act.criterion,
        "act": act.number,
        "decision": facts["decision"],
        "day": date.fromisoformat(facts["day"]),
        "review_on": date.fromisoformat(facts["review_on"]) if facts.get("review_on") else None,
        "by": act.by,
        "second": second_of(facts),
        "second_act": None,
        "appeal": None,
    }


def _draw(connection: Connection, act: Act) -> None:
    decided, facts = schema.decided, act.facts
    waits = (decided.c.act == facts["act"]) & (decided.c.second == TO_DRAW)
    second = "wanted" if is_drawn(act.hash, facts["every"]) else ""
    connection.execute(update(decided).where(waits).values(second=second))


def _second(connection: Connection, act: Act) -> None:
    decided = schema.decided
    values: dict[str, Any] = {
        "second": "agreed" if act.facts["agrees"] else "disagreed",
        "second_act": act.number,
    }
    if not act.facts["agrees"]:
        values["decision"] = NOT_YET
    connection.execute(update(decided).where(decided.c.act == act.facts["act"]).values(**values))


def _appeal(connection: Connection, act: Act) -> None:
    decided = schema.decided
    connection.execute(update(decided).where(decided.c.act == act.facts["act"]).values(appeal=act.number))


def _settle(connection: Connection, act: Act) -> None:
    decided = schema.decided
    values: dict[str, Any] = {"appeal": None}
    if act.facts["outcome"] == "assess again":
        values["decision"] = NOT_YET
    connection.execute(update(decided).where(decided.c.appeal == act.facts["appeal"]).values(**values))


_STEPS: dict[str, Callable[[Connection, Act], None]] = {
    "enrolled": _start_role,
    "returned": _start_role,
    "left": _end_role,
    "key added": _add_key,
    "key retired": _retire_key,
    "assessor": _note_assessor,
    "observed": _observe,
    "decided": _decide,
    "brought in": _decide,
    DRAWN: _draw,
    "second": _second,
    "appealed": _appeal,
    "settled": _settle,
}
