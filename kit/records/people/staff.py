"""People and their roles, the keys they sign with, and what makes a tutor fit to assess.

A person is an opaque id; the name stands apart. Who may do what stands in `entitlement`.
"""

import re
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from typing import Any, Literal

from sqlalchemy import Connection, func, insert, select

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.basics.typed_names import fold
from kit.basics.typed_text import LEAST_REASON
from kit.exercises.catalogue import Catalogue
from kit.files.signing import Signer
from kit.records.ledger import acts, texts
from kit.records.ledger.acts import Act, Draft, NotAllowed, SigningKey
from kit.records.ledger.erased import why_gone
from kit.records.ledger.joins import joined_ids
from kit.records.ledger.projection import draw_open, follow
from kit.records.ledger.seals import seal_of_person
from kit.records.people.entitlement import TRUST, UNSIGNED, InTables, why_no_role, why_not
from kit.records.people.find import bearers, one_of
from kit.records.people.trust_left import check_trust_stays
from kit.records.storage import schema
from kit.records.storage.store import Records

Role = Literal["apprentice", "tutor", "verifier", "manager"]
ROLES: tuple[Role, ...] = ("apprentice", "tutor", "verifier", "manager")
TOPICS = ("induction", "plan", "hours", "version taught", "adjustment", "note")

_AN_ID = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


def utc_now() -> datetime:
    """Return this moment, with its zone."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Hand:
    """Who is at work in the records: the person, their opened key, the clock, and what criteria there are.

    ``drafted`` says of which signed draft an act is made; every act of this hand then names it.
    """

    records: Records
    person: str
    key: SigningKey | None = None
    clock: Callable[[], datetime] = utc_now
    catalogue: Catalogue = field(default_factory=Catalogue)
    drafted: Mapping[str, Any] = field(default_factory=dict)

    def today(self) -> date:
        """The local day of the clock."""
        return self.clock().astimezone().date()


@dataclass(frozen=True)
class Member:
    """One person of the kitchen with the roles held now."""

    person: str
    name: str
    roles: tuple[str, ...]
    ever: tuple[str, ...]
    since: datetime | None


def write(connection: Connection, hand: Hand, draft: Draft) -> Act:
    """Check who may, add the act to the chain, and write down what follows from it.

    Raises
    ------
    NotAllowed
        If the role, the key or a rule that nobody acts for themself is against it.
    """
    check(connection, hand, draft)
    if hand.drafted:
        draft = replace(draft, facts={**draft.facts, "draft": dict(hand.drafted)})
    act = acts.append(connection, draft, hand.clock(), hand.key)
    follow(connection, act)
    if hand.key is not None:
        draw_open(connection, hand.person, hand.key, hand.clock())
    return act


def check(connection: Connection, hand: Hand, draft: Draft) -> None:
    """Raise NotAllowed if the hand may not do what a draft says: see ``entitlement.why_not``."""
    key_id, name = None if hand.key is None else hand.key.key_id, name_of(connection, hand.person)
    reason = why_not(draft, key_id, hand.today(), InTables(connection), name)
    if reason:
        raise NotAllowed(reason)


def check_may(connection: Connection, hand: Hand, kind: str) -> None:
    """Raise NotAllowed unless the role allows that kind of act, and it is signed where it has to be."""
    now = InTables(connection)
    reason = why_no_role(kind, now.roles(hand.person), name_of(connection, hand.person))
    if not reason and kind in TRUST and hand.key is None and now.rooted():
        reason = UNSIGNED
    if reason:
        raise NotAllowed(reason)


def trust_is_signed(records: Records) -> bool:
    """Return whether acts that grant or take trust are signed here: a manager's own key is on file."""
    with records.reading() as connection:
        return InTables(connection).rooted()


def roles_of(connection: Connection, person: str) -> frozenset[str]:
    """Return the roles a person holds now."""
    return InTables(connection).roles(person)


def members(records: Records) -> tuple[Member, ...]:
    """Return everyone on file, by name: those taken in from books and those taken on."""
    roles = schema.roles.c
    with records.reading() as connection:
        names = all_names(connection)
        held: dict[str, list[Any]] = {person: [] for person in names}
        for row in connection.execute(select(schema.roles).order_by(roles.since)):
            held.setdefault(row.person, []).append(row)
    found = [
        Member(
            person,
            names.get(person, texts.ERASED),
            tuple(row.role for row in rows if row.until is None),
            tuple(dict.fromkeys(row.role for row in rows)),
            rows[0].since if rows else None,
        )
        for person, rows in held.items()
    ]
    return tuple(sorted(found, key=lambda m: (m.name.casefold(), m.person)))


