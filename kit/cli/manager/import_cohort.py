"""`smokehouse import-cohort`: people and decisions from before, from one table."""

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from kit.basics.quantities import count_of
from kit.cli.acting import as_option, open_hand, opened, records_option
from kit.records.people import staff
from kit.records.upkeep import bring_in_file
from kit.records.upkeep.cohort_table import CohortProblem, read_cohort

SHOWN = 60


@click.command("import-cohort")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--check", "only_check", is_flag=True, help="Record nothing: only list every problem.")
@click.option("--same-name-is-new", is_flag=True, help="Somebody who bears a known name is another person.")
@as_option
@records_option
def command(
    file: Path, only_check: bool, same_name_is_new: bool, as_name: str, records_file: Path | None
) -> None:
    """Enrol everybody in FILE and bring in what was decided before, all or nothing.

    FILE is a table as text, split by comma, semicolon or tab. Its first row names the columns, in any order:
    name, id, role, started; and for an earlier decision criterion, day, decided by, paper, reason. A person
    with several decisions has a row for each. A day is written like 2026-03-02.

    Decisions need a tutor with a key, and each of them wants a second signature. Ends with code 1 if there
    is any problem.
    """
    cohort = read_cohort(file)
    with opened(records_file) as records:
        need_key = cohort.decisions > 0 or staff.trust_is_signed(records)
        hand = open_hand(records, as_name, need_key=need_key)
        problems = bring_in_file.check(hand, cohort, same_name=same_name_is_new)
        if problems:
            _list(problems)
            sys.exit(1)
        if only_check:
            earlier = count_of(cohort.decisions, "earlier decision")
            click.echo(f"No problem found: {len(cohort.people)} people, {earlier}. Nothing was recorded.")
            return
        done = bring_in_file.import_cohort(hand, cohort, same_name=same_name_is_new)
    click.echo(f"{done.enrolled} enrolled, {count_of(done.decisions, 'earlier decision')} brought in.")
    if done.decisions:
        click.echo("A verifier is to sign each of these decisions too.")


def _list(problems: Sequence[CohortProblem]) -> None:
    for problem in problems[:SHOWN]:
        where = f"line {problem.line}: " if problem.line else ""
        click.echo(f"{where}{problem.says}")
    if len(problems) > SHOWN:
        click.echo(f"and {len(problems) - SHOWN} more")
    click.echo("Nothing was recorded.")
