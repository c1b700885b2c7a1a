"""`smokehouse agree`: ten invented cases that several tutors judge alone, and how far they agree."""

from pathlib import Path

import click

from kit.basics.atomic_files import write_private
from kit.cli.acting import as_option, open_hand, opened, records_option, said

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.group("agree")
def command() -> None:
    """Judge ten invented cases, each tutor alone, and see how far you agree."""


@command.command("cases")
@click.option("--out", type=_FILE, default=Path("cases.html"), show_default=True, help="The page to write.")
@click.option("--sheet", type=_FILE, default=Path("sheet.csv"), show_default=True, help="The sheet to write.")
def cases(out: Path, sheet: Path) -> None:
    """Write the ten cases as a page, and a sheet to fill in: met, not met, or nothing."""
    from kit.statistics.invented_cases import empty_sheet
    from kit.views.tutor.case_page import case_page

    write_private(out, case_page().encode())
    write_private(sheet, empty_sheet())
    click.echo(f"Written to {out}, and the sheet to {sheet}: a copy for each tutor, named after them.")


@command.command("judge")
@click.argument("sheet", type=_FILE)
@as_option
@records_option
def judge(sheet: Path, as_name: str, records_file: str | Path | None) -> None:
    """Keep the ratings in your SHEET in the records, signed. It is done once, before you see the others'."""
    from kit.records.competence import judged_cases
    from kit.statistics.invented_cases import cases_print, invented_cases, read_ratings

    ratings = read_ratings(sheet)
    with opened(records_file) as records:
        known = [each.id for each in invented_cases()]
        said(judged_cases.judge_cases(open_hand(records, as_name), cases_print(), known, ratings))


@command.command("own")
@as_option
@records_option
def own(as_name: str, records_file: str | Path | None) -> None:
    """Show you alone how your signed ratings stand beside those of the others, who are not named."""
    from kit.records.competence import judged_cases
    from kit.statistics.invented_cases import beside, cases_print

    with opened(records_file) as records:
        hand = open_hand(records, as_name, need_key=False)
        with records.reading() as connection:
            told = judged_cases.judgements(connection, cases_print())
    for line in beside(told, hand.person).lines():
        click.echo(line)


@command.command("read")
@click.argument("sheets", type=_FILE, nargs=-1, required=True)
def read(sheets: tuple[Path, ...]) -> None:
    """Read the SHEETS of two tutors or more, and say how far they agree and on which cases they part."""
    from kit.basics.errors import BadData
    from kit.statistics.invented_cases import agreement, parted, read_ratings

    tutors = {each.stem: read_ratings(each) for each in sheets}
    if len(tutors) < len(sheets):
        raise BadData("the sheets", "two have one name", "a file a tutor, named after them")
    for figure in agreement(tutors):
        click.echo(figure)
    for case, ratings in parted(tutors):
        split = ", ".join(f"{ratings.count(each)} {each}" for each in dict.fromkeys(ratings))
        click.echo(f"{case.id}, {case.title}: {split}")
    click.echo("0 is chance, 1 is full agreement. It ranks nobody: talk about where you part.")
