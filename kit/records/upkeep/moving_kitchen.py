"""A person moves kitchen: their record is given away, signed, and each act is kept there as seen elsewhere.

What another kitchen saw and decided counts for nothing here by itself. It is shown beside what was seen here,
told apart, and a tutor here looks, observes and decides. Each act keeps its own maker's signature, so that it
can be checked again at any time.
"""

from __future__ import annotations

import secrets
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from kit.basics.errors import BadData
from kit.basics.typed_names import fold
from kit.files.carried_record import CarriedAct, CarriedRecord, write_carried
from kit.files.signing import Signer, key_id_of
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act, Draft
from kit.records.ledger.erased import why_gone
from kit.records.people.named_acts import day_of, marks_in, tell_acts
from kit.records.people.staff import Hand, all_names, name_of, write
from kit.records.storage import schema
from kit.records.storage.store import Records

GIVEN, ELSEWHERE = "record given", "seen elsewhere"
"""The kinds of act that give a record away, and that keep one act of another kitchen."""
CARRIED = ("observed", "decided", "brought in", "second", "appealed", "settled")
"""The kinds of act that go along: all that was seen and decided about the person, and what became of it."""


@dataclass(frozen=True)
class SeenElsewhere:
    """One act of another kitchen as it is kept here: whose, when, about what, and what it said.

    ``act`` is its number here, ``number`` the one there. ``signed``: its own maker's signature still fits.
    """

    act: int
    kitchen: str
    maker: str
    number: int
    kind: str
    day: date
    criterion: str
    says: str
    signed: bool


def give_record(hand: Hand, person: str, kitchen: str, path: Path) -> CarriedRecord:
    """Write all that was seen and decided about a person to a signed file for their next kitchen.

    An act says that it was given, with the file's own number, before the file is written.

    Parameters
    ----------
    hand : Hand
        A tutor or manager with an opened key.
    person : str
        The id of the person.
    kitchen : str
        What this kitchen is called.
    path : Path
        The file to write.

    Raises
    ------
    NotAllowed
        If the hand may not, or it is the person's own record.
    BadData
        If the person was erased, nothing was recorded about them, or the file is there already.
    NotSaved
        If the disk refuses: then the act stands, and the file can be asked for again.
    """
    key = hand.key
    if not isinstance(key, Signer):
        raise BadData("the record", "it is signed", "an opened key")
    if path.exists():
        raise BadData(str(path), "there is a file of this name already", "a new name")
    number = secrets.token_hex(8)
    with hand.records.writing() as connection:
        gone = why_gone(connection, person)
        if gone:
            raise BadData(person, gone.rstrip("."))
        carried = tuple(_carried(connection, person))
        if not carried:
            raise BadData(name_of(connection, person), "nothing was seen or decided about them here yet")
        facts = {"record": number, "acts": len(carried)}
        act = write(connection, hand, Draft(GIVEN, hand.person, person, facts=facts))
        names = all_names(connection)
    made = CarriedRecord(
        number,
        kitchen,
        person,
        names[person],
        act.at.astimezone(UTC),
        names[hand.person],
        key.public,
        act.hash,
        carried,
    )
    return write_carried(path, made, key)


def _carried(connection: Connection, person: str) -> Iterator[CarriedAct]:
    """Yield the signed acts about a person that go along, each with the words it marks."""
    table, names = schema.acts.c, all_names(connection)
    publics = acts.public_keys(connection)
    query = select(schema.acts).where(table.person == person, table.kind.in_(CARRIED))
    for row in connection.execute(query.order_by(table.number)).all():
        public = publics.get((row.key_id, row.by), "")
        if not row.signature or not acts.signature_fits(public, row.hash, row.signature):
            continue  # the check of the chain names it; it proves nothing elsewhere
        yield CarriedAct(
            row.number,
            row.kind,
            row.at.astimezone(UTC),
            row.by,
            person,
            row.criterion,
            row.batch,
            row.facts,
            row.key_id,
            row.prev,
            row.hash,
            row.signature,
            names.get(row.by, texts.ERASED),
            public,
            texts.salted(connection, marks_in(acts.facts_of(row.facts))),
        )


def bring_record(hand: Hand, person: str, record: CarriedRecord) -> list[Act]:
    """Keep each act of a carried record as seen elsewhere, each once, and return what is new.

    All of it is kept or nothing. Call ``check_known`` first: this looks at the signatures inside, not at
    whose they are.

    Parameters
    ----------
    hand : Hand
        A tutor or manager here, with an opened key.
    person : str
        The id that the person has here.
    record : CarriedRecord
        As ``read_carried`` gave it.

    Raises
    ------
    NotAllowed
        If the hand may not, or brings their own record.
    BadData
        If an act in it was changed, is about somebody else, or does not fit its maker's key; or the person
        bears another name here.
    """
    for one in record.acts:
        _check_act(one, record)
    with hand.records.writing() as connection:
        known = {fold(name) for name in _names(connection, person)}
        if person != record.person and fold(record.name) not in known:
            raise BadData(
                name_of(connection, person),
                f"the record is of {record.name}",
                "the same person",
                "Were they taken on here under another name? Then take them on with that id.",
            )
        there = _kept(connection, person)
        return [_keep(connection, hand, person, record, one) for one in record.acts if one.hash not in there]


