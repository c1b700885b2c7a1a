"""`smokehouse people`: who works on this machine. Also how any command finds out who it is for."""

import os
from collections.abc import Sequence

import click
from rich.console import Console
from rich.table import Table

from kit.basics.errors import BadData, KitError, UnknownName
from kit.basics.typed_names import holds, nearest
from kit.files import read
from kit.files.joined_kitchen import joined
from kit.practice import (
    PERSON_VARIABLE,
    Learner,
    create,
    everyone,
    find,
    get,
    set_pin,
    set_profile,
)
from kit.practice.people import damaged
from kit.practice.pins import WrongPin, unlock, wait_left
from kit.rules import DEFAULT, load

PIN_TRIES = 3


def choose(name: str | None) -> Learner:
    """Return the person a command is for: the one named, the one at work in this shell, or the only one.

    Where several fit, the command asks; two people may bear one name.

    Raises
    ------
    BadData
        If nobody works on this machine yet.
    UnknownName
        If nobody has that name.
    """
    if name is None and os.environ.get(PERSON_VARIABLE):
        return get(os.environ[PERSON_VARIABLE])
    known = everyone()
    if not known:
        start = "smokehouse people add NAME, or smokehouse open --as NAME"
        raise BadData("this machine", "nobody works here yet", start)
    fitting = known if name is None else find(name) or _holding(name, known)
    if not fitting and name is not None:
        names = [person.name for person in known]
        raise UnknownName("person", name, names, *nearest(names, name))
    return fitting[0] if len(fitting) == 1 else _ask_which(fitting)


def _holding(name: str, known: Sequence[Learner]) -> tuple[Learner, ...]:
    """Return the people whose name holds what was typed, such as the first name alone."""
    return tuple(person for person in known if holds(person.name, name))


def ask_pin(person: Learner) -> str:
    """Ask for the person's PIN, if they set one, and return the open key of their answer book.

    Raises
    ------
    WrongPin
        If it was wrong three times, or wrong ones before make it too early to try.
    """
    if not person.has_pin:
        return ""
    for _ in range(PIN_TRIES):
        try:
            return unlock(person, click.prompt(f"PIN of {person.name}", hide_input=True, err=True))
        except WrongPin as wrong:
            if wait_left(person):
                raise WrongPin(f"{wrong} Your tutor can help.") from None
            click.echo(str(wrong), err=True)
    raise WrongPin(f"The PIN of {person.name} was wrong {PIN_TRIES} times. Your tutor can help.")


def _ask_which(fitting: tuple[Learner, ...]) -> Learner:
    for number, person in enumerate(fitting, 1):
        since = f"{person.made.astimezone():%Y-%m-%d %H:%M}"
        click.echo(f"{number:3}  {person.name}, here since {since}, {_book_words(person)}", err=True)
    picked: int = click.prompt("Which one? Number", type=click.IntRange(1, len(fitting)), err=True)
    return fitting[picked - 1]


@click.group("people", invoke_without_command=True)
@click.pass_context
def command(context: click.Context) -> None:
    """List who works on this machine. Subcommands add a person, set a PIN or choose the rules."""
    if context.invoked_subcommand is None:
        context.invoke(show)


@command.command("list")
def show() -> None:
    """List the people, since when, how much is in their book, and whether they set a PIN."""
    people = everyone()
    if people:
        table = Table(box=None, pad_edge=False)
        for heading in ("Name", "Here since", "Rules", "Book", "PIN", "Id"):
            table.add_column(heading)
        for person in people:
            pin = "set" if person.has_pin else "none"
            since = f"{person.made:%Y-%m-%d}"
            table.add_row(person.name, since, person.profile, _book_words(person), pin, person.id)
        Console(highlight=False, markup=False).print(table)
    else:
        click.echo("Nobody works here yet. Add a person: smokehouse people add NAME")
    for problem in damaged():
        click.echo(f"smokehouse: {problem}", err=True)
    _say_kitchen()


@command.command("add")
@click.argument("name")
@click.option("--rules", "profile", help="The rules: see smokehouse rules. By default ie.")
@click.option("--language", default="", help="The home language, such as Polish; for the tutor.")
def add(name: str, profile: str | None, language: str) -> None:
    """Add a person of this NAME, with a folder and an answer book of their own."""
    profile = load(profile or DEFAULT).id
    for known in find(name):
        click.confirm(
            f"There is already a {known.name}, here since {known.made:%Y-%m-%d}. Is this somebody else?",
            abort=True,
            err=True,
        )
    person = create(name, profile=profile, language=language.strip())
    click.echo(f"{person.name} can start: smokehouse open --as {_quoted(person.name)}")


@command.command("pin")
@click.argument("name")
@click.option("--remove", is_flag=True, help="Take the PIN away.")
@click.option("--forgotten", is_flag=True, help="Set another without the old one. Your tutor then asks you.")
def pin(name: str, remove: bool, forgotten: bool) -> None:
    """Set, change or remove the PIN of NAME. It is asked for when somebody switches to them.

    With a PIN, every line of the answer book is signed from then on.
    """
    person = choose(name)
    private = None if forgotten else ask_pin(person)
    if remove:
        set_pin(person, None, private=private)
        click.echo(f"{person.name} has no PIN now.")
        return
    typed = click.prompt(
        "New PIN, 4 characters or more", hide_input=True, confirmation_prompt="Again", err=True
    )
    set_pin(person, typed, private=private)
    click.echo(f"The PIN of {person.name} is set. Every line of the answer book is signed from now on.")
    click.echo("It keeps colleagues out of the book; it is no safe. More than 4 digits hold longer.")
    if forgotten and person.has_pin:
        click.echo("Hand in now: what you answer counts again once your tutor asked you about the new PIN.")


@command.command("rules")
@click.argument("name")
@click.argument("profile")
def rules(name: str, profile: str) -> None:
    """Let the questions of NAME follow the rules of PROFILE, such as ie or uk."""
    title = load(profile).title
    person = choose(name)
    ask_pin(person)
    set_profile(person, profile)
    if not _say_kitchen():
        click.echo(f"Questions for {person.name} follow {title} from now on.")


def _say_kitchen() -> bool:
    """Say whose rules hold if this machine joined a kitchen, and return whether it did."""
    kitchen = joined()
    if kitchen is not None:
        click.echo(f"The rules of the kitchen {kitchen.name} hold for everybody on this machine.")
    return kitchen is not None


def _book_words(person: Learner) -> str:
    if not person.book_path.exists():
        return "empty"
    try:
        reading = read(person.book_path, person=person.id)
    except (KitError, OSError):
        return "cannot be read"
    answers = sum(entry.what == "attempt" for entry in reading.entries)
    words = "1 answer" if answers == 1 else f"{answers} answers"
    return words if not reading.problems or reading.torn else f"{words}, then damaged"


def _quoted(name: str) -> str:
    return f'"{name}"' if " " in name else name
