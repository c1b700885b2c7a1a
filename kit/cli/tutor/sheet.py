"""`smokehouse sheet`: an observation sheet to print."""

from pathlib import Path

import click

from kit import rules
from kit.basics.atomic_files import write_private
from kit.cli.acting import opened, records_option
from kit.cli.output_files import ending_of
from kit.criteria import step_named
from kit.files.joined_kitchen import joined
from kit.records.people.staff import find
from kit.records.reports import observation_sheet


@click.command("sheet")
@click.argument("step")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The file to write: .pdf or .html. Without it: sheet-STEP.pdf in this folder.",
)
@click.option("--person", help="Print the apprentice's name on it: a name, or the id or its start.")
@click.option("--kitchen", help="The kitchen's name, for the head of the sheet.")
@click.option(
    "--rules", "profile", help="Print the limits of this rule profile, such as ie, with their source."
)
@records_option
def command(
    step: str,
    out: Path | None,
    person: str | None,
    kitchen: str | None,
    profile: str | None,
    records_file: str | Path | None,
) -> None:
    """Write the observation sheet of a STEP such as cook: what to look for, boxes to tick, two signatures.

    Print it before the work, fill it in by hand, then enter it with `smokehouse record observe`.
    """
    step = step_named(step)
    file = out or Path(f"sheet-{step}.pdf")
    form = "pdf" if ending_of(file, (".pdf", ".html")) == ".pdf" else "html"
    limits = None if profile is None else rules.load(profile)
    name = None if person is None else _name_of(person, records_file)
    write_private(file, observation_sheet(step, form, name, kitchen or joined(), profile=limits))
    click.echo(f"Written to {file}")


def _name_of(person: str, records_file: str | Path | None) -> str:
    with opened(records_file) as records:
        return find(records, person).name
