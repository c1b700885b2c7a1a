"""Taking answer books in: check and mark again, then record each book in one transaction."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from sqlalchemy import func, select

from kit.basics import places
from kit.basics.many_workers import Engine
from kit.basics.site_log import log_event
from kit.exercises.catalogue import Catalogue
from kit.files.joined_kitchen import RuleShelf
from kit.files.kitchen_number import give, kitchen_here, new_number
from kit.records.competence.standings import keep_current, refresh
from kit.records.intake import book_rows
from kit.records.intake.remark import Flag, RemarkedBook, RemarkedEntry, check_book
from kit.records.intake.spread_books import spread_books
from kit.records.ledger import acts
from kit.records.ledger.acts import Draft
from kit.records.ledger.erased import why_gone
from kit.records.ledger.seals import seal_of_taking
from kit.records.people.find import bearers
from kit.records.storage.schema import entries, people
from kit.records.storage.store import Records

Status = Literal["taken", "nothing new", "refused"]
SameName = Callable[[str, str, datetime], bool]
MANY = 24  # fewer books than this are quicker in one process
CHUNK = 8


@dataclass(frozen=True)
class Taken:
    """What became of one book: how many lines and answers were new, what was flagged, why it was refused."""

    file: str
    status: Status
    person: str = ""
    name: str = ""
    new_lines: int = 0
    answers: int = 0
    right: int = 0
    flags: tuple[Flag, ...] = ()
    why: str = ""


@dataclass(frozen=True)
class TakingIn:
    """What became of every book, in the order given.

    ``without_number`` are folders beside whose books the kitchen's new number could not be left.
    """

    books: tuple[Taken, ...]
    without_number: tuple[Path, ...] = ()

    def of(self, status: Status) -> tuple[Taken, ...]:
        """Return the books with that status."""
        return tuple(book for book in self.books if book.status == status)

    @property
    def flagged(self) -> tuple[Taken, ...]:
        """The books with anything for the tutor to look at."""
        return tuple(book for book in self.books if book.flags)


def take_in(
    records: Records,
    paths: Iterable[str | Path],
    *,
    same_name: SameName | None = None,
    now: datetime | None = None,
    processes: int = 1,
    catalogue: Catalogue | None = None,
    shelf: RuleShelf | None = None,
    progress: Callable[[Taken], None] | None = None,
    engine: Engine | None = None,
) -> TakingIn:
    """Take answer books in and return what became of each.

    A book is matched on the person's random id, never on the name. Every answer is marked again here; what
    the book claims is only compared. The same book twice changes nothing; a longer one adds only what is
    new; two different continuations of one book are refused.

    Parameters
    ----------
    records : Records
        The open records.
    paths : iterable of paths
        Answer books.
    same_name : callable, optional
        Asked when a new id bears a known name: given the name, the known person's id and when it was first
        taken in, it says whether this is another person. Without it such a book is refused.
    now : datetime, optional
        When this happens, with a zone. Default: the clock.
    processes : int
        How many processes may mark. Only this one writes. From 1. [processes]
    catalogue : Catalogue, optional
        Draws and marks. Default: the kit's own exercises and criteria.
    shelf : RuleShelf, optional
        The rules that books may have been made under. Default: those of this machine.
    progress : callable, optional
        Told of each book as it is done.
    engine : Engine, optional
        Where books are marked instead: see ``spread_books``. Only this process writes.

    Raises
    ------
    RecordsBusy, DiskTrouble, BadData
        If the records cannot be written. Books recorded before that stay recorded.
    """
    moment = now or datetime.now(UTC)
    catalogue, shelf = catalogue or Catalogue(), shelf or RuleShelf()
    keep_current(records, catalogue)
    books, kitchen = [Path(path) for path in paths], kitchen_here(shelf.home)
    number = new_number() if kitchen else ""
    done: list[Taken] = []
    if engine is None:
        marked = _checked(records, books, moment, processes, catalogue, shelf)
    else:
        given = _held(records), moment, shelf, _asked(records), _numbers_of(records, shelf)
        marked = spread_books(engine, books, given)
    for checked in marked:
        taken = _record(records, checked, same_name, moment, catalogue, number)
        done.append(taken)
        if progress is not None:
            progress(taken)
    refused: tuple[Path, ...] = ()
    if number and any(taken.status == "taken" for taken in done):
        beside = dict.fromkeys([*(book.parent for book in books), shelf.home or places.home()])
        refused = give(kitchen, number, moment, beside)
    found = TakingIn(tuple(done), refused)
    new, same, no = (len(found.of(status)) for status in ("taken", "nothing new", "refused"))
    log_event("books taken in", taken=new, nothing_new=same, refused=no, flagged=len(found.flagged))
    return found


def _checked(
    records: Records,
    paths: Sequence[Path],
    now: datetime,
    processes: int,
    catalogue: Catalogue,
    shelf: RuleShelf,
) -> Iterator[RemarkedBook]:
    held, asked = _held(records), _asked(records)
    numbers = _numbers_of(records, shelf)
    if processes < 2 or len(paths) < MANY or type(catalogue) is not Catalogue:
        for path in paths:
            yield check_book(path, catalogue, held, now, shelf, asked, numbers)
        return
    # spawn, not fork: the same on every system, and no open database crosses over
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(processes, context, _start_worker, (held, now, shelf, asked, numbers)) as pool:
        yield from pool.map(_check_in_worker, map(str, paths), chunksize=CHUNK)


_worker: list[Callable[[str], RemarkedBook]] = []


def _start_worker(
    held: dict[str, int],
    now: datetime,
    shelf: RuleShelf,
    asked: frozenset[str],
    numbers: dict[str, datetime] | None,
) -> None:
    catalogue = Catalogue()
    _worker.append(lambda path: check_book(path, catalogue, held, now, shelf, asked, numbers))


def _check_in_worker(path: str) -> RemarkedBook:
    return _worker[0](path)


def _held(records: Records) -> dict[str, int]:
    """How many lines of each person's book are recorded."""
    lines = (
        select(people.c.person_id, func.count().label("lines"))
        .join_from(people, entries, entries.c.person == people.c.key)
        .group_by(people.c.person_id)
    )
    with records.reading() as connection:
        return {row.person_id: row.lines for row in connection.execute(lines)}