def _check_act(one: CarriedAct, record: CarriedRecord) -> None:
    where, facts = f"the record, act {one.number}", acts.facts_of(one.facts)
    if one.kind not in CARRIED or one.person != record.person:
        raise BadData(where, "it does not belong into this record")
    about = Draft(one.kind, one.by, one.person, one.criterion, one.batch)
    who = (one.by, one.person)
    made = acts.digest(one.number, one.kind, one.at, who, about, one.facts, one.key_id, one.prev)
    if made != one.hash or not acts.signature_fits(one.public, one.hash, one.signature):
        raise BadData(where, "it is not as its maker signed it")
    if key_id_of(one.public) != one.key_id or acts.as_json(facts) != one.facts:
        raise BadData(where, "it is not as its maker signed it")
    marked = set(marks_in(facts))
    for mark, (salt, text) in one.words.items():
        if mark not in marked or texts.mark_of(salt, text) != mark:
            raise BadData(where, "the words beside it are not those it marks")


def _keep(connection: Connection, hand: Hand, person: str, record: CarriedRecord, one: CarriedAct) -> Act:
    facts: dict[str, Any] = {
        "record": record.id,
        "name": texts.keep(connection, record.kitchen, person),
        "who": texts.keep(connection, one.maker, person),
        "public": one.public,
        "act": {
            "number": one.number,
            "kind": one.kind,
            "at": one.at.isoformat(),
            "by": one.by,
            "person": one.person,
            "criterion": one.criterion,
            "batch": one.batch,
            "says": acts.facts_of(one.facts),
            "key_id": one.key_id,
            "prev": one.prev,
            "hash": one.hash,
            "signature": one.signature,
        },
    }
    for mark, (salt, text) in one.words.items():
        texts.keep_salted(connection, mark, salt, text, person)
    return write(connection, hand, Draft(ELSEWHERE, hand.person, person, facts=facts))


def _names(connection: Connection, person: str) -> Collection[str]:
    people, names = schema.people.c, schema.names.c
    query = select(names.name).join_from(schema.names, schema.people, people.key == names.person)
    found = connection.scalars(query.where(people.person_id == person)).all()
    if not found:
        raise BadData(person, "nobody of this id has a name here", "somebody who was taken on here")
    return found


def _kept(connection: Connection, person: str) -> set[str]:
    """Return the hashes of acts that are here already: kept as seen elsewhere, or this kitchen's own."""
    own = set(connection.scalars(select(schema.acts.c.hash).where(schema.acts.c.kind.in_(CARRIED))))
    brought = acts.read(connection, kind=ELSEWHERE, person=person)
    return own | {str(_row_of(act.facts).get("hash")) for act in brought}


def seen_elsewhere(records: Records, person: str) -> tuple[SeenElsewhere, ...]:
    """Return what other kitchens saw and decided about a person, in the order it was kept here.

    Each signature is checked again, from what the act here holds.
    """
    with records.reading() as connection:
        told = tell_acts(connection, kinds=[ELSEWHERE], people=[person])
        marks = {act.number: act for act in acts.read(connection, kind=ELSEWHERE, person=person)}
    return tuple(_shown(one.number, one.facts, marks[one.number].facts) for one in told)


def _shown(number: int, told: Mapping[str, Any], kept: Mapping[str, Any]) -> SeenElsewhere:
    row = _row_of(told)
    says = row.get("says")
    facts: Mapping[str, Any] = says if isinstance(says, Mapping) else {}
    at = day_of(str(row.get("at"))[:10])
    return SeenElsewhere(
        number,
        str(told.get("name")),
        str(told.get("who")),
        int(row.get("number", 0)),
        str(row.get("kind")),
        day_of(facts.get("day")) or at or date.min,
        str(row.get("criterion") or ""),
        _says(str(row.get("kind")), facts),
        _still_fits(kept),
    )


def _says(kind: str, facts: Mapping[str, Any]) -> str:
    if kind == "observed":
        points = facts.get("points")
        pairs = points.items() if isinstance(points, Mapping) else ()
        return "; ".join(f"{criterion} {outcome}" for criterion, outcome in pairs)
    if kind == "second":
        return "agreed" if facts.get("agrees") else "did not agree"
    return str(facts.get("decision") or facts.get("outcome") or "")


def _still_fits(facts: Mapping[str, Any]) -> bool:
    """Return whether the act inside an act is still as its maker signed it."""
    row, public = _row_of(facts), str(facts.get("public"))
    try:
        about = Draft(row["kind"], row["by"], row["person"], row["criterion"], row["batch"])
        at, who, text = (
            datetime.fromisoformat(row["at"]),
            (row["by"], row["person"]),
            acts.as_json(row["says"]),
        )
        made = acts.digest(row["number"], row["kind"], at, who, about, text, row["key_id"], row["prev"])
    except (KeyError, TypeError, ValueError):
        return False
    return made == row["hash"] and acts.signature_fits(public, made, str(row["signature"]))


def _row_of(facts: Mapping[str, Any]) -> Mapping[str, Any]:
    row = facts.get("act")
    return row if isinstance(row, Mapping) else {}
