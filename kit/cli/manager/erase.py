"""`smokehouse erase`: erase what names a person, on request."""

import sys
from pathlib import Path

import click

from kit.basics.quantities import count_of
from kit.cli.acting import as_option, closed_hand, open_trusted_hand, opened, records_option
from kit.records.people import staff
from kit.records.upkeep.erase import Erased, check_erasing, erase_person

ELSEWHERE = (
    "Not erased: backups made before, records that a restore set aside (folders replaced-… beside the "
    "records), printed papers, and the person's own answer book. Delete them too, or note when they will go."
)


@click.command("erase")
@click.argument("person")
@click.option("--reason", default="", help="Why, if the retention time is not over. It must not name them.")
@click.option(
    "--retention-years",
    type=click.IntRange(0, 100),
    default=3,
    show_default=True,
    help="How long records are kept after somebody left. The kit's own figure: your local rule counts.",
)
@click.option("--yes", is_flag=True, help="Do not ask: for scripts.")
@as_option
@records_option
def command(
    person: str, reason: str, retention_years: int, yes: bool, as_name: str, records_file: str | Path | None
) -> None:
    """Erase the name, words and evidence of PERSON, as a manager. This cannot be undone.

    The signed rows stay under an id that names nobody, and the chain still checks.
    """
    with opened(records_file) as records:
        member = staff.find(records, person)
        closed = closed_hand(records, as_name, need_key=staff.trust_is_signed(records))
        check_erasing(closed, member.person, reason, retention_years=retention_years)
        if not yes and member.name != "(erased)":
            typed = click.prompt(
                f"This cannot be undone. Type the name to erase it ({member.name})", default=""
            )
            if typed.strip() != member.name:
                raise click.ClickException("That is not the name. Nothing was erased.")
        hand = open_trusted_hand(records, as_name)
        done = erase_person(hand, member.person, reason, retention_years=retention_years)
        aside = sorted(each.name for each in records.path.parent.glob("replaced-*"))
    _tell(done)
    if aside:
        click.echo(f"Here lie records that were set aside: {', '.join(aside)}.")
    if not done.bytes_gone and not done.server_keeps:
        sys.exit(1)


def _tell(done: Erased) -> None:
    if done.act is None:
        click.echo(f"{done.person} had been erased before. What was left over is gone.")
    else:
        click.echo(
            f"{done.person} is erased, as act {done.act.number}: {count_of(done.texts, 'text')}, "
            f"{count_of(done.lines, 'line')} of their book, {count_of(done.files, 'file')}."
        )
    if done.still_named:
        texts = count_of(done.still_named, "text")
        click.echo(f"Look at what was written about others and about batches: this name is in {texts}.")
    if done.in_chain:
        rows = count_of(done.in_chain, "signed row")
        click.echo(f"The name also stands in {rows}, such as the label of a batch. Those cannot be changed.")
    if done.server_keeps:
        click.echo(done.server_keeps)
    elif not done.bytes_gone:
        click.echo(
            "Old bytes may still lie in the file: another program has it open, or the disk is full. "
            "Close it and erase again.",
            err=True,
        )
    click.echo(ELSEWHERE)
