"""`smokehouse records`: carry the records to a server, or back to a file; mark all answers again."""

import csv
import io
import sys
from collections import Counter
from dataclasses import astuple, fields
from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.basics.places import is_address
from kit.basics.quantities import count_of
from kit.cli.acting import as_place, opened, records_option
from kit.cli.engine_options import engine_options, opened_engine
from kit.records.intake.mark_again import ChangedVerdict, mark_again
from kit.records.storage.store import remember_address
from kit.records.upkeep.move import move

SHOWN = 40


@click.group("records")
def command() -> None:
    """Carry the records to a server, or back to a file; mark all answers again."""


@command.command("move")
@click.argument("source", metavar="FROM", callback=as_place)
@click.argument("target", metavar="TO", callback=as_place)
def move_command(source: str | Path, target: str | Path) -> None:
    """Bring all records FROM a file or address TO another one that holds none yet.

    An address reads postgresql://ROLE@HOST/DATABASE?schema=KITCHEN. Every row is compared before the move
    counts. What was there stays: put it away, so that nobody goes on writing to it.
    """
    with opened(source) as old, opened(target, make=True) as new:
        done = move(old, new)
        told = old.where, new.where
    rows, files = count_of(sum(done.rows.values()), "row"), count_of(done.files, "file")
    click.echo(f"Moved to {told[1]}: {rows} and {files}, each the same as before.")
    click.echo(f"The chain ends in {done.head.short} on both sides.")
    click.echo(f"Nobody may go on writing to {told[0]}: put it away.")
    if is_address(target):
        click.echo("To use the server from here on: smokehouse records use ADDRESS")


@command.command("use")
@click.argument("address", callback=as_place)
def use(address: str | Path) -> None:
    """Let every command on this machine use the records at ADDRESS, and note it for you alone to read."""
    if not is_address(address):
        raise click.BadParameter("an address begins with postgresql://", param_hint="ADDRESS")
    with opened(address) as records:
        where = records.where
    click.echo(f"This machine's records are {where} now. It is noted in {remember_address(str(address))}.")


@command.command("again")
@engine_options
@click.option("--out", type=click.Path(path_type=Path), help="Write every change into this CSV file.")
@records_option
def again(
    engine_text: str | None,
    tls_ca: Path | None,
    tls_cert: Path | None,
    tls_key: Path | None,
    out: Path | None,
    records_file: str | Path | None,
) -> None:
    """Mark every recorded answer again with this kit, and show each verdict that would change.

    Nothing is kept: marks and decisions stay as they are. People are shown by their ids. Ends with code 1 if
    anything would change.
    """
    with opened(records_file) as records, opened_engine(engine_text, tls_ca, tls_cert, tls_key) as engine:
        found = mark_again(records, engine=engine)
    if out is not None:
        write_private(out, _table(found.changed).encode("utf-8-sig"))
    for one in found.changed[:SHOWN]:
        told = f"{one.was} ({one.was_score:g}) would be {one.now} ({one.now_score:g})"
        click.echo(f"{one.person}, line {one.line}, {one.exercise}: {told}")
    if len(found.changed) > SHOWN:
        click.echo(f"and {len(found.changed) - SHOWN:,} more; --out FILE writes them all.")
    for exercise, count in Counter(one.exercise for one in found.changed).most_common(SHOWN):
        click.echo(f"{exercise}: {count_of(count, 'verdict')} would change")
    click.echo(
        f"{count_of(found.answers, 'answer')} marked again; {len(found.changed):,} would change, "
        f"{found.not_drawn:,} are drawn otherwise today and stay, {found.left:,} wait for a tutor. "
        "Nothing was kept."
    )
    sys.exit(1 if found.changed else 0)


def _table(changed: tuple[ChangedVerdict, ...]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([each.name for each in fields(ChangedVerdict)])
    writer.writerows(astuple(one) for one in changed)
    return text.getvalue()
