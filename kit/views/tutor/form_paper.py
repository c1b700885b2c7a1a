"""Forms about test papers: plan, draw, print, mark what was typed in, and sit again. No widgets here."""

from collections.abc import Callable, Mapping
from datetime import time
from typing import Any

from kit.basics.errors import BadData
from kit.criteria import steps
from kit.files.joined_kitchen import joined
from kit.files.paper_plan import plan_in, plan_of, plan_text, plan_words
from kit.records.competence import papers, sitting
from kit.records.competence.papers import PaperResult, TestPaper
from kit.records.competence.sitting import SatPaper
from kit.records.competence.typed_answers import HOW, typed_all, used_minutes
from kit.records.ledger import acts
from kit.records.people import staff
from kit.records.people.staff import Hand
from kit.records.reports.test_paper_pdf import marking_sheet_pdf, paper_pdf, read_aloud
from kit.views.pictures.on_paper import png_of
from kit.views.tutor.form import Done, Field, Form, Proposal, day_of, number_of
from kit.views.tutor.form_kitchen import whole_file
from kit.views.tutor.paper_facility import measured_hardness

ASKS = ("It asks", "Safety", "Kinds", "Left out")
PRINTS = (("the paper", "paper"), ("the marking sheet, for you alone", "sheet"), ("to read aloud", "aloud"))
DECLARED = "The apprentice signed that this is their own work"
EXTRA = "Agreed extra time, a line each, such as: Ida Moor=10"


