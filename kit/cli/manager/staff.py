"""`smokehouse staff`: who is apprentice, tutor, verifier or manager; their keys and their own competence."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.table import Table

from kit.basics.errors import UnknownName
from kit.basics.typed_names import fold
from kit.cli.acting import (
    DAY,
    acted,
    acted_with_trust,
    as_option,
    day_of,
    opened,
    password,
    records_option,
    said,
)
from kit.cli.manager.key import make_here
from kit.files import signing
from kit.records.ledger.acts import Act
from kit.records.people import joining, keys, staff
from kit.records.people.rehearse import ClosedKey, rehearse
from kit.records.people.staff import assessor_until, members
from kit.records.storage.store import records_there, remember_address

ROLE = click.Choice(["apprentice", "tutor", "verifier", "manager"])


@click.group("staff", invoke_without_command=True)
@click.pass_context
def command(context: click.Context) -> None:
    """List who is who in the records. Subcommands take people on and keep their keys."""
    if context.invoked_subcommand is None:
        context.invoke(show)


@command.command("list")
@records_option
def show(records_file: str | Path | None = None) -> None:
    """List everyone on file: roles, key, and the last day on which they are fit to assess."""
    with opened(records_file) as records:
        everyone = members(records)
        with records.reading() as connection:
            held = keys.keys_on_file(connection)
            until = {member.person: assessor_until(connection, member.person) for member in everyone}
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    for heading in ("Name", "Id", "Role", "Key", "Fit until"):
        table.add_column(heading, no_wrap=True)
    for member in everyone:
        last = until[member.person]
        roles = ", ".join(member.roles) or ("left" if member.ever else "not taken on")
        shown = "" if last is None else last.isoformat()
        table.add_row(member.name, member.person, roles, held.get(member.person, ""), shown)
    Console(highlight=False, markup=False).print(table)


@command.command("begin")
@click.argument("name")
@records_option
def begin(name: str, records_file: str | Path | None) -> None:
    """Start the records with their first manager, called NAME, and make the key that NAME signs with.

    The manager takes on everybody else. Whatever grants or takes trust is signed: roles, keys, fitness to
    assess, erasing.
    """
    with opened(records_file, make=True) as records:
        staff.check_no_manager(records)
        hand = staff.begin(records, name, key=make_here())
        if records.address and not records_there():
            noted = remember_address(str(records_file))
            click.echo(f"The address is noted in {noted}: every command here uses these records.")
    click.echo(f"{name} is the manager here, with the id {hand.person}. The key is on file.")


@command.command("take-on")
@click.argument("name")
@click.argument("role", type=ROLE)
@click.option("--id", "person", default="", help="The id that `smokehouse people` shows.")
@click.option("--started", type=DAY, help="The day they started, such as 2026-03-02.")
@click.option("--same-name-is-new", is_flag=True, help="Somebody else of a known name: do not refuse.")
@as_option
@records_option
def take_on(
    name: str,
    role: str,
    person: str,
    started: datetime | None,
    same_name_is_new: bool,
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Give NAME a ROLE. Somebody on file is found by name or id; anybody else is added."""
    with opened(records_file) as records:
        known = person
        if not known and not same_name_is_new:
            try:
                found = staff.find(records, name)
                known = found.person if name == found.person or fold(name) == fold(found.name) else ""
            except UnknownName:
                known = ""
        given = "" if known and not person else name
        began = day_of(started)
        who = acted_with_trust(
            records,
            as_name,
            lambda hand: staff.take_on(
                hand, role, name=given, person=known, started=began, same_name=same_name_is_new
            ),
        )
    click.echo(f"{name} is taken on as {role}, with the id {who}.")


@command.command("enrol", hidden=True, context_settings={"ignore_unknown_options": True})
@click.argument("words", nargs=-1, type=click.UNPROCESSED)
@click.pass_context
def enrol(context: click.Context, words: tuple[str, ...]) -> None:
    """Take somebody on, under the name that this command had before."""
    click.echo("smokehouse staff enrol is now called: smokehouse staff take-on", err=True)
    with take_on.make_context("take-on", list(words), parent=context.parent) as renamed:
        take_on.invoke(renamed)


@command.command("leave")
@click.argument("name")
@click.argument("role", type=ROLE)
@click.option("--reason", default="", help="Why, in words.")
@as_option
@records_option
def leave(name: str, role: str, reason: str, as_name: str, records_file: str | Path | None) -> None:
    """Record that NAME is no longer ROLE. What they did stays on record."""
    with opened(records_file) as records:
        person = staff.find(records, name).person
        act = acted_with_trust(records, as_name, lambda hand: staff.leave(hand, person, role, reason))
    said(act)


@command.command("return")
@click.argument("name")
@click.argument("role", type=ROLE)
@as_option
@records_option
def come_back(name: str, role: str, as_name: str, records_file: str | Path | None) -> None:
    """Record that NAME, who left, is ROLE again. Decisions that ran out stay run out."""
    with opened(records_file) as records:
        person = staff.find(records, name).person
        act = acted_with_trust(records, as_name, lambda hand: staff.come_back(hand, person, role))
    said(act)