def all_names(connection: Connection) -> dict[str, str]:
    """Return the latest name of every person id on file; an erased name is said to be so."""
    people, names = schema.people.c, schema.names.c
    found = dict.fromkeys(connection.scalars(select(people.person_id)), texts.ERASED)
    rows = connection.execute(
        select(people.person_id, names.name)
        .join_from(schema.names, schema.people, people.key == names.person)
        .order_by(names.key)
    )
    for person, name in rows:
        found[person] = name
    return found


def find(records: Records, asked: str) -> Member:
    """Return the one person of that id, start of an id, or name; two ids that were joined are one person.

    Raises
    ------
    UnknownName
        If there is none, or more than one.
    """
    with records.reading() as connection:
        joined = joined_ids(connection)
    alone = [one for one in members(records) if one.person not in joined]
    return one_of(alone, joined.get(asked, asked), lambda member: member.person)


def begin(
    records: Records, name: str, clock: Callable[[], datetime] = utc_now, key: Signer | None = None
) -> Hand:
    """Take on the first manager of new records, who takes on everybody else, and return their hand.

    With their opened ``key``, which goes on file too, every act that grants or takes trust is signed from
    then on. Without it nothing of that is, until the manager puts one on file.

    Raises
    ------
    NotAllowed
        If there is a manager already.
    """
    with records.writing() as connection:
        _check_no_manager(connection)
        person = add_person(connection, name, clock())
        facts = {"role": "manager", "first": True, **seal_of_person(connection, person)}
        hand = Hand(records, person, key, clock)
        write(connection, replace(hand, key=None), Draft("enrolled", person, person, facts=facts))
        if key is not None:
            facts = {"key_id": key.key_id, "public": key.public}
            write(connection, hand, Draft("key added", person, person, facts=facts))
    return hand


def check_no_manager(records: Records) -> None:
    """Raise NotAllowed if the records have a manager: ask before anything is made for a first one."""
    with records.reading() as connection:
        _check_no_manager(connection)


def _check_no_manager(connection: Connection) -> None:
    if InTables(connection).managed():
        raise NotAllowed("There is a manager already. A manager takes people on: `smokehouse staff take-on`.")


def take_on(
    hand: Hand,
    role: str,
    *,
    name: str = "",
    person: str = "",
    started: date | None = None,
    same_name: bool = False,
) -> str:
    """Give a person a role and return their id. A new person needs a name; a known one their id.

    An apprentice who works on another machine has an id there already (`smokehouse people` shows it): give
    that id and the name, so that their book is known as theirs. A new person who bears a known name is
    refused, unless ``same_name`` says that this is somebody else.

    Raises
    ------
    NotAllowed
        If the hand may not: a tutor takes on apprentices only.
    UnknownName, OutOfRange, BadData
        If there is no such role or person, the name is empty, or the role is held already.
    """
    _check_role(role)
    with hand.records.writing() as connection:
        check_may(connection, hand, "enrolled")
        who = _settle_person(connection, person, name, same_name, hand.clock())
        if role in roles_of(connection, who):
            raise BadData(name_of(connection, who), f"was taken on as {role} already")
        facts: dict[str, Any] = {"role": role, **seal_of_person(connection, who)}
        if started is not None:
            facts["started"] = started.isoformat()
        write(connection, hand, Draft("enrolled", hand.person, who, facts=facts))
    return who


def leave(hand: Hand, person: str, role: str, reason: str = "") -> Act:
    """Record that a person no longer holds a role. What they did stays on record.

    The last manager cannot leave before another one is taken on.
    """
    _check_role(role)
    with hand.records.writing() as connection:
        if role not in roles_of(connection, person):
            raise BadData(name_of(connection, person), f"is not {role} now")
        roles = schema.roles.c
        managers = connection.scalar(
            select(func.count()).where(roles.role == "manager", roles.until.is_(None))
        )
        if role == "manager" and managers == 1:
            raise NotAllowed("The last manager cannot leave. Take on another manager first.")
        if role == "manager":
            check_trust_stays(connection, without_manager=person)
        facts = {"role": role, "reason": texts.keep(connection, reason, person)}
        return write(connection, hand, Draft("left", hand.person, person, facts=facts))


def come_back(hand: Hand, person: str, role: str) -> Act:
    """Record that a person who left holds a role again. Decisions that ran out stay run out."""
    _check_role(role)
    with hand.records.writing() as connection:
        roles = schema.roles.c
        check_known(connection, person)
        held = connection.execute(select(roles.until).where(roles.person == person, roles.role == role)).all()
        if not held or any(row.until is None for row in held):
            raise BadData(name_of(connection, person), f"has not left as {role}", "somebody who left")
        return write(connection, hand, Draft("returned", hand.person, person, facts={"role": role}))


