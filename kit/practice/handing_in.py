"""Handing in: a checked copy of an answer book for the tutor, made by the command and by the page alike."""

import os
from dataclasses import dataclass
from pathlib import Path

from kit.basics import places
from kit.basics.atomic_files import make_private_folder, write_private
from kit.basics.errors import BadData, KitError
from kit.files import BookReading, local_now, read, read_bytes, relation, saving
from kit.files.inbox import SOCKET_VARIABLE, send_book
from kit.files.kitchen_number import fetch, kitchen_here
from kit.languages import ENGLISH, Language, noted
from kit.practice.people import Learner, file_name

BETWEEN = noted("In your kitchen a day counts once it lies between two hand-ins: hand in after practice.")


@dataclass(frozen=True)
class HandedIn:
    """What was written where: how many entries and answers it holds, and what to tell the tutor besides."""

    file: Path
    entries: int
    answers: int
    notes: tuple[str, ...] = ()


def hand_in(person: Learner, target: Path | None = None) -> HandedIn:
    """Write a checked copy of a person's answer book, and return what is in it. Their own book goes on.

    Parameters
    ----------
    person : Learner
        Whose book.
    target : Path, optional
        The file to write, or a folder. Default: their name and today's date, in this folder.

    Raises
    ------
    BadData
        If there is no book yet, it is empty, or the file is something else.
    NotSaved
        If the disk refuses.
    """
    data, reading = _book(person)
    file = _target(target, person)
    _check_free(file, person, reading)
    _write(file, data, reading)
    fetch(file.parent)
    answers = sum(entry.what == "attempt" for entry in reading.entries)
    return HandedIn(file, len(reading.entries), answers, tuple(_notes(person, reading)))


def hand_in_here(person: Learner, language: Language = ENGLISH) -> tuple[str, ...]:
    """Hand a book in to the server's inbox or this machine's folder; return what its page says, translated.

    Raises
    ------
    BadData, NotSaved
        As ``hand_in``.
    """
    inbox = os.environ.get(SOCKET_VARIABLE)
    if inbox:
        data, reading = _book(person)
        return (send_book(data, inbox), *_notes(person, reading))
    folder = places.handed_in_folder()
    make_private_folder(folder)
    done = hand_in(person, folder)
    words = (
        language.say("Handed in: 1 entry, {answers} of them answers.", answers=done.answers)
        if done.entries == 1
        else language.say(
            "Handed in: {entries} entries, {answers} of them answers.",
            entries=done.entries,
            answers=done.answers,
        )
    )
    where = language.say("The file for your tutor is {file}.", file=done.file)
    return (words, where, *(language.say(note) if note == BETWEEN else note for note in done.notes))


def _book(person: Learner) -> tuple[bytes, BookReading]:
    """Return the bytes to hand in, and what they hold. A last line that was cut off stays behind."""
    try:
        data = person.book_path.read_bytes()
    except FileNotFoundError:
        raise BadData(person.name, "there is no answer book yet", "an answer in a lesson first") from None
    reading = read_bytes(data, where=person.book_path.name, person=person.id)
    if all(entry.what == "key" for entry in reading.entries) and (not reading.problems or reading.torn):
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


def _notes(person: Learner, reading: BookReading) -> list[str]:
    notes = []
    if kitchen_here():
        notes.append(BETWEEN)
    if reading.problems and not reading.torn:
        before = entries_words(len(reading.entries))
        notes.append(f"{reading.problems[0].says} What counts is before it: {before}. Tell your tutor.")
    for old in sorted(person.folder.glob(f"{person.book_path.stem}.damaged-*")):
        notes.append(f"a damaged earlier book is kept as {old}. Show it to your tutor.")
    return notes


def entries_words(count: int) -> str:
    """Return a number of entries in words.

    Examples
    --------
    >>> entries_words(1), entries_words(3)
    ('1 entry', '3 entries')
    """
    return "1 entry" if count == 1 else f"{count} entries"
