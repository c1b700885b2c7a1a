"""`smokehouse kitchen`: make a signed kitchen file, show one, or check it."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import click

from kit.basics.errors import BadData, UnknownName
from kit.cli.manager.key import open_key
from kit.cli.wording import kitchen_summary
from kit.files import local_now
from kit.files.joined_kitchen import joined, remember
from kit.files.kitchen_file import (
    CheckedLanguage,
    KeyHolder,
    Kitchen,
    Limits,
    Role,
    check_next,
    limits_on_top,
    make_kitchen,
    read_kitchen,
    write_kitchen,
)
from kit.files.signing import Signer, key_id_of
from kit.languages import load
from kit.rules import PROFILES, load_house
from kit.rules.house import read_house


@click.group("kitchen", invoke_without_command=True)
@click.pass_context
def command(context: click.Context) -> None:
    """Show the kitchen this machine works under, make a signed kitchen file, or check one."""
    if context.invoked_subcommand is None:
        context.invoke(show)


@command.command("new")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--name", help="The kitchen's name.")
@click.option("--rules", "profile", help="The rule profile: see smokehouse rules. By default ie.")
@click.option("--house", type=click.Path(path_type=Path), help="A house file with tighter limits.")
@click.option("--me", help="Your name, beside the key you sign with.")
@click.option("--tutor", "tutors", multiple=True, metavar="NAME=KEY", help="Another tutor's public key.")
@click.option("--verifier", "verifiers", multiple=True, metavar="NAME=KEY", help="A verifier's public key.")
@click.option(
    "--checked",
    multiple=True,
    metavar="CODE=NAME",
    help="A translation, and who speaks it, knows the trade and has read it as it is now: pl=Name.",
)
@click.option("--without", multiple=True, metavar="KEY_ID", help="With --after: leave this key out.")
@click.option(
    "--after",
    type=click.Path(path_type=Path),
    help="Make the next version of this file: what you do not give stays as it was.",
)
@click.option("--key", "key_id", help="The id of the key to sign with. By default the only one here.")
def new(file: Path, **options: Any) -> None:
    """Make a kitchen file, signed with your key: name, rules, house limits, tutors' and verifiers' keys.

    Hand the FILE to the apprentices; each brings it in with smokehouse join.
    """
    if file.exists():
        raise BadData(str(file), "there is a file of that name already", "a new name")
    before = read_kitchen(options["after"]) if options["after"] else None
    name = options["name"] or (before.name if before else click.prompt("The kitchen's name", err=True))
    profile, tighter, own = _house(options["house"], options["profile"], before)
    keys = _keys(options, before)
    signer = open_key(options["key_id"])
    kitchen = make_kitchen(
        name,
        profile=profile,
        keys=_with_me(keys, signer, options["me"]),
        signer=signer,
        tighter=tighter,
        own=own,
        checked=_checked(options["checked"], before),
        before=before,
    )
    write_kitchen(file, kitchen)
    remember(kitchen)
    for line in kitchen_summary(kitchen):
        click.echo(line)
    click.echo(f"Written to {file}. Bring it in here and on each apprentice's machine: smokehouse join")


@command.command("show")
@click.argument("file", type=click.Path(path_type=Path), required=False)
def show(file: Path | None) -> None:
    """Show what a kitchen FILE says; without FILE, the kitchen that this machine works under."""
    kitchen = _read_or_joined(file)
    if kitchen is None:
        click.echo("This machine works under no kitchen. Bring a file in: smokehouse join FILE")
        return
    for line in (*kitchen_summary(kitchen), *_limits(kitchen)):
        click.echo(line)


@command.command("check")
@click.argument("file", type=click.Path(path_type=Path))
def check(file: Path) -> None:
    """Check a kitchen FILE: its signature, rules and limits, and whether it could be joined here."""
    kitchen = read_kitchen(file)
    click.echo(f"{file.name} is in order.")
    for line in kitchen_summary(kitchen):
        click.echo(line)
    here = joined()
    if here is not None:
        later = check_next(kitchen, here)
        click.echo("It can take the place of the one here." if later else "It is the one in force here.")


def _limits(kitchen: Kitchen) -> list[str]:
    rules = kitchen.rules()
    tighter = [f"  tighter: {r.id}: {r.limit} ({r.tightened})" for r in rules if r.tightened]
    own = [f"  own: {r.id}: {r.limit}" for r in rules if r.id.startswith("house-")]
    return tighter + own


def _read_or_joined(file: Path | None) -> Kitchen | None:
    return read_kitchen(file) if file is not None else joined()


def _house(house: Path | None, chosen: str | None, before: Kitchen | None) -> tuple[str, Limits, Limits]:
    """Return the profile and the limits on top: of the house file, else of the version before."""
    if chosen is not None and chosen not in PROFILES:
        raise UnknownName("profile", chosen, PROFILES)
    if house is not None:
        load_house(house)  # names each fault of the file
    return limits_on_top(chosen, None if house is None else read_house(house), before)


def _keys(options: dict[str, Any], before: Kitchen | None) -> list[KeyHolder]:
    keys = list(before.keys) if before else []
    for key_id in options["without"]:
        if key_id not in {one.key_id for one in keys}:
            raise UnknownName("key", key_id, [one.key_id for one in keys])
        keys = [one for one in keys if one.key_id != key_id]
    return [*keys, *_holders("tutor", options["tutors"]), *_holders("verifier", options["verifiers"])]


def _checked(given: Iterable[str], before: Kitchen | None) -> list[CheckedLanguage]:
    """Return the translations that were read: those given today, and of the rest what stood before."""
    found = {one.language: one for one in before.checked} if before else {}
    for text in given:
        code, _, name = text.partition("=")
        texts = load(code.strip()).fingerprint
        if not texts or not name.strip():
            raise BadData(
                f"--checked {text!r:.60}", "it names no translation or nobody", "such as pl=Mara Quill"
            )
        found[code.strip()] = CheckedLanguage(code.strip(), texts, name, local_now().date().isoformat())
    return list(found.values())


def _holders(role: Role, given: Iterable[str]) -> list[KeyHolder]:
    found = []
    for text in given:
        name, _, public = text.rpartition("=")
        if not name.strip():
            raise BadData(f"--{role} {text!r:.60}", "no name", 'NAME=KEY, such as "Mara Quill=3b6a…"')
        key_id_of(public.strip().lower())  # raises where it is no key
        found.append(KeyHolder(role, name, public.strip().lower()))
    return found


def _with_me(keys: list[KeyHolder], signer: Signer, me: str | None) -> list[KeyHolder]:
    """Return the keys with the signer's among them: a kitchen file lists whoever signs it."""
    if signer.public in {one.public for one in keys if one.role == "tutor"}:
        return keys
    name = me or click.prompt("Your name, beside your key", err=True)
    return [KeyHolder("tutor", name, signer.public), *keys]
