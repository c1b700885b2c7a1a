"""`smokehouse hand-in`: write the answer book for the tutor."""

from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.basics.errors import BadData, KitError
from kit.cli.apprentice.people import ask_pin, choose
from kit.files import BookReading, local_now, read, read_bytes, relation, saving
from kit.practice import Learner
from kit.practice.people import file_name


@click.command("hand-in")
@click.option("--as", "name", help="Who is handing in. Needed where several people share this machine.")
@click.option(
    "--to",
    "target",
    type=click.Path(path_type=Path),
    help="The file to write, or a folder. By default your name and today's date, in this folder.",
)
def command(name: str | None, target: Path | None) -> None:
    """Write your answer book to a file for the tutor, check the copy, and say what is in it.

    Your own book stays where it is and goes on.
    """
    person = choose(name)
    ask_pin(person)
    data, reading = _book(person)
    file = _target(target, person)
    _check_free(file, person, reading)
    _write(file, data, reading)
    answers = sum(entry.what == "attempt" for entry in reading.entries)
    entries = _entries(len(reading.entries))
    click.echo(f"{person.name}: {entries}, {answers} of them answers, written to {file}")
    click.echo("Give this file to your tutor. What you do from now on goes into the next one.")
    _warn(person, reading)


def _book(person: Learner) -> tuple[bytes, BookReading]:
    """Return the bytes to hand in, and what they hold. A last line that was cut off stays behind."""
    try:
        data = person.book_path.read_bytes()
    except FileNotFoundError:
        raise BadData(person.name, "there is no answer book yet", "an answer in a lesson first") from None
    reading = read_bytes(data, where=person.book_path.name, person=person.id)
    if not reading.entries and (not reading.problems or reading.torn):
        raise BadData(person.name, "the answer book is still empty", "an answer in a lesson first")
    return (data[: reading.good_bytes] if reading.torn else data), reading


def _target(target: Path | None, person: Learner) -> Path:
    name = f"{file_name(person.name)}-{local_now():%Y-%m-%d}.book"
    if target is None:
        return Path.cwd() / name
    target = target.expanduser()
    return (target / name if target.is_dir() else target).absolute()


def _check_free(file: Path, person: Learner, reading: BookReading) -> None:
    """Refuse to write over anything but an earlier copy of this very book."""
    if not file.parent.is_dir():
        raise BadData(str(file), "that folder is not there", "a folder that exists")
    if not file.exists():
        return
    other = BadData(str(file), "this file exists and is something else", "another name with --to")
    if file.resolve() == person.book_path.resolve():
        raise BadData(str(file), "this is the answer book itself", "another name with --to")
    try:
        there = read(file)
    except KitError:
        raise other from None
    if relation(there.hashes, reading.hashes) not in ("same", "longer"):
        raise other


def _write(file: Path, data: bytes, reading: BookReading) -> None:
    with saving(str(file)):
        write_private(file, data)
        copy = read(file)
    if copy.hashes != reading.hashes:
        raise BadData(str(file), "the copy does not read back as it was written", "a sound disk or stick")


def _warn(person: Learner, reading: BookReading) -> None:
    if reading.problems and not reading.torn:
        problem = reading.problems[0]
        before = _entries(len(reading.entries))
        click.echo(f"Note: {problem.says} What counts is before it: {before}. Tell your tutor.", err=True)
    kept = sorted(person.folder.glob(f"{person.book_path.stem}.damaged-*"))
    for old in kept:
        click.echo(f"Note: a damaged earlier book is kept as {old}. Show it to your tutor.", err=True)


def _entries(count: int) -> str:
    return "1 entry" if count == 1 else f"{count} entries"
