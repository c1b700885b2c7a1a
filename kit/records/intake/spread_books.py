"""Marking books elsewhere: their bytes go out, marked books come back, and some are compared here."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Sequence
from datetime import datetime
from functools import cache, partial
from itertools import islice
from pathlib import Path

from kit import __version__
from kit.basics.errors import KitError
from kit.basics.given_files import open_given
from kit.basics.many_workers import Engine
from kit.exercises.catalogue import Catalogue
from kit.files.book_reading import MAX_BOOK_BYTES
from kit.files.joined_kitchen import RuleShelf
from kit.records.intake.remark import RemarkedBook, check_book

BOOKS_EACH = 8
"""So many books are one piece of work. [books]"""
ONE_IN = 20
"""One book of so many, drawn by chance, is marked again here and compared."""
Given = tuple[dict[str, int], datetime, RuleShelf, frozenset[str], dict[str, datetime] | None]
"""What taking in knows: lines held, the moment, the rules, keys asked about, the kitchen's numbers."""
_Sent = list[tuple[str, bytes | None]]


class FalseMarks(KitError):
    """A worker gave back another mark than this machine does: none of that piece of work is recorded."""


@cache
def kit_here() -> str:
    """Return which kit and bank this process has."""
    return f"{__version__} {Catalogue().basis}"


def spread_books(engine: Engine, paths: Sequence[Path], given: Given) -> Iterator[RemarkedBook]:
    """Yield the books, marked by the workers, in order.

    Raises
    ------
    FalseMarks
        If a book that is marked again here comes out otherwise.
    WorkersLost, OtherKit
        See ``Engine.spread``.
    """
    files = iter(paths)
    pieces = iter(lambda: [_sent(path) for path in islice(files, BOOKS_EACH)], [])
    place = 0
    for found in engine.spread(partial(_mark_piece, given), pieces):
        mine = paths[place : place + len(found)]
        marked = [one or mark_here(given, path) for one, path in zip(found, mine, strict=True)]
        looked_at = [n for n in range(len(marked)) if secrets.randbelow(ONE_IN) == 0]
        for n in looked_at:
            if mark_here(given, mine[n]) != marked[n]:
                raise FalseMarks(
                    f"{mine[n].name}: a worker marked it otherwise than this machine does. Nothing of this "
                    "piece of work was recorded. Look at that worker before you go on."
                )
        place += len(marked)
        yield from marked


@cache
def _catalogue() -> Catalogue:
    return Catalogue()


def _sent(path: Path) -> tuple[str, bytes | None]:
    """Return a file with its bytes; without them where it cannot be read."""
    try:
        with open_given(path, "an answer book") as file:
            return str(path), file.read(MAX_BOOK_BYTES + 1)
    except (KitError, OSError):
        return str(path), None


def mark_here(given: Given, path: str | Path, data: bytes | None = None) -> RemarkedBook:
    """Return one book marked in this process: see ``check_book``."""
    held, now, shelf, asked, numbers = given
    return check_book(path, _catalogue(), held, now, shelf, asked, numbers, data)


def _mark_piece(given: Given, piece: _Sent) -> list[RemarkedBook | None]:
    """Return the books of a piece, marked; None for a file that could not be read where it lies."""
    return [None if data is None else mark_here(given, path, data) for path, data in piece]