def note_assessor(hand: Hand, person: str, what: str, since: date, until: date) -> Act:
    """Put on file what makes a tutor or verifier fit to assess, and until when.

    Raises
    ------
    OutOfRange
        If nothing is said, it is too long, or it ends before it begins.
    """
    if not 0 < len(what.strip()) <= 80:
        raise OutOfRange("the competence", repr(what[:80]), "1 to 80 characters")
    if until < since:
        raise OutOfRange("until", until.isoformat(), f"{since.isoformat()} or later")
    with hand.records.writing() as connection:
        check_known(connection, person)
        facts = {"what": what.strip(), "since": since.isoformat(), "until": until.isoformat()}
        return write(connection, hand, Draft("assessor", hand.person, person, facts=facts))


def correct_clock(hand: Hand, reason: str) -> Act:
    """Record that the clock is right now, whatever times the acts before bear. Later acts go on from here.

    Raises
    ------
    NotAllowed
        If the hand is no manager, or does not sign.
    OutOfRange
        If there is no reason.
    """
    if len(reason.strip()) < LEAST_REASON:
        raise OutOfRange("the reason", repr(reason), "a few words", "Say how the clock came to be wrong.")
    with hand.records.writing() as connection:
        facts = {"reason": texts.keep(connection, reason, hand.person)}
        return write(connection, hand, Draft(acts.CLOCK_CORRECTED, hand.person, hand.person, facts=facts))


def note(hand: Hand, person: str, topic: str, text: str = "", **facts: Any) -> Act:
    """Note something about an apprentice: induction, plan, hours, version taught, an adjustment agreed.

    Parameters
    ----------
    hand : Hand
        Who notes it.
    person : str
        About whom.
    topic : str
        One of ``TOPICS``.
    text : str
        In words. They stand apart and can be erased.
    **facts
        Plain values that name nobody, such as ``day="2026-03-02"`` or ``hours=6``.
    """
    if topic not in TOPICS:
        raise UnknownName("topic", topic, TOPICS)
    with hand.records.writing() as connection:
        check_known(connection, person)
        said = {"topic": topic, "words": texts.keep(connection, text, person), **facts}
        return write(connection, hand, Draft("noted", hand.person, person, facts=said))


def add_person(connection: Connection, name: str, now: datetime, person: str = "") -> str:
    """Add a person, with a new random id if none is given, and return the id."""
    tidy = " ".join(name.split())
    if not 0 < len(tidy) <= 80:
        raise OutOfRange("the name", repr(tidy[:80]), "1 to 80 characters")
    who = person or f"s-{secrets.token_hex(8)}"
    if not _AN_ID.fullmatch(who):
        raise OutOfRange("the id", repr(who[:60]), "the id that `smokehouse people` shows")
    made = connection.execute(insert(schema.people).values(person_id=who, first_taken_at=now))
    assert made.inserted_primary_key is not None
    connection.execute(
        insert(schema.names).values(
            person=made.inserted_primary_key[0], name=tidy, folded=fold(tidy), since=now
        )
    )
    return who


def assessor_until(connection: Connection, person: str) -> date | None:
    """Return the last day on which this person's own competence is on file as valid, or None."""
    return InTables(connection).fit_until(person)


def _settle_person(connection: Connection, person: str, name: str, same_name: bool, now: datetime) -> str:
    people = schema.people.c
    known = connection.scalar(select(people.key).where(people.person_id == person)) is not None
    if person and (known or not name.strip()):
        check_known(connection, person)
        return person
    if not same_name:
        _check_newname_of(connection, name)
    return add_person(connection, name, now, person)


def _check_newname_of(connection: Connection, name: str) -> None:
    known = bearers(connection, name, "")
    if known:
        raise BadData(
            repr(name),
            f"somebody of that name is on file as {known[0][0]}",
            "their id, if it is the same person",
            "If it is another person, say so with --same-name-is-new.",
        )


def _check_role(role: str) -> None:
    if role not in ROLES:
        raise UnknownName("role", role, ROLES)


def check_known(connection: Connection, person: str) -> None:
    """Refuse an id that is not on file, or whose person was erased."""
    people = schema.people.c
    if connection.scalar(select(people.key).where(people.person_id == person)) is None:
        raise UnknownName("person", person, sorted(all_names(connection))[:20])
    gone = why_gone(connection, person)
    if gone:
        raise BadData(person, gone.rstrip("."))


def name_of(connection: Connection, person: str) -> str:
    """Return the latest name of a person; the id where there is none."""
    people, names = schema.people.c, schema.names.c
    both = schema.people.outerjoin(schema.names, people.key == names.person)
    mine = select(names.name).select_from(both).where(people.person_id == person)
    row = connection.execute(mine.order_by(names.key.desc()).limit(1)).first()
    return person if row is None else row.name or texts.ERASED
