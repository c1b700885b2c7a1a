"""`smokehouse report`: the inspector's file on paper, or the records as tables."""

from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.cli.acting import opened, records_option
from kit.cli.output_files import ending_of
from kit.records import Records
from kit.records.reports import as_workbook, decisions_csv, inspector_file

ENDINGS = (".pdf", ".xlsx", ".csv")


@click.command("report")
@click.option("--person", help="Only one person: a name, or the id or its start.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("report.pdf"),
    show_default=True,
    help="The file to write: .pdf for an inspector, .xlsx for all tables, .csv for the decisions.",
)
@records_option
def command(person: str | None, out: Path, records_file: Path | None) -> None:
    """Write who is competent at what, on which evidence, decided and checked by whom.

    The file says whether the chain of the records fits, and what it does not prove.
    """
    ending = ending_of(out, ENDINGS)
    with opened(records_file) as records:
        write_private(out, _made(records, ending, person))
    click.echo(f"Written to {out}")


def _made(records: Records, ending: str, person: str | None) -> bytes:
    if ending == ".csv":
        return decisions_csv(records, person).encode("utf-8-sig")  # the mark makes spreadsheets read accents
    return (inspector_file if ending == ".pdf" else as_workbook)(records, person)
