"""`smokehouse join`: bring a kitchen's file to this machine, so that every task follows its rules."""

from pathlib import Path

import click

from kit.cli.wording import kitchen_summary
from kit.files.joined_kitchen import join


@click.command("join")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True, help="Leave another kitchen for this one.")
def command(file: Path, replace: bool) -> None:
    """Bring the kitchen FILE that your tutor gave you. Every task and verdict here then follows its rules.

    The first file is taken on trust: check with your tutor that the key shown is theirs. A later version must
    be signed by a tutor of the version before. An older version is refused.
    """
    kitchen, before = join(file, replace=replace)
    for line in kitchen_summary(kitchen):
        click.echo(line)
    if before is None:
        click.echo("This machine works under this kitchen from now on.")
        click.echo(f"Ask your tutor whether the key {kitchen.signed_by} is theirs.")
    elif before.id != kitchen.id:
        click.echo(f"This machine leaves {before.name} and works under this kitchen from now on.")
    elif before.version < kitchen.version:
        click.echo(f"Version {kitchen.version} takes the place of version {before.version}.")
    else:
        click.echo("This machine has this file already. Nothing was changed.")
    click.echo("Lessons that are open follow it once they are closed and opened again.")
