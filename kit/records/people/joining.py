"""Saying that two ids are one person, and taking that back: two signed acts of the chain.

Taking somebody on by name comes first; their answer book brings another id later. One signed act says that
both are the same person. From then on both count as one: what the book shows, what was seen, what was
decided. Nothing is moved: another act parts them again, and everything is as it was.
"""

from __future__ import annotations

from sqlalchemy import Connection, select

from kit.basics.errors import BadData, OutOfRange
from kit.basics.typed_text import LEAST_REASON
from kit.records.ledger import texts
from kit.records.ledger.acts import Act, Draft
from kit.records.ledger.joins import JOINED, PARTED, joins_standing
from kit.records.people.staff import Hand, check_known, name_of, write
from kit.records.storage import schema


def join(hand: Hand, person: str, other: str, reason: str) -> Act:
    """Record that two ids are one person, signed, and return the act.

    Parameters
    ----------
    hand : Hand
        A tutor or manager, with an opened key, who knows the person.
    person : str
        The id that is kept: an apprentice here now.
    other : str
        The id that counts as it from now on, such as that of their answer book.
    reason : str
        How the hand knows, in words.

    Raises
    ------
    NotAllowed
        If the hand may not, is one of the two, or the two do not fit: see ``entitlement``.
    BadData
        If it is the same id twice, one of them is joined already, or both have an answer book.
    UnknownName
        If one of them is not on file.
    """
    _check_reason(reason)
    with hand.records.writing() as connection:
        for one in (person, other):
            check_known(connection, one)
        _check_free(connection, person, other)
        facts = {"other": other, "reason": texts.keep(connection, reason, person)}
        return write(connection, hand, Draft(JOINED, hand.person, person, facts=facts))


def part(hand: Hand, act: int, reason: str) -> Act:
    """Take back that two ids are one person, signed: each stands for itself again.

    Raises
    ------
    BadData
        If the act joins nobody, or was taken back before.
    """
    _check_reason(reason)
    with hand.records.writing() as connection:
        standing = joins_standing(connection)
        if act not in standing:
            raise BadData(f"act {act}", "it joins nobody now", f"one of {sorted(standing) or 'none'}")
        other, person = standing[act]
        facts = {"act": act, "other": other, "reason": texts.keep(connection, reason, person)}
        return write(connection, hand, Draft(PARTED, hand.person, person, facts=facts))


def why_joined(connection: Connection, person: str) -> str:
    """Return in words that somebody is joined with another id; an empty text if they are not."""
    for number, pair in joins_standing(connection).items():
        if person in pair:
            return f"act {number} says that {pair[0]} and {pair[1]} are one person"
    return ""


def _check_free(connection: Connection, person: str, other: str) -> None:
    if person == other:
        raise BadData(name_of(connection, person), "this is the same id twice", "two ids")
    for one in (person, other):
        told = why_joined(connection, one)
        if told:
            raise BadData(name_of(connection, one), told, "two ids that stand alone", "Part those first.")
    people, takings = schema.people.c, schema.takings.c
    query = select(people.person_id).join_from(schema.people, schema.takings, takings.person == people.key)
    with_book = set(connection.scalars(query.where(people.person_id.in_((person, other))).distinct()))
    if len(with_book) > 1:
        raise BadData(
            name_of(connection, person),
            "both ids have an answer book",
            "one book",
            "What two books show cannot be added up. Go on in one of them.",
        )


def _check_reason(reason: str) -> None:
    if len(reason.strip()) < LEAST_REASON:
        raise OutOfRange("the reason", repr(reason), "a few words", "Say how you know.")
