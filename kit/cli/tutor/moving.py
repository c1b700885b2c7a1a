"""`smokehouse record give`, `record bring` and `record elsewhere`: a person moves to another kitchen."""

from pathlib import Path

import click

from kit.basics.errors import BadData
from kit.basics.quantities import count_of
from kit.basics.typed_text import shown_text
from kit.cli.acting import acted, as_option, open_hand, opened, records_option
from kit.files.carried_record import check_known, read_carried
from kit.files.joined_kitchen import joined
from kit.files.kitchen_file import read_kitchen
from kit.records.people import staff
from kit.records.upkeep.moving_kitchen import bring_record, give_record, seen_elsewhere

FILE = click.argument("file", type=click.Path(path_type=Path))


@click.command("give")
@click.argument("name")
@FILE
@click.option("--from", "kitchen", default="", help="What this kitchen is called, if it has no kitchen file.")
@as_option
@records_option
def give(name: str, file: Path, kitchen: str, as_name: str, records_file: str | Path | None) -> None:
    """Write all that was seen and decided about NAME to the signed FILE for their next kitchen.

    Ask NAME first: it names them and those who signed. Their answer book is their own: they take it along.
    """
    here = joined()
    called = kitchen.strip() or ("" if here is None else here.name)
    if not called:
        raise BadData("this kitchen", "it has no name here", "--from NAME, or a kitchen file")
    with opened(records_file) as records:
        person = staff.find(records, name).person
        made = give_record(open_hand(records, as_name), person, called, file)
    click.echo(f"Written to {file}: {count_of(len(made.acts), 'act')} about {made.name}, signed.")
    click.echo(f"Write this key on paper and let it go another way than the file: {made.key_id}")


@click.command("bring")
@FILE
@click.argument("name")
@click.option(
    "--kitchen",
    "kitchen_file",
    type=click.Path(path_type=Path),
    help="The other kitchen's file, which came by itself: it names who signs there.",
)
@click.option("--signed-by", default="", metavar="KEY", help="The key that signed it, from a paper.")
@as_option
@records_option
def bring(
    file: Path,
    name: str,
    kitchen_file: Path | None,
    signed_by: str,
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Keep what FILE says about NAME, each act as seen elsewhere. NAME is on file here already.

    It counts for nothing by itself: look, observe and decide here. Give --kitchen or --signed-by: only what
    came another way tells whose file it is.
    """
    record = read_carried(file)
    check_known(record, signed_by, None if kitchen_file is None else read_kitchen(kitchen_file))
    with opened(records_file) as records:
        person = staff.find(records, name).person
        kept = acted(records, as_name, lambda hand: bring_record(hand, person, record))
    old = len(record.acts) - len(kept)
    whose = shown_text(record.kitchen)
    click.echo(f"{count_of(len(kept), 'act')} of {whose} kept as seen elsewhere, {old} here before.")
    click.echo(f"To see them: smokehouse record elsewhere {name!r}")


@click.command("elsewhere")
@click.argument("name")
@records_option
def elsewhere(name: str, records_file: str | Path | None) -> None:
    """Show what other kitchens saw and decided about NAME. None of it counts here by itself."""
    with opened(records_file) as records:
        found = seen_elsewhere(records, staff.find(records, name).person)
    for one in found:
        what = " ".join(part for part in (one.kind, one.criterion, one.says) if part)
        proof = "signature fits" if one.signed else "SIGNATURE DOES NOT FIT"
        whose = f"{one.kitchen}, {one.day.isoformat()}, {one.maker}"
        click.echo(shown_text(f"act {one.act}: {whose}: {what} (act {one.number} there, {proof})"))
    click.echo(f"{count_of(len(found), 'act')} seen elsewhere.")
