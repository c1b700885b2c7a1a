"""`smokehouse my-record`: everything that is held about one person, for themselves."""

from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.cli.acting import opened, records_option
from kit.cli.output_files import ending_of
from kit.records.reports import own_record


@click.command("my-record")
@click.option("--person", required=True, help="Whose: a name, or the id or its start.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    required=True,
    help="The .zip file to write.",
)
@records_option
def command(person: str, out: Path, records_file: str | Path | None) -> None:
    """Write everything held about a person into one .zip, to give to that person.

    It holds their acts with the words, their answers and marks, their observations and the inspector's file.
    """
    ending_of(out, (".zip",))
    with opened(records_file) as records:
        write_private(out, own_record(records, person))
    click.echo(f"Written to {out}. It holds personal data: give it to that person alone.")