def plan_form(_hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that makes a plan for some steps. It records nothing: the plan is a file."""
    ticks = [Field(f"step {n}", one.title, "tick", value=False, group="steps") for n, one in steps().items()]
    fields = (
        *ticks,
        Field("minutes", "How long it lasts [min]; empty: 2.5 min a task", "text"),
        Field("cut", "Points that must be reached [%]", "text", value="80"),
    )
    return Form("plan paper", "Plan a test paper", (), fields, "", signed=False, keeps=False)


def propose_plan(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say what the plan asks; doing it gives the file."""
    wanted = [name for name in steps() if values[f"step {name}"]]
    if not wanted:
        raise BadData("the steps", "none is chosen", "one or more")
    minutes, cut = number_of("How long it lasts", values["minutes"]), number_of("Points", values["cut"])
    if minutes is not None and minutes != int(minutes):
        raise BadData("How long it lasts", f"{minutes:g} min", "whole minutes")
    if cut is None:
        raise BadData("the points", "nothing is typed", "a number such as 80")
    made = plan_of(hand.catalogue, wanted, minutes=None if minutes is None else int(minutes), cut_pct=cut)
    lines = tuple(zip(ASKS, plan_words(made, hand.catalogue), strict=False))
    says = "Edit it as you like, or let judges set its cut; then draw papers from it."
    done = Done((), says, ("paper_plan.toml", plan_text(made).encode("utf-8")))
    return Proposal(lines, lambda _: done)


def draw_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that draws a paper for each of some people."""
    who = staff.find(hand.records, str(ask["person"])).name if ask.get("person") else ""
    fields = (
        Field("plan", "The plan", "file", value=".toml"),
        Field("names", "For whom, a line each", "long", value=who),
        Field("extra", EXTRA, "long"),
    )
    about = (("A paper", "the same exercises for all, other variants for each, none that they practised"),)
    return Form("draw paper", "Draw test papers", about, fields, str(ask.get("person", "")))


def propose_draw(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Say for whom papers will be drawn. What they ask is drawn when it is signed."""
    shot = whole_file(values["plan"], "the plan")
    plan = plan_in(shot.data, shot.name, hand.catalogue)
    people = [staff.find(hand.records, name) for name in _lines(values["names"])]
    if not people:
        raise BadData("for whom", "nobody is named", "a name a line")
    names, extra = {one.person: one.name for one in people}, dict[str, int]()
    for name, minutes in map(extra_of, _lines(values["extra"])):
        person = staff.find(hand.records, name).person
        if person not in names:
            raise BadData("the extra time", f"{name} gets no paper", "a name above")
        extra[person] = minutes
    more = ", ".join(f"{names[who]} {minutes} min" for who, minutes in extra.items()) or "nobody"
    told = zip(ASKS, plan_words(plan, hand.catalogue), strict=False)
    lines = (("For", ", ".join(names.values())), *told, ("Extra time", more))

    def record(signed: Hand) -> Done:
        hard = measured_hardness(signed.records)
        drawn = papers.draw(signed, plan, list(names), extra_min=extra, facility=hard)
        with signed.records.reading() as connection:
            made = tuple(acts.get(connection, one.act) for one in drawn)
        return Done(made, " ".join(_drawn_words(names[one.person], one) for one in drawn))

    return Proposal(lines, record)


def print_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that gives a paper, its marking sheet, or the version to read aloud, as a file."""
    paper, name = _paper(hand, ask)
    kitchen = joined()
    fields = (
        Field("what", "What", "one", PRINTS, "paper"),
        Field("kitchen", "The kitchen’s name at the head", "text", value=kitchen.name if kitchen else ""),
    )
    return Form("print paper", "Print a test paper", _about(paper, name), fields, paper.person,
                {"paper": paper.id}, signed=False, keeps=False)  # fmt: skip


def propose_print(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Make the file."""
    paper, name = _paper(hand, form.facts)
    questions, kitchen = papers.questions_of(paper, hand.catalogue), values["kitchen"].strip()
    makers: dict[str, tuple[str, Callable[[], bytes]]] = {
        "paper": (".pdf", lambda: paper_pdf(paper, name, questions, png_of, kitchen=kitchen)),
        "sheet": ("_marking_sheet.pdf", lambda: marking_sheet_pdf(paper, name, questions)),
        "aloud": (".txt", lambda: read_aloud(paper, questions).encode("utf-8")),
    }
    if values["what"] not in makers:
        raise BadData("what to print", "nothing is chosen", "one of the three")
    ending, make = makers[values["what"]]
    file = f"{paper.id}{ending}"
    return Proposal((*form.about, ("File", file)), lambda _: Done((), "", (file, make())))


def mark_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form to type the answers of a paper into, a line a task."""
    paper, name = _paper(hand, ask)
    questions = papers.questions_of(paper, hand.catalogue)
    fields = (
        Field("day", "The day", "date", value=hand.today()),
        Field("started", "Started", "time", value=None),
        Field("ended", "Handed in", "time", value=None),
        *[
            Field(f"answer {task.place}", f"{task.place}. {HOW[asked.kind_name]}", "text")
            for task, asked in zip(paper.tasks, questions, strict=True)
        ],
        Field("declared", DECLARED, "tick", value=False),
        Field("despite", "If answers after the time count: why (it is printed)", "long"),
    )
    about = (*_about(paper, name), ("Type", "what stands on the paper. An empty line earns nothing"))
    return Form("mark paper", "Mark a test paper", about, fields, paper.person, {"paper": paper.id})


def propose_mark(hand: Hand, form: Form, values: Mapping[str, Any]) -> Proposal:
    """Mark the answers again from the data, and say what the result is."""
    paper, _ = _paper(hand, form.facts)
    questions = papers.questions_of(paper, hand.catalogue)
    typed = {task.place: str(values[f"answer {task.place}"]) for task in paper.tasks}
    if not isinstance(values["started"], time) or not isinstance(values["ended"], time):
        raise BadData("the time", "when it started or was handed in is not typed", "both times")
    sat = SatPaper(
        paper.id,
        day_of(values["day"]),
        used_minutes(values["started"], values["ended"]),
        typed_all(questions, typed),
        person=paper.person,
        declared=bool(values["declared"]),
        despite=values["despite"].strip(),
    )
    result = sitting.look(hand, sat)[1]
    return Proposal(
        (*form.about[:2], *result_lines(paper, result)), lambda signed: tuple(sitting.sign(signed, sat))
    )


def resit_form(hand: Hand, ask: Mapping[str, Any]) -> Form:
    """Return the form that draws another paper for who did not pass."""
    paper, name = _paper(hand, ask)
    return Form("resit paper", "Another paper", _about(paper, name), (), paper.person, {"paper": paper.id})


def propose_resit(hand: Hand, form: Form, _values: Mapping[str, Any]) -> Proposal:
    """Say that another paper on the same plan will be drawn: other variants, a day later at the earliest."""
    lines = (*form.about, ("It will ask", "as many tasks on the same criteria, in other variants"))

    def record(signed: Hand) -> Done:
        made = papers.resit(signed, str(form.facts["paper"]), facility=measured_hardness(signed.records))
        with signed.records.reading() as connection:
            name, act = staff.name_of(connection, made.person), acts.get(connection, made.act)
        return Done((act,), _drawn_words(name, made))

    return Proposal(lines, record)


def result_lines(paper: TestPaper, result: PaperResult) -> tuple[tuple[str, str], ...]:
    """Return what a result says, line by line: points, what was lost, and what each criterion gets."""
    wrong = [
        f"{task.place} ({task.criterion}): {outcome.message}"
        for task, outcome in zip(paper.tasks, result.outcomes, strict=True)
        if outcome.score < outcome.of
    ]
    lost = ", ".join(map(str, result.lost_safety))
    offered = (
        ("Points", f"{result.score:g} of {result.of:g}, {result.share_pct:.0f} %"),
        ("Wrong or in part", "\n".join(wrong)),
        ("Not answered", ", ".join(map(str, result.unanswered))),
        ("Wrong on a safety-critical criterion", f"task {lost}: so it is not passed" if lost else ""),
        ("Result", "passed" if result.passed else f"not passed: from {paper.cut_pct:g} % of the points on"),
        ("Criteria", ", ".join(f"{name} {stands}" for name, stands in result.points.items())),
    )
    return tuple((label, says) for label, says in offered if says)


def extra_of(typed: str) -> tuple[str, int]:
    """Return a name and minutes from a line such as ``Ida Moor=10``.

    Raises
    ------
    BadData
        If it names no minutes.

    Examples
    --------
    >>> extra_of("Ida Moor = 10")
    ('Ida Moor', 10)
    """
    name, _, minutes = typed.rpartition("=")
    if not name.strip() or not minutes.strip().isdigit():
        raise BadData("the extra time", f"{typed!r} names no minutes", "NAME=MINUTES, such as Ida Moor=10")
    return name.strip(), int(minutes)


def _drawn_words(name: str, paper: TestPaper) -> str:
    whole = len(paper.tasks)
    old = "" if paper.fresh == whole else f" {whole - paper.fresh} ask what was practised: no other was left."
    return f"{paper.id} for {name}: {whole} tasks, {paper.minutes + paper.extra_min} min.{old}"


def _paper(hand: Hand, ask: Mapping[str, Any]) -> tuple[TestPaper, str]:
    with hand.records.reading() as connection:
        paper = papers.paper_of(connection, str(ask["paper"]))
        return paper, staff.name_of(connection, paper.person)


def _about(paper: TestPaper, name: str) -> tuple[tuple[str, str], ...]:
    time_min = f"{paper.minutes + paper.extra_min} min"
    return (("Apprentice", name), ("Paper", f"{paper.id}, {len(paper.tasks)} tasks, {time_min}"))


def _lines(typed: str) -> list[str]:
    return [line.strip() for line in typed.splitlines() if line.strip()]
