"""`smokehouse paper`: test papers, from the plan to a signed result."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from kit.basics.atomic_files import write_private
from kit.basics.errors import BadData
from kit.cli.acting import as_option, open_hand, opened, records_option, said

if TYPE_CHECKING:
    from kit.marking.model import Question
    from kit.records import Records
    from kit.records.competence.papers import PaperResult, TestPaper

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.group("paper")
def command() -> None:
    """Plan, draw, print, sit and mark test papers. A signed result is a supervised sitting."""


@command.command("plan")
@click.argument("steps", nargs=-1, required=True)
@click.option("--minutes", type=int, help="How long it lasts. By default 2.5 min a task.")
@click.option(
    "--cut", "cut_pct", type=float, default=80.0, show_default=True, help="Points that must be reached, in %."
)
@click.option(
    "--out", type=_FILE, default=Path("paper_plan.toml"), show_default=True, help="The file to write."
)
def plan(steps: tuple[str, ...], minutes: int | None, cut_pct: float, out: Path) -> None:
    """Write a plan for a paper on these STEPS, such as cook chill. Edit the file as you like."""
    from kit.exercises.catalogue import Catalogue
    from kit.files.paper_plan import plan_of, plan_text, plan_words

    made = plan_of(Catalogue(), steps, minutes=minutes, cut_pct=cut_pct)
    write_private(out, plan_text(made).encode("utf-8"))
    for line in plan_words(made, Catalogue()):
        click.echo(line)
    click.echo(f"Written to {out}")


@command.command("draw")
@click.argument("plan_file", type=_FILE)
@click.option("--for", "names", multiple=True, required=True, help="For whom. May be repeated.")
@click.option(
    "--extra", "extra", multiple=True, metavar="NAME=MIN", help="Agreed extra time, such as 'Ida Moor=10'."
)
@as_option
@records_option
def draw(
    plan_file: Path,
    names: tuple[str, ...],
    extra: tuple[str, ...],
    as_name: str,
    records_file: str | Path | None,
) -> None:
    """Draw a paper for each person: the same exercises, other variants, none that they practised."""
    from kit.exercises.catalogue import Catalogue
    from kit.files.paper_plan import read_plan
    from kit.records.competence import papers
    from kit.records.people import staff
    from kit.views.tutor.form_paper import extra_of
    from kit.views.tutor.paper_facility import measured_hardness

    planned = read_plan(plan_file, Catalogue())
    with opened(records_file) as records:
        people = [staff.find(records, name) for name in names]
        more = {staff.find(records, who).person: minutes for who, minutes in map(extra_of, extra)}
        hand = open_hand(records, as_name)
        ids = [one.person for one in people]
        drawn = papers.draw(hand, planned, ids, extra_min=more, facility=measured_hardness(records))
    for one, paper in zip(people, drawn, strict=True):
        _tell_drawn(one.name, paper)
    click.echo("All have the same exercises, so they differ in difficulty only as variants do.")
    click.echo(_hardness(drawn[0]))


@command.command("list")
@click.argument("name", required=False)
@records_option
def show(name: str | None, records_file: str | Path | None) -> None:
    """List the papers that were drawn, for NAME or for all, and what became of each."""
    from kit.records.competence import papers
    from kit.records.people import staff

    with opened(records_file) as records:
        who = None if name is None else staff.find(records, name).person
        with records.reading() as connection:
            listed = [
                (staff.name_of(connection, paper.person), paper, act)
                for paper, act in papers.papers(connection, who)
            ]
    for person, paper, act in listed:
        sat = None if act is None else act.facts["sat"]
        ended = "not marked"
        if act is not None and sat is not None:
            ended = f"{'passed' if sat['passed'] else 'not passed'}, act {act.number}"
        click.echo(f"{paper.id}  {paper.day}  {person}, {len(paper.tasks)} tasks: {ended}")
    if not listed:
        click.echo("No paper was drawn yet.")


@command.command("print")
@click.argument("paper_id")
@click.option("--out", type=_FILE, help="The paper to write. By default PAPER_ID.pdf.")
@click.option("--kitchen", default="", help="The kitchen's name at the head.")
@records_option
def on_paper(paper_id: str, out: Path | None, kitchen: str, records_file: str | Path | None) -> None:
    """Write the paper, its marking sheet apart, and a version to read aloud."""
    from kit.records.reports.test_paper_pdf import marking_sheet_pdf, paper_pdf, read_aloud
    from kit.views.pictures.on_paper import png_of

    with opened(records_file) as records:
        paper, name, questions = _drawn_again(records, paper_id)
    file = out or Path(f"{paper.id}.pdf")
    sheet, aloud = file.with_stem(f"{file.stem}_marking_sheet"), file.with_suffix(".txt")
    write_private(file, paper_pdf(paper, name, questions, png_of, kitchen=kitchen))
    write_private(sheet, marking_sheet_pdf(paper, name, questions))
    write_private(aloud, read_aloud(paper, questions).encode("utf-8"))
    click.echo(f"Written: {file}, {aloud}; for the tutor alone: {sheet}")


@command.command("answers")
@click.argument("paper_id")
@click.option("--out", type=_FILE, help="The file to write. By default PAPER_ID_answers.toml.")
@records_option
def answers(paper_id: str, out: Path | None, records_file: str | Path | None) -> None:
    """Write a file to type the answers of a paper into."""
    from kit.records.competence.typed_answers import answer_file

    with opened(records_file) as records:
        paper, _, questions = _drawn_again(records, paper_id)
    file = out or Path(f"{paper.id}_answers.toml")
    if file.exists():
        raise BadData(str(file), "it is there already, perhaps with answers", "--out with another name")
    write_private(file, answer_file(paper, questions).encode("utf-8"))
    click.echo(f"Written to {file}. Type the answers in, then: smokehouse paper mark {file} --as NAME")


@command.command("mark")
@click.argument("answer_file", type=_FILE)
@click.option("--sign", is_flag=True, help="Sign the result. Without it, it is only shown.")
@as_option
@records_option
def mark(answer_file: Path, sign: bool, as_name: str, records_file: str | Path | None) -> None:
    """Mark the answers in ANSWER_FILE again from the data, and with --sign put the result on record."""
    from kit.records.competence import papers, sitting
    from kit.records.competence.typed_answers import read_answers, typed_all

    sat, typed = read_answers(answer_file)
    with opened(records_file) as records:
        hand = open_hand(records, as_name, need_key=False)
        with records.reading() as connection:
            paper = papers.paper_of(connection, sat.paper)
        strange = sorted(set(typed) - {task.place for task in paper.tasks})
        if strange:
            raise BadData(str(answer_file), f"the paper has no task {strange[0]}", f"1 to {len(paper.tasks)}")
        questions = papers.questions_of(paper, hand.catalogue)
        whole = replace(sat, answers=typed_all(questions, typed))
        _tell_result(*sitting.look(hand, whole))
        if sign:
            for act in sitting.sign(open_hand(records, as_name), whole):
                said(act)
        else:
            click.echo("Nothing was put on record. Add --sign to sign this result.")


@command.command("resit")
@click.argument("paper_id")
@as_option
@records_option
def resit(paper_id: str, as_name: str, records_file: str | Path | None) -> None:
    """Draw another paper for who did not pass: other variants, a day later at the earliest."""
    from kit.records.competence import papers
    from kit.records.people import staff
    from kit.views.tutor.paper_facility import measured_hardness

    with opened(records_file) as records:
        paper = papers.resit(open_hand(records, as_name), paper_id, facility=measured_hardness(records))
        with records.reading() as connection:
            _tell_drawn(staff.name_of(connection, paper.person), paper)
            first = papers.paper_of(connection, paper_id)
        click.echo(_hardness(paper))
        if paper.difficulty is not None and first.difficulty is not None:
            apart = paper.difficulty.expected - first.difficulty.expected
            click.echo(f"That is {apart:+.1f} points against the paper before.")


@command.command("judges")
@click.argument("plan_file", type=_FILE)
@click.option("--judge", "judges", multiple=True, required=True, help="A judge's name. May be repeated.")
@click.option("--out", type=_FILE, default=Path("judges.csv"), show_default=True, help="The sheet to write.")
def judges_sheet(plan_file: Path, judges: tuple[str, ...], out: Path) -> None:
    """Write an empty sheet for judges: each exercise that the plan may draw, and a row for each judge."""
    from kit.exercises.catalogue import Catalogue
    from kit.files.paper_plan import read_plan
    from kit.statistics.paper_cut import empty_sheet

    made = empty_sheet(read_plan(plan_file, Catalogue()), Catalogue(), judges)
    if out.exists():
        raise BadData(str(out), "it is there already, perhaps filled in", "--out with another name")
    write_private(out, made)
    click.echo(f"Written to {out}: the chance, from 0 to 1, that a barely competent person is right.")


@command.command("cut")
@click.argument("first_round", type=_FILE)
@click.argument("second_round", type=_FILE, required=False)
@click.option("--plan", "plan_file", type=_FILE, help="The plan that the sheets are for: its cut is set.")
def cut(first_round: Path, second_round: Path | None, plan_file: Path | None) -> None:
    """Work out a cut score from judges' sheets: a CSV a round, a row a judge, a column a task.

    Each cell is the chance, from 0 to 1, that a barely competent person is right. The last round counts.
    """
    from kit.exercises.catalogue import Catalogue
    from kit.files.paper_plan import plan_text, read_plan
    from kit.statistics import paper_cut
    from kit.statistics.cut_scores import angoff_cut
    from kit.statistics.judges_sheet import read_sheet

    rounds = [read_sheet(each) for each in (first_round, second_round) if each is not None]
    if plan_file is None:
        told = paper_cut.angoff_words(angoff_cut(*rounds), rounds[-1])
    else:
        planned = read_plan(plan_file, Catalogue())
        found = paper_cut.cut_of_plan(planned, Catalogue(), *rounds)
        told = paper_cut.angoff_words(found, rounds[-1])
        made = paper_cut.with_cut(planned, found, Catalogue())
        notes = [f"{what}: {says}." for what, says in told]
        write_private(plan_file, plan_text(made, notes).encode("utf-8"))
    for what, says in (*told, ("Safety", paper_cut.SAFETY)):
        click.echo(f"{what}: {says}")
    if plan_file is not None:
        click.echo(f"Written to {plan_file}: cut_pct = {made.cut_pct:g}")


@command.command("borderline")
@click.argument("grades_file", type=_FILE)
@click.option("--grade", "borderline", type=float, required=True, help="The grade that means: just about.")
@click.option("--least", type=float, default=0.0, show_default=True, help="The least points there are.")
@click.option("--most", type=float, required=True, help="The most points there are.")
def borderline_regression(grades_file: Path, borderline: float, least: float, most: float) -> None:
    """Work out the cut score of a practical by borderline regression: a CSV with person,grade,points.

    The examiner gives points from a checklist and, apart from it, one grade for the whole.
    """
    from kit.statistics import paper_cut
    from kit.statistics.cut_scores import borderline_cut
    from kit.statistics.judges_sheet import read_grades

    table = read_grades(grades_file)
    found = borderline_cut(table["grade"], table["points"], borderline, least=least, most=most)
    for what, says in (*paper_cut.borderline_words(found), ("Safety", paper_cut.STATION_SAFETY)):
        click.echo(f"{what}: {says}")


@command.command("sit")
@click.argument("paper_id")
@click.option("--no-browser", is_flag=True, help="Print the address and open no browser.")
@click.option("--port", type=click.IntRange(1, 65535), help="The port to use. Without it: any free one.")
@as_option
@records_option
def sit(
    paper_id: str, no_browser: bool, port: int | None, as_name: str, records_file: str | Path | None
) -> None:
    """Let one person sit the paper on this machine: no practice, no engine, and no marks until you sign."""
    from kit.cli.tutor import paper_sitting
    from kit.views.pictures.on_paper import png_of

    with opened(records_file) as records:
        hand = open_hand(records, as_name, need_key=False)
        paper, name, questions = _drawn_again(records, paper_id)
        whole = paper_sitting.serve(hand, paper, name, questions, png_of, port, browser=not no_browser)
        if whole is None:
            return
        from kit.records.competence import sitting

        _tell_result(*sitting.look(hand, whole))
        if not click.confirm("Did the apprentice declare it their own work, and do you sign this result?"):
            click.echo("Nothing was put on record. The answers are kept: run `paper sit` again to sign.")
            return
        for act in sitting.sign(open_hand(records, as_name), replace(whole, declared=True)):
            said(act)
        paper_sitting.forget(paper)


def _drawn_again(records: Records, paper_id: str) -> tuple[TestPaper, str, tuple[Question, ...]]:
    from kit.exercises.catalogue import Catalogue
    from kit.records.competence import papers
    from kit.records.people import staff

    with records.reading() as connection:
        paper = papers.paper_of(connection, paper_id)
        name = staff.name_of(connection, paper.person)
    return paper, name, papers.questions_of(paper, Catalogue())


def _tell_drawn(name: str, paper: TestPaper) -> None:
    whole = len(paper.tasks)
    old = "" if paper.fresh == whole else f" {whole - paper.fresh} ask what was practised: no other was left."
    click.echo(f"{paper.id} for {name}: {whole} tasks, {paper.minutes + paper.extra_min} min.{old}")


def _hardness(paper: TestPaper) -> str:
    """Return how hard a paper is, and by which rule that was kept equal."""
    known, whole = paper.difficulty, len(paper.tasks)
    if known is None:
        return "How hard its exercises are was not measured yet: too few people have practised them."
    share = f"{known.expected:.1f} of {whole} points are expected of who practises"
    return f"{share}; measured for {known.measured} of {whole} tasks, rule {known.rule}."


def _tell_result(paper: TestPaper, result: PaperResult) -> None:
    click.echo(f"{paper.id}: {result.score:g} of {result.of:g} points, {result.share_pct:.0f} %.")
    for task, outcome in zip(paper.tasks, result.outcomes, strict=True):
        if outcome.score < outcome.of:
            click.echo(f"  task {task.place} ({task.criterion}): {outcome.message}")
    if result.unanswered:
        click.echo(f"Not answered: {', '.join(map(str, result.unanswered))}.")
    if result.lost_safety:
        places = ", ".join(map(str, result.lost_safety))
        click.echo(f"Wrong on a safety-critical criterion: task {places}. So the paper is not passed.")
    click.echo("Passed." if result.passed else f"Not passed: from {paper.cut_pct:g} % of the points on.")
    for name, stands in result.points.items():
        click.echo(f"  {name}: {stands}")
