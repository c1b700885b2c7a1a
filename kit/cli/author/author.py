"""`smokehouse author`: for those who write exercises, rules, explorers and lessons."""

import contextlib
import os
from pathlib import Path

import click


@click.group("author")
def command() -> None:
    """Begin an exercise, look at it, check it, and fill the outputs of the answers."""


@command.command("new")
@click.argument("where", metavar="LESSON|PROFILE")
@click.argument("name", metavar="ID")
@click.option(
    "--sort",
    type=click.Choice(["exercise", "explorer", "rule", "lesson"]),
    default="exercise",
    show_default=True,
    help="What to begin. A rule goes to a profile, the others to a lesson; a lesson has a new number.",
)
@click.option(
    "--kind",
    type=click.Choice(["number", "one", "several", "order", "match"]),
    default="number",
    show_default=True,
    help="How an exercise is answered.",
)
@click.option("--criterion", default="", help="The knowledge criterion that an exercise serves.")
def new(where: str, name: str, sort: str, kind: str, criterion: str) -> None:
    """Begin the exercise ID in a LESSON (its number), a whole lesson, or a rule in a PROFILE: a skeleton."""
    from kit.basics.errors import BadData
    from kit.cli.author.new import begin_exercise, begin_explorer, begin_lesson, begin_rule

    if sort == "rule":
        begun = begin_rule(where, name)
    elif not where.isdigit():
        raise BadData("lesson", f"{where!r} is no number", "the number of a lesson, such as 5")
    elif sort == "lesson":
        begun = begin_lesson(int(where), name)
    elif sort == "explorer":
        begun = begin_explorer(int(where), name)
    else:
        begun = begin_exercise(int(where), name, kind=kind, criterion=criterion)
    for file in begun.files:
        click.echo(f"Written: {os.path.relpath(file)}")
    click.echo("Write each line that begins with WRITE. Then, one after the other:")
    for line in begun.next:
        click.echo(f"  {line}")


@command.command("look")
@click.argument("name")
@click.option("--seed", type=int, default=11, show_default=True, help="Which variant of an exercise to draw.")
@click.option(
    "--variants", type=click.IntRange(1, 60), default=3, show_default=True, help="How many variants to show."
)
@click.option("--rules", "profile", default="ie", show_default=True, help="The rules to draw under, or: all.")
@click.option(
    "--set", "settings", multiple=True, metavar="KEY=VALUE", help="A control of an explorer; may be repeated."
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Also write the picture to this .svg; a chart also to .png.",
)
@click.option("--again", is_flag=True, help="Show it again whenever its file is saved, until Ctrl-C.")
@click.option(
    "--page",
    is_flag=True,
    help="Show all of it in the browser, anew at every save: 20 variants under each rules, faults, figures.",
)
@click.option(
    "--page-in", "folder", type=click.Path(path_type=Path), help="Only write that page, into this folder."
)
def look(
    name: str,
    seed: int,
    variants: int,
    profile: str,
    settings: tuple[str, ...],
    out: Path | None,
    again: bool,
    page: bool,
    folder: Path | None,
) -> None:
    """Show the exercise, rule or explorer called NAME, or a lesson by its number, as it would be read."""
    from kit.cli.author.look import Preview, again_on_save, preview, write_picture

    if page or folder is not None:
        _look_in_browser(name, folder, follow=page)
        return
    if again:
        again_on_save(name)
        return
    made: Preview = preview(name, seed=seed, variants=variants, profile=profile, settings=settings)
    click.echo(made.text)
    if out is not None:
        write_picture(made, out)
        click.echo(f"\nThe picture is in {out}")


def _look_in_browser(name: str, folder: Path | None, *, follow: bool) -> None:
    import tempfile
    import webbrowser

    from kit.cli.author.look_page import follow_saves, write_page

    with contextlib.ExitStack() as kept:
        room = folder or Path(kept.enter_context(tempfile.TemporaryDirectory(prefix="smokehouse-look-")))
        page = write_page(name, room)
        click.echo(f"The page: {page}")
        if follow:
            webbrowser.open(page.absolute().as_uri())
            click.echo("Waiting for the next save. Ctrl-C ends it.")
            follow_saves(name, room)


@command.command("check")
@click.argument("names", nargs=-1, required=True, metavar="ID...")
@click.pass_context
def check(context: click.Context, names: tuple[str, ...]) -> None:
    """Say what is still wrong with each exercise, rule, explorer or lesson; ends with 1 if anything is."""
    from kit.cli.author.check import faults_of

    found = {name: faults_of(name) for name in names}
    for name, faults in found.items():
        click.echo(f"{name}: {'no fault found' if not faults else ''}".rstrip(" :"))
        for fault in faults:
            click.echo(f"  to mend: {fault}")
    if any(found.values()):
        context.exit(1)


@command.command("fill")
@click.argument("notebooks", nargs=-1, type=click.Path(path_type=Path, exists=True, dir_okay=False))
def fill(notebooks: tuple[Path, ...]) -> None:
    """Run NOTEBOOKS and store what they print; without any, all in answers/ whose outputs are checked."""
    from kit.cli.author.fill import fill_outputs, filled_notebooks

    for path in notebooks or filled_notebooks():
        changed = fill_outputs(path)
        click.echo(f"{path.name}: {'filled' if changed else 'as it was'}")


@command.command("language")
@click.argument("code")
@click.option("--all", "everything", is_flag=True, help="Name every text that is missing or wrong.")
@click.option(
    "--drawn", is_flag=True, help="The other catalogue: what code composes for pictures and reports."
)
@click.pass_context
def language(context: click.Context, code: str, everything: bool, drawn: bool) -> None:
    """Make or refresh the catalogue of the language CODE, and say what it lacks; ends with 1 if anything."""
    from kit.cli.author.language import refresh, state_words
    from kit.languages import catalogue_file
    from kit.languages.language import DRAWN

    state, file = refresh(code, drawn=drawn), catalogue_file(code)
    click.echo(f"Written: {os.path.relpath(file.with_name(DRAWN) if drawn else file)}")
    for line in state_words(state, state.texts if everything else 5):
        click.echo(line)
    if state.missing or state.changed or state.faulty:
        context.exit(1)
