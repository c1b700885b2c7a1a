"""`smokehouse rail`: who has shown what, on the screen, as a page to print, or for a spreadsheet."""

from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.basics.errors import OutOfRange
from kit.cli.acting import records_option
from kit.records import Records, board, open_records
from kit.records.reports.board_page import as_csv, as_html


@click.command("rail")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write a file instead: .html is a page to read and print, .csv is for a spreadsheet.",
)
@click.option("--step", help="Only one step, such as cook: its criteria as columns.")
@click.option("--person", help="Only one person: a name, or the id or its start.")
@records_option
def command(out: Path | None, step: str | None, person: str | None, records_file: str | Path | None) -> None:
    """Show who has shown what in practice, and what each criterion still needs.

    Nobody is competent by practice alone: that is a tutor's decision.
    """
    check_ending(out)
    records = open_records(records_file, make=False)
    try:
        if out is None:
            from rich.console import Console

            from kit.cli.tutor.rail_text import show

            show(records, Console(highlight=False), step=step, person=person)
        else:
            write_board(records, out, step=step, person=person)
            click.echo(f"Written to {out}")
    finally:
        records.close()


def check_ending(out: Path | None) -> None:
    """Refuse a file to write the board to that is neither a page nor a table."""
    if out is not None and out.suffix.lower() not in (".html", ".htm", ".csv"):
        raise OutOfRange("the ending of --out", out.suffix or "missing", ".html or .csv")


def write_board(records: object, out: Path, *, step: str | None = None, person: str | None = None) -> None:
    """Write the board to a file that only its owner can read: it holds names and results."""
    assert isinstance(records, Records)
    found = board(records, step=step, person=person)
    if out.suffix.lower() == ".csv":
        text, encoding = as_csv(found), "utf-8-sig"  # the mark makes spreadsheets read the accents
    else:
        text, encoding = as_html(records, found), "utf-8"
    write_private(out, text.encode(encoding))
