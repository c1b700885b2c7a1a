"""`smokehouse bring-in`: people and decisions from before, from one table."""

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from kit.basics.errors import BadData
from kit.basics.quantities import count_of
from kit.cli.acting import open_hand, opened, records_option
from kit.records import Records
from kit.records.people import staff
from kit.records.upkeep import bring_in_file, crew_table
from kit.records.upkeep.crew_table import CrewTable, CrewTableFault, read_crew_table

SHOWN = 60


@click.command("bring-in")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--template", is_flag=True, help="Write the table to fill in to FILE, and do nothing else.")
@click.option("--check", "only_check", is_flag=True, help="Record nothing: only list every problem.")
@click.option("--same-name-is-new", is_flag=True, help="Somebody who bears a known name is another person.")
@click.option("--as", "as_name", default="", help="Who acts: the name or id of somebody with a role here.")
@records_option
def command(
    file: Path,
    template: bool,
    only_check: bool,
    same_name_is_new: bool,
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Take everybody on in FILE and bring in what was decided before, all or nothing.

    FILE is a table as text, split by comma, semicolon or tab. Its first row names the columns, in any order:
    name, id, role, started; and for an earlier decision criterion, day, decided by, paper, reason. A person
    with several decisions has a row for each. A day is written like 2026-03-02.

    Decisions need a tutor with a key, and each of them wants a second signature. Ends with code 1 if there
    is any problem.
    """
    if template:
        _write_template(file)
        return
    if not as_name and not only_check:
        raise click.UsageError("Missing option '--as': who brings them in?")
    crew = read_crew_table(file)
    with opened(records_file) as records:
        need_key = bool(crew.criteria) or staff.trust_is_signed(records)
        closed = _checker(records, as_name, crew)
        problems = bring_in_file.check(closed, crew, same_name=same_name_is_new)
        if problems:
            _list(problems)
            sys.exit(1)
        if only_check:
            earlier = count_of(crew.decisions, "earlier decision")
            click.echo(f"No problem found: {len(crew.people)} people, {earlier}. Nothing was recorded.")
            return
        hand = open_hand(records, as_name, need_key=need_key)
        done = bring_in_file.bring_in(hand, crew, same_name=same_name_is_new)
    click.echo(f"{done.enrolled} taken on, {count_of(done.decisions, 'earlier decision')} brought in.")
    if done.decisions:
        click.echo("A verifier is to sign each of these decisions too.")


def _checker(records: Records, as_name: str, crew: CrewTable) -> staff.Hand:
    """Return who rehearses it: the person named, else somebody whose role lets them. No key is opened."""
    if as_name:
        return bring_in_file.as_if_signed(open_hand(records, as_name, need_key=False))
    wanted = "tutor" if crew.criteria else "manager"
    fit = [one for one in staff.members(records) if wanted in one.roles]
    fit.sort(key=lambda one: "manager" not in one.roles)  # who may take anybody on comes first
    hands = [bring_in_file.as_if_signed(staff.Hand(records, one.person)) for one in fit]
    if not hands:
        raise BadData("--as", f"there is no {wanted} here", "the name of whoever will bring them in")
    found = next((n for n, hand in enumerate(hands) if hand.key is not None), 0)
    click.echo(f"Checked as {fit[found].name} would bring them in.")
    return hands[found]


def _write_template(file: Path) -> None:
    try:
        with file.open(
            "x", encoding="utf-8-sig", newline=""
        ) as out:  # the mark tells a spreadsheet it is UTF-8
            out.write(crew_table.template())
    except FileExistsError:
        raise BadData(
            str(file), "this file is there already", "another name", "It was left as it is."
        ) from None
    click.echo(f"{file} is written. Fill it in, then: smokehouse bring-in {file} --check")


def _list(problems: Sequence[CrewTableFault]) -> None:
    for problem in problems[:SHOWN]:
        where = f"line {problem.line}: " if problem.line else ""
        click.echo(f"{where}{problem.says}")
    if len(problems) > SHOWN:
        click.echo(f"and {len(problems) - SHOWN} more")
    click.echo("Nothing was recorded.")
