"""`smokehouse report`: the inspector's file on paper, or the records as tables."""

from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.cli.acting import opened, records_option
from kit.cli.output_files import ending_of
from kit.records import Records
from kit.records.reports import (
    as_workbook,
    decisions_csv,
    inspector_file,
    person_summary,
    person_summary_paper,
    wall_chart,
    week_paper,
)

ENDINGS = (".pdf", ".xlsx", ".csv")
PAPERS = {"wall": (".pdf",), "week": (".pdf",), "summary": (".csv", ".pdf")}


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
@click.option("--week", is_flag=True, help="Write whom to see this week, at which step: .pdf.")
@click.option("--summary", is_flag=True, help="Write one row a criterion about one person: .csv or .pdf.")
@records_option
def command(
    person: str | None, out: Path, wall: bool, week: bool, summary: bool, records_file: str | Path | None
) -> None:
    """Write who is competent at what, on which evidence, decided and checked by whom.

    The file says whether the chain of the records fits, and what it does not prove.
    """
    papers = [name for name, asked in (("wall", wall), ("week", week), ("summary", summary)) if asked]
    if len(papers) > 1 or (person and (wall or week)):
        raise click.UsageError("--wall and --week show everybody; each goes with no other paper or --person.")
    if summary and person is None:
        raise click.UsageError("--summary is about one person: name them with --person.")
    paper = papers[0] if papers else ""
    ending = _ending(out, paper)
    with opened(records_file) as records:
        write_private(out, _made(records, paper, ending, person))
    click.echo(f"Written to {out}")


def _ending(out: Path, paper: str) -> str:
    allowed = PAPERS.get(paper, ENDINGS)
    if out.suffix.lower() not in allowed and paper:
        raise click.UsageError(
            f"--{paper} writes {' or '.join(allowed)}; --out ends in {out.suffix or 'nothing'}."
        )
    return ending_of(out, ENDINGS)


def _made(records: Records, paper: str, ending: str, person: str | None) -> bytes:
    if paper == "wall":
        return wall_chart(records)
    if paper == "week":
        return week_paper(records)
    if paper == "summary":
        assert person is not None  # refused above
        if ending == ".pdf":
            return person_summary_paper(records, person)
        return person_summary(records, person).encode("utf-8-sig")
    if ending == ".csv":
        return decisions_csv(records, person).encode("utf-8-sig")  # the mark makes spreadsheets read accents
    return (inspector_file if ending == ".pdf" else as_workbook)(records, person)
