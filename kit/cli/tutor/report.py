"""`smokehouse report`: the inspector's file on paper, or the records as tables."""

from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.cli.acting import opened, records_option
from kit.cli.output_files import ending_of
from kit.records import Records
from kit.records.reports import as_workbook, decisions_csv, inspector_file, person_summary, wall_chart

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
@click.option("--wall", is_flag=True, help="Write a chart of people and steps for the wall: A3, .pdf.")
@click.option("--summary", is_flag=True, help="Write one row a criterion about one person: .csv.")
@records_option
def command(person: str | None, out: Path, wall: bool, summary: bool, records_file: Path | None) -> None:
    """Write who is competent at what, on which evidence, decided and checked by whom.

    The file says whether the chain of the records fits, and what it does not prove.
    """
    if wall and (summary or person):
        raise click.UsageError("--wall shows everybody; it goes with neither --summary nor --person.")
    if summary and person is None:
        raise click.UsageError("--summary is about one person: name them with --person.")
    ending = _ending(out, wall, summary)
    with opened(records_file) as records:
        if wall:
            write_private(out, wall_chart(records))
        elif summary and person is not None:
            write_private(out, person_summary(records, person).encode("utf-8-sig"))
        else:
            write_private(out, _made(records, ending, person))
    click.echo(f"Written to {out}")


def _ending(out: Path, wall: bool, summary: bool) -> str:
    if wall or summary:
        allowed = ".pdf" if wall else ".csv"
        if out.suffix.lower() != allowed:
            option = "--wall" if wall else "--summary"
            raise click.UsageError(f"{option} writes {allowed}; --out ends in {out.suffix or 'nothing'}.")
    return ending_of(out, ENDINGS)


def _made(records: Records, ending: str, person: str | None) -> bytes:
    if ending == ".csv":
        return decisions_csv(records, person).encode("utf-8-sig")  # the mark makes spreadsheets read accents
    return (inspector_file if ending == ".pdf" else as_workbook)(records, person)
