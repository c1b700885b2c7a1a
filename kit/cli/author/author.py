"""`smokehouse author`: for those who write exercises, rules, explorers and lessons."""

from pathlib import Path

import click


@click.group("author")
def command() -> None:
    """Look at what you wrote, and fill the outputs of the answers."""


@command.command("look")
@click.argument("name")
@click.option("--seed", type=int, default=11, show_default=True, help="Which variant of an exercise to draw.")
@click.option("--rules", "profile", default="ie", show_default=True, help="The rules to draw under.")
@click.option(
    "--set", "settings", multiple=True, metavar="KEY=VALUE", help="A control of an explorer; may be repeated."
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Also write the picture to this .svg; a chart also to .png.",
)
def look(name: str, seed: int, profile: str, settings: tuple[str, ...], out: Path | None) -> None:
    """Show the exercise, rule or explorer called NAME, as it would be read."""
    from kit.cli.author.look import Preview, preview, write_picture

    made: Preview = preview(name, seed=seed, profile=profile, settings=settings)
    click.echo(made.text)
    if out is not None:
        write_picture(made, out)
        click.echo(f"\nThe picture is in {out}")


@command.command("fill")
@click.argument("notebooks", nargs=-1, type=click.Path(path_type=Path, exists=True, dir_okay=False))
def fill(notebooks: tuple[Path, ...]) -> None:
    """Run NOTEBOOKS and store what they print; without any, all in answers/ whose outputs are checked."""
    from kit.cli.author.fill import fill_outputs, filled_notebooks

    for path in notebooks or filled_notebooks():
        changed = fill_outputs(path)
        click.echo(f"{path.name}: {'filled' if changed else 'as it was'}")
