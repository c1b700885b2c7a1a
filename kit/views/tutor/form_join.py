"""The forms that say that two ids are one person, part them again, and take in a book of somebody on file."""

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from kit.basics.errors import BadData
from kit.basics.typed_names import fold
from kit.records.competence.deciding import check_reason
from kit.records.intake.remark import RemarkedBook, check_book
from kit.records.ledger.joins import joined_ids, joins_standing
from kit.records.people import staff
from kit.records.people.crew import told_apart
from kit.records.people.find import bearers
from kit.records.people.joining import join, part
from kit.records.people.staff import Hand
from kit.views.tutor.form import Done, Field, Form, Proposal
from kit.views.tutor.form_kitchen import NUMBER_TO_GIVE, take_in_at_desk, whole_file

WHY = "How you know that they are one person"
THEN = ("Then", "what both show counts as one; another act can part them again")


def join_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that joins somebody with another id on file."""
    member = staff.find(hand.records, str(ask["person"]))
    with hand.records.reading() as connection:
        joined = joined_ids(connection)
    names = told_apart({one.person: one.name for one in staff.members(hand.records)})
    others = [
        (names[one.person], one.person)
        for one in staff.members(hand.records)
        if one.person != member.person and one.person not in joined and set(one.ever) <= {"apprentice"}
    ]
    if not others:
        raise BadData(member.name, "there is nobody to join with", "somebody who does not sign here")
    like = [one.person for one in staff.members(hand.records) if fold(one.name) == fold(member.name)]
    like = [person for _, person in others if person in like]
    fields = (
        Field("other", "The other id of the same person", "pick", tuple(others), (like or [others[0][1]])[0]),
        Field("reason", WHY, "long"),
    )
    about = (("Person", names[member.person]), ("Id that is kept", member.person))
    return Form("join", "These two are one", about, fields, member.person)


def propose_join(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which two ids will count as one."""
    other, reason = values["other"], values["reason"].strip()
    check_reason(reason)
    names = {one.person: one.name for one in staff.members(hand.records)}
    lines = (*form.about, ("Is one with", f"{names[other]}, id {other}"), ("Because", reason), THEN)
    return Proposal(lines, lambda signed: join(signed, form.person, other, reason))


def part_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that parts two ids which were joined."""
    member = staff.find(hand.records, str(ask["person"]))
    with hand.records.reading() as connection:
        found = [(act, pair) for act, pair in joins_standing(connection).items() if member.person in pair]
    if not found:
        raise BadData(member.name, "is joined with no other id")
    act, (other, kept) = found[-1]
    about = (("Person", member.name), ("Joined", f"{other} with {kept}, by act {act}"))
    fields = (Field("reason", "Why they are not one person", "long"),)
    return Form("part", "Part two ids", about, fields, member.person, {"act": act})


def propose_part(_hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say which two ids will stand for themselves again."""
    reason = values["reason"].strip()
    check_reason(reason)
    lines = (*form.about, ("Because", reason), ("Then", "each stands for itself again, as before"))
    return Proposal(lines, lambda signed: part(signed, form.facts["act"], reason))


def claim_form(_hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that takes in the book of somebody who was taken on by name before."""
    fields = (
        Field("book", "The book that they brought", "file", value=".book"),
        Field("asked", "I asked them: this is their own book", "tick", value=False),
        Field("reason", WHY, "long"),
    )
    return Form("claim", "A first book of somebody taken on", (), fields, "")


def propose_claim(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say whose book it claims to be, and with whom on file it will be one."""
    shot, reason = whole_file(values["book"], "the book"), values["reason"].strip()
    book = _read(hand, shot)
    with hand.records.reading() as connection:
        here = [person for person, _ in bearers(connection, book.name, book.person)]
    crew = [one for one in staff.members(hand.records) if one.person in here and "apprentice" in one.roles]
    if len(crew) != 1:
        raise BadData(
            book.name, f"{len(crew)} apprentices here bear this name", "just one", "Take it in as it is."
        )
    if not values["asked"]:
        raise BadData("the book", "nobody asked them whether it is theirs", "a word first, then the tick")
    check_reason(reason)
    kept = crew[0]
    lines = (
        ("Book of", f"{book.name}, id {book.person}, {len(book.lines)} lines"),
        ("Is one with", f"{kept.name}, id {kept.person}"),
        ("Because", reason),
        THEN,
    )

    def record(signed: Hand) -> Done:
        found, file = take_in_at_desk(signed, [], shot, same_name=lambda *_: True, catalogue=signed.catalogue)
        (taken,) = found.books
        if taken.status == "refused":
            raise BadData(shot.name, taken.why.rstrip("."))
        says = f"{taken.answers} answers taken in.{f' {NUMBER_TO_GIVE}' if file else ''}"
        return Done((join(signed, kept.person, book.person, reason),), says, file)

    return Proposal(lines, record)


def _read(hand: Hand, shot: Any) -> RemarkedBook:
    with TemporaryDirectory() as scratch:
        file = Path(scratch) / shot.name
        file.write_bytes(shot.data)
        book = check_book(file, hand.catalogue, {}, hand.clock())
    if book.refused:
        raise BadData(shot.name, book.refused.rstrip("."))
    return book
