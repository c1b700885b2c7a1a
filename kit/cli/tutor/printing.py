"""`smokehouse print`: tasks to work on paper, and cards of the kitchen's own limits for the wall."""

from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.basics.errors import BadData, OutOfRange
from kit.cli.output_files import ending_of
from kit.files.joined_kitchen import joined, rules_in_force

_FILE = click.Path(path_type=Path, dir_okay=False)
_RULES = click.option(
    "--rules", "profile", help="A rule profile, such as uk. By default those of your kitchen."
)


@click.group("print")
def command() -> None:
    """Write work sheets and limit cards to print."""


@command.command("tasks")
@click.argument("what", nargs=-1, required=True, metavar="LESSON|ID...")
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="The first variant.")
@click.option(
    "--variants", type=click.IntRange(1, 20), default=1, show_default=True, help="How many of each."
)
@click.option("--out", type=_FILE, default="work_sheet.pdf", show_default=True, help="The sheet to write.")
@_RULES
def tasks(what: tuple[str, ...], seed: int, variants: int, out: Path, profile: str | None) -> None:
    """Write tasks to work on paper, of a LESSON (its number) or by their IDs; the answers go apart.

    Tasks that need a page to touch, or a batch to run, are left out.
    """
    from kit.records.reports.work_sheet_pdf import answer_sheet_pdf, on_paper, work_sheet_pdf
    from kit.views.pictures.on_paper import png_of

    ending_of(out, (".pdf",))
    names = [name for each in what for name in _exercises(each)]
    rules = rules_in_force(profile)
    questions = on_paper(names, seed, variants, rules)
    if not questions:
        raise BadData(
            " ".join(what), "none of these tasks can be worked on paper", "a task with words or numbers"
        )
    title = f"Lesson {what[0]}" if len(what) == 1 and what[0].isdigit() else "Tasks to practise"
    code = f"{' '.join(what)[:40]}, variant {seed} on; rules {rules.id} {rules.fingerprint[:8]}"
    answers = out.with_stem(f"{out.stem}_answers")
    write_private(out, work_sheet_pdf(title, code, questions, png_of))
    write_private(answers, answer_sheet_pdf(title, code, questions))
    left = len(names) * variants - len(questions)
    click.echo(f"Written: {out}, {len(questions)} tasks; for the tutor: {answers}")
    if left:
        click.echo(f"Left out: {left} that need a page to touch or a batch to run.")


def _exercises(asked: str) -> tuple[str, ...]:
    from kit import exercises

    if not asked.isdigit():
        return (exercises.info(asked).id,)
    found = exercises.ids(int(asked))
    if not found:
        raise OutOfRange("lesson", int(asked), "a lesson with exercises")
    return found


@command.command("cards")
@click.option("--out", type=_FILE, default="limit_cards.pdf", show_default=True, help="The file to write.")
@_RULES
def cards(out: Path, profile: str | None) -> None:
    """Write a card of A6 for each limit of the kitchen: large letters, and where the limit stands."""
    from kit.records.reports.limit_cards_pdf import limit_cards_pdf, limits_of

    ending_of(out, (".pdf",))
    rules, kitchen = rules_in_force(profile), joined()
    name = kitchen.name if kitchen is not None and profile is None else ""
    write_private(out, limit_cards_pdf(rules, kitchen=name))
    click.echo(
        f"Written: {out}, {len(list(limits_of(rules)))} cards of A6. Print them anew when a rule changes."
    )
