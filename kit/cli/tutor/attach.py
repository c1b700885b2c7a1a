"""`smokehouse attach`: keep a photo, a logger's file or a paper as evidence."""

from pathlib import Path
from typing import Any

import click

from kit import rules
from kit.cli.acting import as_option, open_hand, opened, records_option
from kit.cli.tutor.log_options import judged_how, log_options
from kit.records.evidence.kept_files import Attached, attach
from kit.records.people import staff


@click.command("attach")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--person", required=True, help="Whom it is about: a name or an id.")
@click.option(
    "--kind",
    type=click.Choice(["photo", "logger", "weights", "paper"]),
    default="photo",
    show_default=True,
    help="What it is.",
)
@log_options
@click.option("--strip-place", is_flag=True, help="Take the place out of a photo before it is kept.")
@as_option
@records_option
def command(
    file: Path, person: str, kind: Any, as_name: str, records_file: str | Path | None, **more: Any
) -> None:
    """Keep a copy of FILE as evidence about a person, and print the number it is known by.

    Give that number to `smokehouse record observe --file`. A logger's file is judged by the rules at once, as
    `smokehouse check-log` does it.
    """
    profile = rules.load_house(more["house"]) if more["house"] else more["profile"]
    with opened(records_file) as records:
        hand = open_hand(records, as_name, need_key=False)
        who = staff.find(records, person)
        found = attach(
            hand,
            file,
            who.person,
            kind,
            profile,
            strip_place=more["strip_place"],
            **judged_how(more),
        )
    _tell(found, who.name)


def _tell(found: Attached, name: str) -> None:
    what = "Kept" if found.new else "Kept before"
    click.echo(f"{what} for {name}: {found.media_type}, {found.size:,} bytes.")
    for line in found.says:
        click.echo(f"  {line}")
    for verdict in found.verdicts:
        number = (
            "" if verdict["measured"] is None else f" measured {verdict['measured']:g} {verdict['unit']},"
        )
        limit = "" if verdict["limit"] is None else f" limit {verdict['limit']:g} {verdict['unit']};"
        memory = "" if verdict["seen"] else " (from memory: confirm)"
        click.echo(f"  {verdict['outcome']}: {verdict['rule']};{number}{limit} {verdict['source']}{memory}")
    if found.verdicts:
        click.echo(
            "  Each line speaks of one named rule. The competent person decides what happens to the fish."
        )
    click.echo(found.sha256)
