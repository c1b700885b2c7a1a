"""`smokehouse hand-in`: write the answer book for the tutor."""

from pathlib import Path

import click

from kit.cli.apprentice.people import ask_pin, choose
from kit.practice.handing_in import entries_words, hand_in


@click.command("hand-in")
@click.option("--as", "name", help="Who is handing in. Needed where several people share this machine.")
@click.option(
    "--to",
    "target",
    type=click.Path(path_type=Path),
    help="The file to write, or a folder. By default your name and today's date, in this folder.",
)
def command(name: str | None, target: Path | None) -> None:
    """Write your answer book to a file for the tutor, check the copy, and say what is in it.

    Your own book stays where it is and goes on.
    """
    person = choose(name)
    ask_pin(person)
    done = hand_in(person, target)
    words = f"{entries_words(done.entries)}, {done.answers} of them answers"
    click.echo(f"{person.name}: {words}, written to {done.file}")
    click.echo("Give this file to your tutor. What you do from now on goes into the next one.")
    for note in done.notes:
        click.echo(f"Note: {note}", err=True)
