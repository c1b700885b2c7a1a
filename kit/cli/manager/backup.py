"""`smokehouse backup`: everything in one file, checked before it counts."""

import sys
from datetime import datetime
from pathlib import Path

import click

from kit.basics.quantities import count_of
from kit.cli.acting import open_hand, records_option
from kit.records import open_records
from kit.records.upkeep.backup import backup, verify_backup
from kit.records.upkeep.backup_file import Backup
from kit.records.upkeep.backup_health import note_made


@click.command("backup")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--check", "only_check", is_flag=True, help="Write nothing: check the backup in FILE.")
@click.option("--as", "as_name", metavar="NAME", help="Who signs it, with their key.")
@records_option
def command(file: Path, only_check: bool, as_name: str | None, records_file: str | Path | None) -> None:
    """Write all records and the evidence to FILE, or to a new file with today's date in the folder FILE.

    Others may go on working meanwhile. The file can be read by its owner only; keep it as safe as the records
    themselves. Signing keys are not in it. Ends with code 1 if something is wrong with the records.
    """
    if only_check:
        made = verify_backup(file)
        click.echo(f"This backup is whole. {contents(made)}")
    else:
        records = open_records(records_file, make=False)
        try:
            by = None if as_name is None else open_hand(records, as_name)
            made = backup(records, _named(file), by=by)
            note_made(records.path, made)
        finally:
            records.close()
        click.echo(f"Written to {made.path}. {contents(made)}")
    click.echo(signature_words(made))
    tell_problems(made)
    if made.problems:
        sys.exit(1)


def _named(file: Path) -> Path:
    if not file.is_dir():
        return file
    return file / f"records-{datetime.now().astimezone():%Y-%m-%d-%H%M%S}.backup"


def contents(made: Backup) -> str:
    """Return what is in a backup, in one sentence or two."""
    day = made.made_at.astimezone()
    people, marks = made.rows.get("people", 0), made.rows.get("marks", 0)
    acts, files = count_of(made.head.number, "act"), count_of(made.files, "file")
    return (
        f"It is of {day:%Y-%m-%d %H:%M}: {people:,} people, {count_of(marks, 'mark')}, "
        f"{acts}, {files}. The chain ends in {made.head.short}."
    )


def signature_words(made: Backup) -> str:
    """Return who vouches for a backup."""
    if made.signed is None:
        return "Nobody signed it: putting it back may ask for a written reason. To sign: --as NAME."
    return (
        f"Signed by {made.signed.name}, key {made.signed.key_id}. Write this key on paper and keep it "
        "elsewhere: on a new machine it tells this backup from a forged one."
    )


def tell_problems(made: Backup) -> None:
    """Say what was wrong with the records when the backup was made."""
    for problem in made.problems:
        click.echo(f"Problem: {problem}.", err=True)
