"""`smokehouse records`: carry the records of a kitchen to a server, or back to a file."""

from pathlib import Path

import click

from kit.basics.places import is_address
from kit.basics.quantities import count_of
from kit.cli.acting import as_place, opened
from kit.records.storage.store import remember_address
from kit.records.upkeep.move import move


@click.group("records")
def command() -> None:
    """Carry the records of a kitchen to a server, or back to a file."""


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
