"""`smokehouse restore`: put the records of a backup back."""

from collections.abc import Callable
from pathlib import Path
from typing import TypedDict

import click

from kit.basics import places
from kit.basics.errors import BadData
from kit.basics.quantities import count_of
from kit.cli.acting import open_trusted_hand, opened, records_option, said
from kit.cli.manager.backup import contents, tell_problems
from kit.records.people.staff import Hand
from kit.records.storage.store import Records, records_place
from kit.records.upkeep.backup import Restored, restore
from kit.records.upkeep.backup_health import note_unsigned
from kit.records.upkeep.server_restore import restore_to_server


@click.command("restore")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="Set the records that are there aside. They are never deleted.")
@click.option(
    "--despite-problems",
    is_flag=True,
    help="Put them back although their check names problems: there is no better copy.",
)
@click.option(
    "--unsigned",
    default="",
    metavar="WHY",
    help="Put back what nobody signed whose key is on file, for this reason. It is recorded.",
)
@click.option(
    "--signed-by",
    default="",
    metavar="KEY",
    help="The key that must have signed it, from your paper. The backup is refused if another did.",
)
@click.option("--as", "as_name", metavar="NAME", help="The manager who restores. Needed with --replace.")
@records_option
def command(
    file: Path,
    replace: bool,
    despite_problems: bool,
    unsigned: str,
    signed_by: str,
    as_name: str | None,
    records_file: str | Path | None,
) -> None:
    """Put the records and the evidence of the backup in FILE back, after checking all of it.

    Close the desk and every other program that uses the records first. With --records ADDRESS it goes into an
    empty schema of a server, as the schema's owner.
    """
    place = records_file or records_place()
    by = None if as_name is None else lambda records: open_trusted_hand(records, as_name)
    vouched: _Vouched = {"by": by, "unsigned": unsigned, "signed_by": signed_by}
    if places.is_address(place):
        _check_for_server(replace or despite_problems)
        with opened(place, make=True) as target:
            done, where = restore_to_server(file, target, **vouched), target.where
    else:
        done = restore(file, place, replace=replace, despite_problems=despite_problems, **vouched)
        where = str(done.path)
    click.echo(f"Restored to {where}. {contents(done.backup)}")
    if done.act is not None:
        said(done.act)
    if done.act is None and unsigned:
        note_unsigned(done.path, unsigned)
        click.echo("Nobody signed for this, so no act holds your reason. It stands on the manager's desk.")
    elif done.backup.signed is not None and not done.vouched_elsewhere:
        _tell_unknown(done, done.backup.signed.key_id)
    tell_problems(done.backup)
    if despite_problems:
        click.echo("What is in it was not checked. See what is wrong: smokehouse record check", err=True)
    if done.aside is not None:
        _tell_aside(done)


class _Vouched(TypedDict):
    """Who puts a backup back, and who vouches for it."""

    by: Callable[[Records], Hand] | None
    unsigned: str
    signed_by: str


def _check_for_server(more: bool) -> None:
    if more:
        raise BadData(
            "smokehouse restore",
            "on a server nothing is set aside, and what does not check is not put there",
            "an empty schema and a backup that checks",
            "`smokehouse site kitchen` makes a schema. Look at a doubtful backup in a file: --records FILE.",
        )


def _tell_unknown(done: Restored, key: str) -> None:
    """Say that only the backup itself speaks for the key that signed it."""
    note_unsigned(done.path, f"only the backup itself knows the key {key} that signed it")
    click.echo(
        f"It is signed with the key {key}, which is known from this backup alone. Compare it with "
        "your paper; to have it checked: --signed-by KEY. Until then it stands on the manager's desk."
    )


def _tell_aside(done: Restored) -> None:
    click.echo(f"The records that were there lie in {done.aside}.")
    if done.aside_head is None:
        click.echo("They could not be read.")
    elif done.aside_head.number > done.backup.head.number:
        more = done.aside_head.number - done.backup.head.number
        click.echo(
            f"They go {count_of(more, 'act')} further than the backup: what was done since is only there."
        )
    for person in done.back:
        click.echo(f"{person} had been erased and is back. Erase again: smokehouse erase {person}", err=True)
