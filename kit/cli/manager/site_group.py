"""`smokehouse site group`: kitchens side by side, in figures without names."""

import csv
import io
from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.basics.errors import BadData, KitError
from kit.basics.places import is_address
from kit.cli.acting import opened
from kit.records.competence.kitchen_figures import KitchenFigures, kitchen_figures


@click.command("group")
@click.option(
    "--kitchen",
    "kitchens",
    nargs=2,
    multiple=True,
    required=True,
    metavar="NAME PLACE",
    help="What to call a kitchen, and its records: a file or an address. The role NAME_reader is enough.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Also write a CSV file.")
def group_command(kitchens: tuple[tuple[str, str], ...], out: Path | None) -> None:
    """Show kitchens side by side: crew, decisions, what is overdue, appeals, agreement.

    A kitchen that cannot be reached is named, and the others are shown. Ends with code 1 then.
    """
    names = [name for name, _ in kitchens]
    if len(set(names)) < len(names):
        raise BadData("the kitchens", "two bear one name", "a name for each")
    today = datetime.now().astimezone().date()
    found: dict[str, KitchenFigures] = {}
    missing = []
    for name, place in kitchens:
        try:
            where = place if is_address(place) else Path(place)
            with opened(where) as records, records.reading() as connection:
                found[name] = kitchen_figures(connection, today)
        except KitError as error:
            missing.append(f"{name}: {error}")
    rows = group_rows(found)
    if found:
        widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
        for first, *others in rows:
            cells = [cell.rjust(width) for cell, width in zip(others, widths[1:], strict=True)]
            click.echo("  ".join([first.ljust(widths[0]), *cells]))
    for each in missing:
        click.echo(each, err=True)
    if out is not None:
        text = io.StringIO()
        csv.writer(text, lineterminator="\r\n").writerows(rows)
        write_private(out, text.getvalue().encode("utf-8-sig"))
    raise SystemExit(1 if missing else 0)


def group_rows(found: Mapping[str, KitchenFigures]) -> list[list[str]]:
    """Return a table: a figure a line, a kitchen a column; the first line holds the kitchens' names."""
    told = [asdict(each) | {"agreed_pct": each.agreed_pct} for each in found.values()]
    rows = [["kitchen", *found]]
    for name in told[0] if told else ():
        words = name.replace("_pct", " [%]").replace("_", " ")
        rows.append([words, *("too few" if each[name] is None else f"{each[name]:,}" for each in told)])
    return rows