def _asked(records: Records) -> frozenset[str]:
    """The hashes of the lines whose new key a tutor asked about and found right."""
    with records.reading() as connection:
        looks = [act.facts for act in acts.read(connection, kind="looked at")]
    return frozenset(
        facts["entry"]
        for facts in looks
        if facts.get("flag") == "new key" and facts.get("outcome") == "nothing wrong"
    )


def _numbers(records: Records) -> dict[str, datetime]:
    """Every number that these records gave, and when, in order."""
    with records.reading() as connection:
        takings = acts.read(connection, kind=acts.TAKEN_IN)
        given = [(act.facts["number"], act.at) for act in takings if "number" in act.facts]
    return dict(given)


def _numbers_of(records: Records, shelf: RuleShelf) -> dict[str, datetime] | None:
    return _numbers(records) if kitchen_here(shelf.home) else None


def _record(
    records: Records,
    checked: RemarkedBook,
    same_name: SameName | None,
    now: datetime,
    catalogue: Catalogue,
    number: str,
) -> Taken:
    if checked.refused:
        return Taken(checked.file, "refused", why=checked.refused)
    another = _settle_name(records, checked, same_name)
    if isinstance(another, str):
        return Taken(checked.file, "refused", checked.person, checked.name, why=another)
    with records.writing() as connection:
        # all that was asked above is looked at again here, now that nobody else can write
        kept = book_rows.known_hashes(connection, checked.person)
        if kept.known:
            refusal = why_gone(connection, checked.person) or book_rows.why_forked(kept, checked)
            if refusal:
                return Taken(checked.file, "refused", checked.person, checked.name, why=refusal)
        elif not another and bearers(connection, checked.name, checked.person):
            return Taken(checked.file, "refused", checked.person, checked.name, why=_NAME_TAKEN)
        fresh = [line for line in checked.lines if line.entry.n >= len(kept.hashes)]
        new_header = not kept.hashes
        flags = book_rows.new_flags(connection, kept, checked, fresh, another)
        if not fresh and not flags and not new_header:
            return Taken(
                checked.file, "nothing new", checked.person, checked.name, why=_nothing_new(kept, checked)
            )
        touched = book_rows.record(connection, kept, checked, fresh, flags, now)
        seal = seal_of_taking(connection, checked.person, touched.taking, number)
        acts.append(connection, Draft(acts.TAKEN_IN, checked.person, checked.person, facts=seal), now)
        if touched.counted:
            refresh(connection, [touched.person], catalogue)
    return _summary(checked, fresh, flags)


_NAME_TAKEN = (
    "a new id bears a name that is already known. If this is another person, take it in with "
    "--same-name-is-new. If it is the same person, ask them to hand in from their own work folder."
)


def _settle_name(records: Records, checked: RemarkedBook, same_name: SameName | None) -> bool | str:
    """Return whether a new id with a known name is another person; a text says why the book is refused."""
    with records.reading() as connection:
        if book_rows.known_hashes(connection, checked.person).known:
            return False
        known = bearers(connection, checked.name, checked.person)
    if not known:
        return False
    if same_name is not None and same_name(checked.name, *known[0]):
        return True
    return _NAME_TAKEN


def _nothing_new(kept: book_rows.RecordedBook, checked: RemarkedBook) -> str:
    older = len(kept.hashes) - len(checked.hashes)
    if older > 0:
        return f"an older copy: the records already go {older} lines further"
    return "this book is already in the records"


def _summary(checked: RemarkedBook, fresh: Sequence[RemarkedEntry], flags: Sequence[Flag]) -> Taken:
    return Taken(
        checked.file,
        "taken",
        checked.person,
        checked.name,
        len(fresh),
        sum(line.entry.what == "attempt" for line in fresh),
        sum(line.outcome is not None and line.outcome.verdict == "right" for line in fresh),
        tuple(flags),
    )