@command.command("join")
@click.argument("name")
@click.argument("other")
@click.option("--reason", required=True, help="How you know that the two are one person.")
@as_option
@records_option
def join(name: str, other: str, reason: str, as_name: str, records_file: str | Path | None) -> None:
    """Say that NAME, an apprentice here, and the id OTHER are one person, such as that of their answer book.

    Give both as ids where they bear the same name: `smokehouse staff list` shows them.
    """
    with opened(records_file) as records:
        person, also = staff.find(records, name).person, staff.find(records, other).person
        said(acted(records, as_name, lambda hand: joining.join(hand, person, also, reason)))


@command.command("part")
@click.argument("act", type=int)
@click.option("--reason", required=True, help="Why the two are not one person.")
@as_option
@records_option
def part(act: int, reason: str, as_name: str, records_file: str | Path | None) -> None:
    """Take back the ACT that said that two ids are one person."""
    with opened(records_file) as records:
        said(acted(records, as_name, lambda hand: joining.part(hand, act, reason)))


@command.command("key")
@click.argument("name")
@click.argument("key_file", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@as_option
@records_option
def key(name: str, key_file: Path, as_name: str, records_file: str | Path | None) -> None:
    """Put the key in KEY_FILE on file for NAME. `smokehouse key new` makes one.

    If NAME signed here before, the new key waits for a second person: see `smokehouse staff confirm-key`.
    A manager of records from before managers had keys puts their own on file first.
    """
    sealed = signing.read_key(key_file)
    with opened(records_file) as records:
        person, actor = staff.find(records, name).person, staff.find(records, as_name).person

        def put(hand: staff.Hand) -> Act:
            return keys.add_key(hand, person, sealed.key_id, sealed.public)

        if actor == person and not staff.trust_is_signed(records):
            hand = staff.Hand(records, person, ClosedKey(sealed))
            rehearse(hand, put)
            opened_key = signing.unseal_key(sealed, password(f"Password of {name}'s key"))
            act = put(replace(hand, key=opened_key))
        else:
            act = acted_with_trust(records, as_name, put)
    said(act)
    if act.kind == "key proposed":
        click.echo(f"Somebody else confirms it: smokehouse staff confirm-key {act.number} --as THEIR-NAME")
    elif act.facts.get("alone"):
        click.echo("Nobody else here holds a key, so nobody confirmed it. The records say so.")


@command.command("confirm-key")
@click.argument("act", type=int)
@as_option
@records_option
def confirm_key(act: int, as_name: str, records_file: str | Path | None) -> None:
    """Confirm the new key that ACT proposes, as a second person who holds a key.

    First ask the owner, face to face, whether the key is theirs.
    """
    with opened(records_file) as records:
        said(acted(records, as_name, lambda hand: keys.confirm_key(hand, act)))


@command.command("retire-key")
@click.argument("key_id")
@click.option("--reason", required=True, help="Why: lost, stolen, or its owner left.")
@as_option
@records_option
def retire_key(key_id: str, reason: str, as_name: str, records_file: str | Path | None) -> None:
    """Stop the key KEY_ID from signing. What it signed before can still be checked."""
    with opened(records_file) as records:
        act = acted_with_trust(records, as_name, lambda hand: keys.retire_key(hand, key_id, reason))
    said(act)


@command.command("assessor")
@click.argument("name")
@click.argument("what")
@click.option("--since", type=DAY, required=True, help="The first day, such as 2026-03-02.")
@click.option("--until", type=DAY, required=True, help="The last day on which it holds.")
@as_option
@records_option
def assessor(
    name: str, what: str, since: datetime, until: datetime, as_name: str, records_file: str | Path | None
) -> None:
    """Put on file WHAT makes NAME fit to assess, and until when."""
    with opened(records_file) as records:
        person = staff.find(records, name).person
        first, last = since.date(), until.date()
        act = acted_with_trust(
            records, as_name, lambda hand: staff.note_assessor(hand, person, what, first, last)
        )
    said(act)


@command.command("note")
@click.argument("name")
@click.argument(
    "topic", type=click.Choice(["induction", "plan", "hours", "version taught", "adjustment", "note"])
)
@click.argument("text", default="")
@click.option("--day", type=DAY, help="The day it belongs to.")
@click.option("--hours", type=click.FloatRange(0, 10_000), help="Hours worked or taught.")
@as_option
@records_option
def note(
    name: str,
    topic: str,
    text: str,
    day: datetime | None,
    hours: float | None,
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Note something about NAME: induction, plan, hours, version taught, or an adjustment agreed."""
    facts: dict[str, Any] = {}
    if day is not None:
        facts["day"] = day.date().isoformat()
    if hours is not None:
        facts["hours"] = hours
    with opened(records_file) as records:
        person = staff.find(records, name).person
        act = acted(
            records,
            as_name,
            lambda hand: staff.note(hand, person, topic, text, **facts),
            need_key=False,
        )
    said(act)
