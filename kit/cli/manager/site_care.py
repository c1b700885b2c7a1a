"""`smokehouse site health`, `site watch` and `site backup`: watching a server and caring for its records."""

import json
import sys
from pathlib import Path

import click

from kit.basics import places
from kit.basics.quantities import count_of
from kit.cli.acting import open_hand, opened, records_option
from kit.cli.manager.backup import contents, signature_words, tell_problems
from kit.records.upkeep.site_backup import JOURNAL, RetentionRule, run_backup
from kit.records.upkeep.site_health import CheckedChain, SiteHealth, check_chain_of, site_health

INBOX = click.option(
    "--inbox",
    type=click.Path(path_type=Path),
    help="Where books are handed in. By default the folder of this machine.",
)
_UNITS = {"h": "h", "s": "s"}


@click.command("health")
@INBOX
@click.option("--no-check", is_flag=True, help="Leave the check of the whole chain out: it may be long.")
@click.option("--json", "as_json", is_flag=True, help="Write one object of JSON.")
@records_option
def health_command(
    inbox: Path | None, no_check: bool, as_json: bool, records_file: str | Path | None
) -> None:
    """Say how the kitchen is: books waiting, takings, the chain, backups, errors. No name is shown.

    Ends with code 1 if anything is wrong or late.
    """
    with opened(records_file) as records:
        checked: CheckedChain | None = None if no_check else check_chain_of(records)
        found = site_health(records, inbox or places.handed_in_folder(), checked)
    if as_json:
        click.echo(json.dumps(found.as_json(), indent=1))
    else:
        tell_health(found)
    sys.exit(1 if found.wrong() else 0)


def tell_health(found: SiteHealth) -> None:
    """Say the figures, one a line, then what is wrong."""
    for name, value in found.as_json().items():
        if name in ("at", "wrong"):
            continue
        what, _, unit = name.rpartition("_")
        words = f"{what.replace('_', ' ')} [{unit}]" if unit in _UNITS else name.replace("_", " ")
        click.echo(f"{words:<22} {'not known' if value is None else f'{value:,}'}")
    for says in found.wrong() or ("All is well.",):
        click.echo(says)


@click.command("watch")
@click.option("--port", type=click.IntRange(0, 65535), default=9477, show_default=True, help="0: a free one.")
@INBOX
@click.option(
    "--check-every-h",
    type=click.FloatRange(0.1),
    default=24.0,
    show_default=True,
    help="How often the whole chain is checked, in h.",
)
@records_option
def watch_command(
    port: int, inbox: Path | None, check_every_h: float, records_file: str | Path | None
) -> None:
    """Serve /health and /metrics on this machine alone, until stopped.

    /health answers 200 if all is well, else 503, with what is wrong. /metrics is for Prometheus and needs the
    extra smokehouse-kit[site]. Nobody else's machine can ask: put a proxy with a password before it.
    """
    from kit.cli.manager.site_watch import watch

    with opened(records_file) as records:
        folder = inbox or places.handed_in_folder()
        watch(records, folder, port, check_every_h, lambda where: click.echo(f"Serving {where}/health"))


@click.command("backup")
@click.argument("folder", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--keep-days", type=int, default=35, show_default=True, help="So long each backup stays.")
@click.option("--keep-least", type=int, default=7, show_default=True, help="So many stay, however old.")
@click.option("--as", "as_name", metavar="NAME", help="Who signs it, with their key.")
@records_option
def backup_command(
    folder: Path, keep_days: int, keep_least: int, as_name: str | None, records_file: str | Path | None
) -> None:
    """Write a backup into FOLDER, put it back as a trial, and remove old ones by the rule. For a timer.

    Old ones go only after the new one served. Ends with code 1 if the records have problems.
    """
    rule = RetentionRule(keep_days, keep_least)
    with opened(records_file) as records:
        by = None if as_name is None else open_hand(records, as_name)
        done = run_backup(records, folder, rule, by=by)
        journal = records.path.with_name(JOURNAL)
    click.echo(f"Written to {done.made.path} in {done.made_s:.1f} s. {contents(done.made)}")
    click.echo(f"Put back as a trial in {done.tried_s:.1f} s: it serves.")
    click.echo(signature_words(done.made))
    removed = count_of(len(done.removed), "old backup")
    click.echo(f"{removed} removed; the rule and the names stand in {journal}.")
    tell_problems(done.made)
    sys.exit(1 if done.made.problems else 0)
