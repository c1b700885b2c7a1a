"""The cut of a planned paper: the judges' sheet, tasks weighed as the plan asks, bad input in one line."""

from __future__ import annotations

import csv
import io

import pandas as pd
import pytest

from kit.basics.errors import BadData, OutOfRange
from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import PaperPlan, fitting, plan_in, plan_of, plan_text
from kit.statistics import angoff_cut, borderline_cut
from kit.statistics.judges_sheet import grades_of, sheet_of
from kit.statistics.paper_cut import (
    angoff_words,
    borderline_words,
    cut_of_plan,
    empty_sheet,
    with_cut,
)

BANK = Catalogue()
JUDGES = ("Ida", "Tam", "Mara")


@pytest.fixture(scope="module")
def plan() -> PaperPlan:
    return plan_of(BANK, ["cook"])


def filled(plan: PaperPlan, chances: dict[str, float], *, judges=JUDGES) -> bytes:
    """The judges' sheet, each cell the judge's own chance."""
    head, *rows = csv.reader(io.StringIO(empty_sheet(plan, BANK, judges).decode("utf-8-sig")))
    told = [head, *([row[0], *[f"{chances[row[0]]:g}"] * (len(head) - 1)] for row in rows)]
    return "\n".join(",".join(row) for row in told).encode()


def test_a_sheet_has_each_exercise_that_may_be_drawn_once_and_a_row_a_judge(plan):
    head, *rows = csv.reader(io.StringIO(empty_sheet(plan, BANK, JUDGES).decode("utf-8-sig")))
    may_come = {each for criterion in plan.tasks for each in fitting(BANK, criterion)}
    assert head[0] == "judge" and len(head) - 1 == len(may_come) and set(head[1:]) == may_come
    assert [row[0] for row in rows] == list(JUDGES)
    for judges in ((), ("Ida", "Ida"), ("Ida", " ")):
        with pytest.raises(BadData, match="a name of its own for each"):
            empty_sheet(plan, BANK, judges)


def test_an_unfilled_sheet_names_its_cells_in_one_line(plan):
    with pytest.raises(BadData, match=r"Ida, .*: empty.*and \d+ more") as told:
        sheet_of(empty_sheet(plan, BANK, JUDGES), "judges.csv")
    assert "\n" not in str(told.value)


def test_tasks_weigh_as_the_plan_asks_for_them_and_not_as_the_bank_is_large():
    """One criterion with many exercises and one with few: each task counts the same."""
    plan = PaperPlan(1, {"COK-K04": 1, "COK-K05": 3}, 20)
    large, small = (set(fitting(BANK, name)) for name in plan.tasks)
    head = sorted(large | small)
    rows = [[0.9 if each in small else 0.5 for each in head] for _ in JUDGES]
    sheet = pd.DataFrame(rows, index=list(JUDGES), columns=head)
    first = sum(sheet[list(large)].mean(axis=1)) / 3  # an exercise that serves both counts in both
    found = cut_of_plan(plan, BANK, sheet)
    assert found.items == plan.count == 4
    assert found.cut == pytest.approx(first + 3 * 0.9, abs=1e-12)
    assert len(large) > len(small)


def test_two_rounds_of_a_plan_are_those_of_the_plain_sheets_where_all_chances_are_one(plan):
    """Each judge gives one chance throughout, so weighing changes nothing: the plain method must agree."""
    rounds = [
        sheet_of(filled(plan, dict(zip(JUDGES, each, strict=True))), "r.csv")
        for each in ((0.5, 0.7, 0.9), (0.6, 0.7, 0.8))
    ]
    found, plain = cut_of_plan(plan, BANK, *rounds), angoff_cut(*rounds)
    assert found.share_pct == pytest.approx(plain.share_pct) == pytest.approx(70)
    assert found.calmed == pytest.approx(plain.calmed) == pytest.approx(0.5)
    made = with_cut(plan, found, BANK)
    assert made.cut_pct == 70
    told = angoff_words(found, rounds[-1])
    assert plan_in(plan_text(made, [says for _, says in told]).encode(), "p", BANK) == made
    assert "50 % of the first spread is left" in dict(told)["Second round"]
    assert "about 10 are wanted" in dict(told)["Judges"]


def test_judges_who_part_are_told_on_which_task():
    sheet = pd.DataFrame({"q1": [0.1, 0.9], "q2": [0.5, 0.6]}, index=["A", "B"])
    assert dict(angoff_words(angoff_cut(sheet), sheet))["The judges part on"] == "q1 (0.57)"


@pytest.mark.parametrize("chance", [0.2, 0.45])
def test_a_cut_outside_the_scale_of_a_plan_is_one_clear_line(plan, chance):
    sheet = sheet_of(filled(plan, dict.fromkeys(JUDGES, chance)), "r.csv")
    with pytest.raises(
        OutOfRange, match=rf"the judges' cut is {100 * chance:g} %; it must be from 50 to 100"
    ):
        with_cut(plan, cut_of_plan(plan, BANK, sheet), BANK)


def test_a_sheet_of_another_plan_is_refused(plan):
    other = sheet_of(filled(plan_of(BANK, ["rinse"]), dict.fromkeys(JUDGES, 0.7)), "r.csv")
    with pytest.raises(BadData, match=r"has no column .*smokehouse paper judges"):
        cut_of_plan(plan, BANK, other)


def test_semicolons_and_decimal_commas_of_a_spreadsheet_are_read():
    assert sheet_of(b"judge;q1;q2\nA;0,5;1\nB;0,6;0.8", "r").to_numpy().tolist() == [[0.5, 1], [0.6, 0.8]]


GRADED = "person,grade,points\n" + "\n".join(
    f"p{n},{grade},{points}"
    for n, (grade, points) in enumerate(
        zip([1, 1, 2, 2, 2, 3, 3, 3], [45, 52, 58, 61, 66, 70, 74, 80], strict=True)
    )
)


@pytest.mark.slow
def test_the_published_line_comes_out_of_a_file():
    table = grades_of(GRADED.encode(), "bench.csv")
    found = borderline_cut(table["grade"], table["points"], 2, least=0, most=100)
    assert found.cut == pytest.approx(61.6154, abs=5e-5)
    assert dict(borderline_words(found))["Cut"] == "61.62 points"


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"\xff\xfe", "no table in UTF-8"),
        (b"name,grade\nA,2", "its head is another"),
        (b"person,grade,points\nA,,61\nB,2,x", "A, grade: empty; B, points: 'x'"),
        (b"person,grade,points\nA,2,61,9\nB,2", "A has 1 cells too many; B, points: empty"),
        (b"person,grade,points\nA,2,inf", "A, points: 'inf'"),
    ],
)
def test_a_bad_sheet_of_grades_is_one_line(data, told):
    with pytest.raises(BadData) as error:
        grades_of(data, "bench.csv")
    assert told in str(error.value) and "\n" not in str(error.value)


def test_points_or_a_grade_outside_the_scale_are_refused():
    table = grades_of(GRADED.encode(), "bench.csv")
    with pytest.raises(OutOfRange, match="Is the scale of the checklist another"):
        borderline_cut(table["grade"], table["points"], 2, least=0, most=50)
    with pytest.raises(OutOfRange, match="borderline is 4"):
        borderline_cut(table["grade"], table["points"], 4, least=0, most=100)
