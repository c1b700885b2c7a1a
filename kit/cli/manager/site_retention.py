"""`smokehouse site retention`: how long records of leavers stay, and the job that follows the rule."""

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import click

from kit.basics.quantities import count_of
from kit.cli.acting import acted_with_trust, opened, records_option, said
from kit.records.people.retention_rule import LONGEST_YEARS, rule_in_force
from kit.records.storage.store import Records
from kit.records.upkeep.erase import SERVER_KEEPS
from kit.records.upkeep.retention import GRACE, due, run_retention, set_retention

_SOON = timedelta(days=60)


@click.command("retention")
@click.option("--set-years", type=click.IntRange(1, LONGEST_YEARS), help="Keep records of leavers so long.")
@click.option("--end", is_flag=True, help="End the rule: nobody's records run out by themselves.")
@click.option("--as", "as_name", metavar="NAME", help="The manager who sets or ends the rule.")
@click.option("--run", "do_run", is_flag=True, help="Erase whose time is over, by the rule. For a timer.")
@records_option
def retention_command(
    set_years: int | None, end: bool, as_name: str | None, do_run: bool, records_file: str | Path | None
) -> None:
    """Say how long records of leavers stay, and whose time is over soon; or set the rule, or follow it.

    A manager signs the rule once. Without one nothing runs out. Whoever had a key here is never under it.
    People are shown by their ids. What the rule erases does not come back: set it to what your law asks.
    """
    if (set_years is not None) + end + do_run > 1:
        raise click.UsageError("--set-years, --end and --run are three things: one at a time.")
    with opened(records_file) as records:
        if set_years is not None or end:
            if as_name is None:
                raise click.UsageError("A manager signs this: --as NAME.")
            said(acted_with_trust(records, as_name, lambda hand: set_retention(hand, set_years)))
        if do_run:
            _run(records)
        else:
            _show(records)


def _show(records: Records) -> None:
    with records.reading() as connection:
        rule, listed = rule_in_force(connection), due(connection)
    if rule is None:
        click.echo("No rule stands: nobody's records run out by themselves.")
        return
    click.echo(f"Records of leavers stay for {count_of(rule.years, 'year')}, by act {rule.act}.")
    soon = (datetime.now(UTC) + _SOON).astimezone().date()
    for one in listed:
        if one.until <= soon:
            click.echo(f"{one.person}: to be erased on {(one.until + GRACE).isoformat()} or later")
    click.echo(f"{count_of(len(listed), 'leaver')} under the rule.")


def _run(records: Records) -> None:
    done = run_retention(records)
    if done is None:
        click.echo("No rule stands. Nobody was erased.")
        return
    for person in done.erased:
        click.echo(f"{person}: erased by act {done.rule}")
    for person, why in done.waits:
        click.echo(f"{person}: waits. {why}", err=True)
    click.echo(f"{count_of(len(done.erased), 'leaver')} erased, {len(done.waits)} waiting.")
    if done.erased:
        click.echo("Backups hold them until they are thinned out, and so do records that were set aside.")
        if records.address:
            click.echo(SERVER_KEEPS)
    sys.exit(1 if done.waits else 0)
