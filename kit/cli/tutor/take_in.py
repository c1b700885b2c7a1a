"""`smokehouse take-in`: mark answer books again and record them."""

import os
import sys
from collections import Counter
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from kit.basics.quantities import count_of
from kit.cli.acting import records_option
from kit.cli.engine_options import engine_options, opened_engine
from kit.files.kitchen_number import not_left
from kit.records import Taken, TakingIn, open_records, take_in
from kit.records.intake.attempts import unnamed_answers

SHOW_EACH_UP_TO = 30
FLAGS_SHOWN = 6
_MOST_PROCESSES = 8


@click.command("take-in")
@click.argument("books", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--same-name-is-new",
    is_flag=True,
    help="A new id that bears a known name is another person: do not ask.",
)
@records_option
@click.option(
    "--processes",
    type=click.IntRange(1, 64),
    default=None,
    help="How many processes mark at once. By default one for each processor, 8 at most.",
)
@engine_options
def command(
    books: tuple[Path, ...],
    same_name_is_new: bool,
    records_file: str | Path | None,
    processes: int | None,
    engine_text: str | None,
    tls_ca: Path | None,
    tls_cert: Path | None,
    tls_key: Path | None,
) -> None:
    """Take answer BOOKS in: mark every answer again, record what is new, and say what was flagged or refused.

    A folder stands for all *.book files in it. The same book twice changes nothing. Ends with code 1 if any
    book was refused.
    """
    files = _files(books)
    console = Console(highlight=False, markup=False)
    records = open_records(records_file)
    bar = _Bar(console, len(files))
    try:
        with opened_engine(engine_text, tls_ca, tls_cert, tls_key) as engine, bar:
            found = take_in(
                records,
                files,
                same_name=_another if same_name_is_new else bar.ask,
                processes=processes or min(os.cpu_count() or 1, _MOST_PROCESSES),
                progress=bar.step,
                engine=engine,
            )
        unnamed = Counter(one.exercise for one in unnamed_answers(records))
    finally:
        records.close()
    report(found, console)
    if unnamed:
        console.print(
            f"{count_of(unnamed.total(), 'wrong answer')} on record, to {count_of(len(unnamed), 'question')},"
            " met only a general sentence: `smokehouse record unnamed` lists them for an author.",
            soft_wrap=True,
        )
    if found.of("refused"):
        sys.exit(1)


def _files(given: Iterable[Path]) -> list[Path]:
    """Return the files meant, each once, in the order given."""
    files: list[Path] = []
    for path in given:
        files += sorted(path.glob("*.book")) if path.is_dir() else [path]
    if not files:
        raise click.UsageError("There is no *.book file in that folder.")
    return list(dict.fromkeys(files))


def _another(name: str, known_id: str, since: datetime) -> bool:
    return True


class _Bar:
    """A progress bar where there are many books and a screen, and the question about a name in between."""

    def __init__(self, console: Console, total: int) -> None:
        columns = (TextColumn("Taking in"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
        many = total > 10 and console.is_terminal
        self._progress = Progress(*columns, console=console, transient=True, disable=not many)
        self._task = self._progress.add_task("", total=total)

    def __enter__(self) -> None:
        self._progress.start()

    def __exit__(self, *_: object) -> None:
        self._progress.stop()

    def step(self, _: Taken) -> None:
        """Move on by one book."""
        self._progress.advance(self._task)

    def ask(self, name: str, known_id: str, since: datetime) -> bool:
        """Ask whether a new id with a known name is another person; without a keyboard the answer is no."""
        if not sys.stdin.isatty():
            return False
        self._progress.stop()
        question = (
            f"{name} is known since {since:%Y-%m-%d} under the id {known_id[:10]}. Is this another person?"
        )
        said: bool = click.confirm(question, default=False)
        self._progress.start()
        return said


def report(found: TakingIn, console: Console) -> None:
    """Print what became of the books: each of a few, or of many only those to look at; then the sums."""
    each = len(found.books) <= SHOW_EACH_UP_TO
    for book in found.books:
        if each or book.flags or book.status == "refused":
            _say_book(book, console)
    taken, same, refused = (len(found.of(s)) for s in ("taken", "nothing new", "refused"))
    answers = sum(book.answers for book in found.books)
    flags = sum(len(book.flags) for book in found.books)
    console.print(
        f"{count_of(taken, 'book')} taken, {same} with nothing new, {refused} refused. "
        f"{count_of(answers, 'answer')} marked again, {count_of(flags, 'flag')} for the tutor."
    )
    for folder in found.without_number:
        console.print(not_left(folder), soft_wrap=True)


def _say_book(book: Taken, console: Console) -> None:
    who = f"{book.file}: {book.name}" if book.name else book.file
    if book.status == "taken":
        lines = (
            f"{count_of(book.new_lines, 'new line')}, {count_of(book.answers, 'answer')}, {book.right} right"
        )
        console.print(f"taken        {who}: {lines}", soft_wrap=True)
    else:
        console.print(f"{book.status:<12} {who}: {book.why}", soft_wrap=True)
    for flag in book.flags[:FLAGS_SHOWN]:
        place = f"line {flag.line}" if flag.line else "book"
        console.print(f"  flag       {place}, {flag.kind}: {flag.says}", soft_wrap=True)
    if len(book.flags) > FLAGS_SHOWN:
        console.print(f"  flag       and {len(book.flags) - FLAGS_SHOWN} more: see the board for this person")
