"""A person's work folder: their copies of the lessons. Their work is never overwritten."""

import hashlib
import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal

from kit.basics import places
from kit.basics.atomic_files import make_private_folder, write_private
from kit.basics.data_files import build, json_of
from kit.basics.errors import BadData
from kit.files import Clock, local_now, saving
from kit.practice.people import Learner

RECORD = ".shipped.json"
Step = Literal["copy", "replace", "keep old and copy", "note"]


@dataclass(frozen=True)
class Prepared:
    """What was done to a work folder. ``says`` tells the person; it is empty when nothing changed."""

    folder: Path
    new: tuple[str, ...] = ()
    updated: tuple[str, ...] = ()
    kept: tuple[tuple[str, str], ...] = ()

    @property
    def says(self) -> tuple[str, ...]:
        """One line for each thing that a person should know. New lessons on a first visit are one line."""
        lines = []
        if self.new:
            lines.append(f"New here: {', '.join(Path(name).stem for name in self.new)}.")
        kept = dict(self.kept)
        for name in self.updated:
            if name in kept:
                lines.append(f"{Path(name).stem} has a new version. Your copy is kept as {kept[name]!r}.")
            else:
                lines.append(f"{Path(name).stem} has a new version.")
        return tuple(lines)


def prepare(person: Learner, *, lessons: Path | None = None, clock: Clock = local_now) -> Prepared:
    """Copy the lessons that a person has not got yet, bring in newer ones, and say what was done.

    A copy that the person did not change is replaced when the lesson that came with the kit changes. A copy
    that they did change is kept under a dated name, and the new one arrives beside it. What counts as a
    change is the text of the cells and the kit's own metadata: outputs and what JupyterLab adds by itself do
    not.

    Parameters
    ----------
    person : Learner
        Whose folder.
    lessons : Path, optional
        Where the shipped lessons are; by default those of this kit.
    clock : callable
        For the date in the name of a kept copy.

    Raises
    ------
    NotSaved
        If something must be written and the disk is full or can only be read. What was there is still there.
    BadData
        If the kit came without lessons.
    """
    shipped = _shipped(lessons or places.lessons_folder())
    folder = person.lessons
    if not _plan(folder, shipped):  # nothing to write: works on a disk that can only be read
        return Prepared(folder)
    with saving("A lesson"):
        make_private_folder(folder)
        with saving("A lesson", alone=folder / ".shipped"):
            return _carry_out(folder, shipped, clock().date())


def digest(data: bytes) -> str:
    """Return a hash of what a person would call the lesson: its cells' text and the kit's own metadata.

    A file that is no notebook is hashed as it is.

    Examples
    --------
    >>> bare = b'{"cells": [{"cell_type": "code", "source": ["a\\\\n", "b"], "outputs": []}]}'
    >>> saved = b'{"cells": [{"cell_type": "code", "source": "a\\\\nb", "outputs": [1]}], "nbformat": 4}'
    >>> digest(bare) == digest(saved)
    True
    """
    try:
        found = json.loads(data)
        cells = [
            [cell["cell_type"], "".join(cell["source"]), cell.get("metadata", {}).get("kit")]
            for cell in found["cells"]
        ]
        essence: Any = [cells, found.get("metadata", {}).get("kit")]
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return hashlib.sha256(b"raw:" + data).hexdigest()
    text = json.dumps(essence, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _shipped(lessons: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in sorted(lessons.glob("*.ipynb"))}


def _plan(folder: Path, shipped: dict[str, bytes]) -> dict[str, Step]:
    """Return what to do for each lesson that needs something done."""
    known = _record(folder)
    steps: dict[str, Step] = {}
    for name, data in shipped.items():
        now = digest(data)
        copy = folder / name
        if not copy.exists():
            steps[name] = "copy"
        elif known.get(name) == now:
            continue
        elif (theirs := digest(copy.read_bytes())) == now:
            steps[name] = "note"
        else:
            steps[name] = "replace" if theirs == known.get(name) else "keep old and copy"
    return steps


def _carry_out(folder: Path, shipped: dict[str, bytes], today: date) -> Prepared:
    steps = _plan(folder, shipped)  # again, under the lock
    known = _record(folder)
    new: list[str] = []
    updated: list[str] = []
    kept: list[tuple[str, str]] = []
    for name, step in steps.items():
        copy = folder / name
        if step == "keep old and copy":
            old = _dated(copy, today)
            copy.rename(old)
            kept.append((name, old.name))
        if step != "note":
            write_private(copy, shipped[name])
            (new if step == "copy" else updated).append(name)
        known[name] = digest(shipped[name])
        write_private(folder / RECORD, json.dumps(known, indent=1).encode())
    return Prepared(folder, tuple(new), tuple(updated), tuple(kept))


def _record(folder: Path) -> dict[str, str]:
    """Return which version of each lesson was copied. Without a record every copy counts as changed."""
    try:
        return build(dict[str, str], json_of((folder / RECORD).read_bytes(), RECORD), RECORD)
    except (FileNotFoundError, NotADirectoryError, BadData):
        return {}


def _dated(copy: Path, today: date) -> Path:
    names = (f"{copy.stem} (my copy of {today}{f', {k}' if k else ''}){copy.suffix}" for k in range(10_000))
    return next(copy.with_name(name) for name in names if not copy.with_name(name).exists())
