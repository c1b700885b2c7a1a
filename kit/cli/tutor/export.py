"""`smokehouse export`: answers, progress, criteria and questions in open formats, for another system."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

import click

from kit.basics.atomic_files import write_private
from kit.cli.acting import acted, as_option, opened, records_option, said

_F = TypeVar("_F", bound=Callable[..., Any])
_FILE = click.Path(path_type=Path, dir_okay=False)


def _out(default: str) -> Callable[[_F], _F]:
    return click.option(
        "--out", type=_FILE, default=Path(default), show_default=True, help="The file to write."
    )


@click.group("export")
def command() -> None:
    """Write answers and decisions, the criteria or the questions in open formats, for another system."""


@command.command("consent")
@click.argument("name")
@click.option(
    "--agrees/--withdraws", required=True, help="Whether the apprentice agrees, or does so no longer."
)
@click.option(
    "--to",
    type=click.Choice(["statements", "progress"]),
    default="statements",
    show_default=True,
    help="What they agree to: answers and decisions without the name, or progress with it.",
)
@as_option
@records_option
def consent(name: str, agrees: bool, to: str, as_name: str, records_file: str | Path | None) -> None:
    """Record that NAME agrees that their answers and decisions go to another system, or does so no longer."""
    from kit.records.competence import certifying
    from kit.records.people import staff
    from kit.records.reports.open_records import HOLDS, PROGRESS_HOLDS

    with opened(records_file) as records:
        click.echo(f"The file holds {PROGRESS_HOLDS if to == certifying.PROGRESS else HOLDS}.")
        person = staff.find(records, name).person
        said(acted(records, as_name, lambda hand: certifying.consent(hand, person, agrees, to)))


@command.command("attempts")
@click.option("--person", help="Only one person: a name, or the id or its start.")
@click.option("--home", help="The address under which accounts and questions are named: https://…")
@_out("statements.json")
@records_option
def attempts(person: str | None, home: str | None, out: Path, records_file: str | Path | None) -> None:
    """Write answers, sittings and decisions as xAPI statements, of those who agreed and of nobody else."""
    from kit.basics.errors import OutOfRange
    from kit.files.statements import HOME, write_statements
    from kit.records.people import staff
    from kit.records.reports.open_records import HOLDS, open_records_of, who_agreed

    if home is not None and not home.startswith("https://"):
        raise OutOfRange("--home", home, "an address that begins with https://")
    with opened(records_file) as records:
        click.echo(f"The file will hold {HOLDS}.")
        people, others = who_agreed(records, staff.find(records, person).person if person else "")
        if others:
            click.echo(f"Left out: {others} who did not agree.")
        found = list(write_statements(open_records_of(records, people), (home or HOME).rstrip("/")))
        write_private(out, b"".join(found))
    click.echo(f"Written to {out}: {len(found) - 1} statements of {len(people)} people.")


@command.command("progress")
@_out("progress.csv")
@click.option("--weeks", type=_FILE, help="A second file to write: what was new in each week.")
@records_option
def progress(out: Path, weeks: Path | None, records_file: str | Path | None) -> None:
    """Write how far each person has come in each step, for who plans the staff: a CSV.

    With a forecast, and what is to be refreshed by when.

    Only of those who agreed to that (`export consent --to progress`).
    """
    from kit import statistics, tables
    from kit.records.competence.certifying import PROGRESS
    from kit.records.reports.open_records import PROGRESS_HOLDS, who_agreed
    from kit.tables.frames import called

    with opened(records_file) as records:
        click.echo(f"The file will hold {PROGRESS_HOLDS}.")
        people, others = who_agreed(records, to=PROGRESS)
        names = called(records, True)
        decided = tables.decisions(records, names=True)
        begun = statistics.begun_days(
            *(make(records, names=True) for make in (tables.attempts, tables.observations)), decided
        )
    decided = decided[decided["person"].isin([names[one] for one in people])]
    mastered = statistics.steps_mastered(decided)
    ahead = statistics.forecast(mastered, begun, datetime.now().astimezone().date())
    table = mastered.merge(ahead, on=["person", "step"], how="left")
    table = table.merge(statistics.refreshers(decided), on=["person", "step"], how="left")
    counts = dict.fromkeys(["left", "hold", "due", "run_out"], "Int64")
    table = table.astype(counts)
    if weeks is not None:
        by_week = statistics.progress_by_week(decided)
        write_private(weeks, by_week.to_csv(index=False, date_format="%Y-%m-%d").encode("utf-8-sig"))
    write_private(out, table.to_csv(index=False, date_format="%Y-%m-%d").encode("utf-8-sig"))
    if others:
        click.echo(f"Left out: {others} who did not agree.")
    band = f"{statistics.BAND:.0%}".replace("%", " %")
    click.echo(
        f"Written to {out}. A forecast holds {band} of the time, if the pace stays. It decides nothing."
    )


@command.command("criteria")
@click.option("--creator", default="", help="Who gives them out: what your kitchen calls itself.")
@_out("criteria.json")
def criteria(creator: str, out: Path) -> None:
    """Write the criteria as a CASE package. It holds nothing about a person."""
    from kit import criteria as ours
    from kit.files.criteria_package import write_criteria

    found = ours.load()
    write_private(out, write_criteria(found, datetime.now(UTC), creator.strip() or "A smokehouse"))
    click.echo(f"Written to {out}: {len(found)} criteria. It holds nothing about a person.")


@command.command("questions")
@click.option("--lesson", type=click.IntRange(0), help="Only one lesson. Default: all.")
@click.option(
    "--variants",
    type=click.IntRange(1, 20),
    default=1,
    show_default=True,
    help="How many of each exercise, with other numbers.",
)
@_out("questions.zip")
def questions(lesson: int | None, variants: int, out: Path) -> None:
    """Write the questions as a QTI 3 package, each with fixed numbers, its answer and its feedback.

    It holds nothing about a person. It holds the answers: keep it from those who learn.
    """
    from kit import exercises
    from kit.basics.errors import UnknownName
    from kit.files.packed_question import packed, why_not
    from kit.files.question_package import write_questions

    names = [name for name in exercises.ids() if lesson is None or exercises.info(name).lesson == lesson]
    if not names:
        known = sorted({exercises.info(name).lesson for name in exercises.ids()})
        raise UnknownName("lesson", str(lesson), list(map(str, known)))
    drawn = [exercises.question(name, seed) for name in names for seed in range(1, variants + 1)]
    fit = [packed(each, exercises.info(each.exercise).title) for each in drawn if not why_not(each)]
    write_private(out, write_questions(fit))
    left: dict[str, dict[str, None]] = defaultdict(dict)
    for each in drawn:
        if why := why_not(each):
            left[why][each.exercise] = None
    click.echo(f"Written to {out}: {len(fit)} questions. It holds the answers, and nothing about a person.")
    click.echo("Another system marks all or nothing; our half marks and safety points stay here.")
    for why, those in left.items():
        click.echo(f"Left out, {len(those)}, as {why}: {', '.join(those)}.")
