"""`smokehouse demo`: an invented crew, from their answer books to the rail."""

import tempfile
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path

import click
from rich.console import Console

from kit.basics import places
from kit.basics.errors import BadData
from kit.cli.demo.crew import make_crew
from kit.cli.demo.desk_story import PASSWORD, TUTOR, VERIFIER, a_moment_ago, make_desk
from kit.cli.tutor.rail import check_ending, write_board
from kit.cli.tutor.rail_text import show
from kit.cli.tutor.take_in import report
from kit.records import Records, open_records, take_in
from kit.records.people import staff
from kit.records.reports import desk_lists


@click.command("demo")
@click.option(
    "--keep",
    type=click.Path(path_type=Path, file_okay=False),
    help="Keep everything in this new or empty folder. By default it is thrown away.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Also write the rail to this file: .html or .csv.",
)
def command(keep: Path | None, out: Path | None) -> None:
    """Show the whole chain: 12 invented apprentices, their answers, the rail, and the tutor's desk.

    It uses a home of its own and touches no real records.
    """
    check_ending(out)
    console = Console(highlight=False, markup=False)
    with ExitStack() as stack:
        home = _home(keep, stack)
        console.print("An invented crew at Harbour Lane, a smokehouse that does not exist.")
        with console.status("Writing their answer books …") as status:
            books = make_crew(home, datetime.now(UTC), lambda name: status.update(f"{name} has handed in"))
        _take_in_and_show(home, books, out, console, keep is not None)
    if keep is not None:
        _say_how_to_go_on(keep)


def _say_how_to_go_on(keep: Path) -> None:
    click.echo(f"\nKept in {keep}. Use it with SMOKEHOUSE_HOME={keep}")
    click.echo(f'The desk: smokehouse desk --as "{TUTOR}" (tutor) or "{VERIFIER}" (verifier).')
    click.echo(f"Every key of the demo opens with the password: {PASSWORD}")


def _home(keep: Path | None, stack: ExitStack) -> Path:
    if keep is None:
        # a database file that is still open must not stop Windows from tidying up
        return Path(stack.enter_context(tempfile.TemporaryDirectory(ignore_cleanup_errors=True)))
    if keep.exists() and any(keep.iterdir()):
        raise BadData(str(keep), "this folder is not empty", "a new or empty folder")
    keep.mkdir(parents=True, exist_ok=True)
    return keep


def _take_in_and_show(
    home: Path, books: list[Path], out: Path | None, console: Console, kept: bool = False
) -> None:
    records = open_records(places.records_file(home))
    try:
        report(take_in(records, books), console)
        console.print()
        show(records, console)
        make_desk(records, a_moment_ago(), places.keys_folder(home) if kept else None)
        console.print()
        _show_desk(records, console)
        if out is not None:
            write_board(records, out)
            console.print(f"\nThe rail is in {out}")
    finally:
        records.close()


def _show_desk(records: Records, console: Console) -> None:
    """Say in three lines what the desk would show first."""
    today = datetime.now(UTC).astimezone().date()
    see, look = desk_lists.to_see(records, today), desk_lists.to_look_into(records)
    sign = desk_lists.to_sign(records, staff.find(records, VERIFIER).person, today)
    console.print("At the tutor's desk (`smokehouse desk`):")
    people = len({one.person for one in see})
    console.print(
        f"  to see: {people} apprentices; to sign: {len(sign)} decisions; to look into: {len(look)}"
    )
