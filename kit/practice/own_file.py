"""A small file of a learner's own in their folder: never evidence, never marked, and never lost to damage."""

import json
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar

from kit.basics.atomic_files import write_private
from kit.basics.data_files import build, json_of
from kit.basics.errors import BadData
from kit.files import Book, Clock

Page = TypeVar("Page")


def read_page(file: Path, page: type[Page], schema: int, what: str, clock: Clock) -> tuple[Page | None, str]:
    """Return what a file holds, or None where there is none, and what the learner must be told.

    A file that cannot be understood is kept whole beside it, and the notice says where.

    Parameters
    ----------
    file : Path
        The file.
    page : type
        A dataclass with a field ``schema``: what the file must hold. More fields are let be.
    schema : int
        The newest schema that this kit reads.
    what : str
        What to call it: "Your list of words".
    clock : callable
        For the name of what is kept beside it.

    Raises
    ------
    BadData
        If a newer kit wrote the file, or it cannot be opened. It is left as it is.
    NotSaved
        If a damaged file cannot be set aside.
    """
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        return None, ""
    except OSError as error:
        raise BadData(str(file), f"it cannot be read: {error.strerror or error}") from error
    facts: dict[str, Any] = {}
    with suppress(BadData):
        facts = json_of(data, file.name)
    if type(facts.get("schema")) is int and facts["schema"] > schema:
        raise BadData(str(file), "a newer kit wrote it", "a file of this kit, or an older one")
    try:
        return build(page, facts, file.name, more=True), ""
    except BadData:
        kept = Book.set_aside(file, clock=clock)
        return None, f"{what} was damaged. It is kept as {kept.name}. Show it to your tutor."


def write_page(file: Path, page: dict[str, Any]) -> None:
    """Write a page whole, for nobody else to read. The caller holds the lock: ``kit.files.saving``."""
    write_private(file, json.dumps(page, ensure_ascii=False, indent=1).encode("utf-8"))
