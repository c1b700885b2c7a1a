"""Forms that work out a cut score: from judges' sheets for a paper, from grades for a practical. No widgets.

Nothing is put on record: a cut becomes part of a plan, and the plan is drawn by a signed act.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from kit.basics.errors import BadData
from kit.files.paper_plan import plan_in, plan_text
from kit.records.people.staff import Hand
from kit.statistics import paper_cut
from kit.statistics.cut_scores import angoff_cut, borderline_cut
from kit.statistics.judges_sheet import grades_of, sheet_of
from kit.views.tutor.form import Done, Field, Form, Proposal, number_of
from kit.views.tutor.form_kitchen import whole_file

SHEETS = (
    "a CSV, a row a judge and a column a task; in each cell the chance, from 0 to 1, that a barely competent "
    "person is right. With the plan and the judges' names alone you get an empty one"
)
GRADES = "a CSV with the head person,grade,points: one grade for the whole, apart from the checklist's points"


def cut_form(_hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that works out the cut of a paper from judges' sheets."""
    fields = (
        Field("first", "The judges' first round", "file", value=".csv"),
        Field("second", "Their second round, after they talked (it counts)", "file", value=".csv"),
        Field(
            "plan", "The plan that the sheets are for (optional): its cut will be set", "file", value=".toml"
        ),
    )
    names = Field("judges", "The judges' names with commas between, for an empty sheet of the plan", "text")
    about = (("A sheet is", SHEETS), ("Safety", paper_cut.SAFETY))
    return Form(
        "cut", "The cut of a paper, by judges", about, (*fields, names), "", signed=False, keeps=False
    )


def propose_cut(hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Work the cut out and show it with its error; doing it gives the plan, or the figures, to take along."""
    if values["first"] is None and values["plan"] is not None and values["judges"].strip():
        return _empty_sheet(hand, values)
    shots = [whole_file(values["first"], "the first round")]
    if values["second"] is not None:
        shots.append(whole_file(values["second"], "the second round"))
    rounds = [sheet_of(shot.data, shot.name) for shot in shots]
    if values["plan"] is None:
        told = paper_cut.angoff_words(angoff_cut(*rounds), rounds[-1])
        return _given(told, paper_cut.SAFETY, "cut_score.txt")
    shot = whole_file(values["plan"], "the plan")
    planned = plan_in(shot.data, shot.name, hand.catalogue)
    found = paper_cut.cut_of_plan(planned, hand.catalogue, *rounds)
    told = paper_cut.angoff_words(found, rounds[-1])
    made = paper_cut.with_cut(planned, found, hand.catalogue)
    text = plan_text(made, [f"{what}: {says}." for what, says in told])
    rows = (*told, ("Safety", paper_cut.SAFETY), ("The plan will say", f"cut_pct = {made.cut_pct:g}"))
    done = Done((), "The plan holds the cut, and how it came about.", (shot.name, text.encode("utf-8")))
    return Proposal(rows, lambda _: done)


def _empty_sheet(hand: Hand, values: Mapping[str, Any]) -> Proposal:
    shot = whole_file(values["plan"], "the plan")
    planned = plan_in(shot.data, shot.name, hand.catalogue)
    judges = [each.strip() for each in values["judges"].split(",")]
    sheet = paper_cut.empty_sheet(planned, hand.catalogue, judges)
    done = Done((), "Fill a copy in for each round.", ("judges.csv", sheet))
    rows = (
        ("An empty sheet", f"for {', '.join(judges)}"),
        ("Its columns", "each exercise that may be drawn"),
    )
    return Proposal(rows, lambda _: done)


def borderline_form(_hand: Hand, _ask: Mapping[str, Any]) -> Form:
    """Return the form that works out the cut of a practical by borderline regression."""
    fields = (
        Field("grades", "Grades and points", "file", value=".csv"),
        Field("borderline", "The grade that means: just about", "text"),
        Field("least", "The least points that the checklist gives", "text", value="0"),
        Field("most", "The most points that it gives", "text"),
    )
    about = (("The file is", GRADES), ("Safety", paper_cut.STATION_SAFETY))
    return Form("borderline", "The cut of a practical", about, fields, "", signed=False, keeps=False)


def propose_borderline(_hand: Hand, _form: Form, values: Mapping[str, Any]) -> Proposal:
    """Work the cut out and show it with its interval; doing it gives the figures to take along."""
    shot = whole_file(values["grades"], "the grades")
    numbers = {}
    for name, label in (
        ("borderline", "the borderline grade"),
        ("least", "the least points"),
        ("most", "the most points"),
    ):
        found = number_of(label, values[name])
        if found is None:
            raise BadData(label, "nothing is typed", "a number")
        numbers[name] = found
    if numbers["least"] >= numbers["most"]:
        says = f"the scale goes from {numbers['least']:g} to {numbers['most']:g}"
        raise BadData("the points", says, "the least below the most")
    table = grades_of(shot.data, shot.name)
    cut = borderline_cut(
        table["grade"], table["points"], numbers["borderline"], least=numbers["least"], most=numbers["most"]
    )
    return _given(paper_cut.borderline_words(cut), paper_cut.STATION_SAFETY, "cut_of_the_practical.txt")


def _given(told: Sequence[tuple[str, str]], safety: str, file: str) -> Proposal:
    rows = (*told, ("Safety", safety))
    text = "".join(f"{what}: {says}\n" for what, says in rows)
    done = Done(
        (), "The figures are ready to take along. Nothing was recorded.", (file, text.encode("utf-8"))
    )
    return Proposal(rows, lambda _: done)
