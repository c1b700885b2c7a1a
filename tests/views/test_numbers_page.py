"""The desk's numbers: planted faults are named, too few show nothing, a tutor reads about themselves."""

from __future__ import annotations

import base64
import json

import pandas as pd
import pytest

from kit import statistics
from kit.exercises.catalogue import Catalogue
from kit.files.paper_plan import plan_in, plan_of, plan_text
from kit.records.people.pseudonyms import pseudonyms
from kit.statistics import invented_crew as crew_of
from kit.statistics.agreement import LEAST_CASES
from kit.statistics.mending import HARM
from kit.statistics.paper_cut import empty_sheet
from kit.views.tutor import numbers_page
from kit.views.tutor.alike_page import alike_blocks
from tests.views.conftest import NOW
from tests.views.test_manager_desk import send
from tests.views.test_tutor_desk import at_desk, blocks, text

__all__ = ["at_desk"]
BAD = [
    crew_of.Planted(crew_of.exercise_name(n), fault)
    for n, fault in zip((6, 9, 12, 16), crew_of.FAULTS, strict=True)
]


@pytest.fixture(scope="module")
def attempts():
    return crew_of.invented_attempts(300, 40, planted=BAD, seed=2)


def table_of(made, place=0):
    return [each for each in made if each["kind"] == "table"][place]


def test_every_fault_has_words():
    assert set(numbers_page.FAULT_WORDS) == set(HARM)


@pytest.mark.slow
def test_the_planted_questions_are_named_with_n_interval_and_the_authors_command(attempts):
    found = table_of(numbers_page.mend_blocks(attempts, crew_of.invented_bank(40)))
    named = {row[0] for row in found["rows"]}
    ranked = statistics.questions_to_mend(attempts, crew_of.invented_bank(40))
    assert named <= {one.exercise for one in BAD} and named  # planted, and no false alarm
    assert [row[0] for row in found["rows"]] == ranked["exercise"].head(numbers_page.MOST_ROWS).tolist()
    assert all("), n " in row[2] and row[3] == f"smokehouse author look {row[0]}" for row in found["rows"])


def test_of_twelve_people_no_figure_is_shown():
    few = crew_of.invented_attempts(9, 40, planted=BAD, seed=2)
    said = json.dumps(numbers_page.mend_blocks(few, crew_of.invented_bank(40)))
    assert "No question stands out. 9 people have practised." in said
    assert "nothing is shown" in json.dumps(numbers_page.message_blocks(statistics.second_tries(few)))


def test_messages_are_counted_and_the_worst_stands_first(attempts):
    tries = statistics.second_tries(attempts)
    made = numbers_page.message_blocks(tries)
    rows = table_of(made[-1]["blocks"])["rows"]
    worst = tries.loc[tries["gain"].idxmin()]
    assert rows[0][:2] == [worst["exercise"], worst["slip"]] and "surely help" in made[1]["text"]


@pytest.mark.slow
def test_the_desk_reads_only_when_asked_and_shows_a_tutor_about_themselves_alone(at_desk):
    seat = at_desk("Osric Vane")
    part = seat.desk.numbers()
    assert blocks(part, "table") == []
    seat.ask(part, do="numbers")
    assert "Questions to mend" in text(part) and "How much do I agree with others?" in text(part)
    with seat.records.reading() as connection:
        others = {word for person, word in pseudonyms(connection).items() if person != seat.me}
    assert not any(word in text(part) for word in others)
    nobody = numbers_page.numbers_blocks(seat.records, "", NOW.date())
    assert "How much do I agree" not in json.dumps(nobody)


def test_the_cut_of_a_paper_is_worked_out_at_the_desk_and_set_in_its_plan(at_desk):
    seat = at_desk("Osric Vane")
    part, bank = seat.desk.numbers(), Catalogue()
    plan, before = plan_of(bank, ["rinse"]), seat.head()
    head = empty_sheet(plan, bank, ["A", "B"]).decode("utf-8-sig").splitlines()[0]
    columns = head.count(",")
    rounds = [
        "\n".join([head, *(f"{who}{f',{chance}' * columns}" for who, chance in each)]).encode()
        for each in ((("A", 0.6), ("B", 0.9)), (("A", 0.7), ("B", 0.8)))
    ]
    seat.ask(part, do="form", form="cut")
    for name, data in zip(("first", "second"), rounds, strict=True):
        send(seat.panel.fields[name], f"{name}.csv", data)
    send(seat.panel.fields["plan"], "plan.toml", plan_text(plan).encode())
    assert seat.panel.look.description == "Work it out"
    seat.press(seat.panel.look)
    shown = text(seat.panel.preview)
    assert "This is what comes out" in shown and "cut_pct = 75" in shown
    assert "Standard error" in shown and "33 % of the first spread is left" in shown
    assert "safety-critical criterion must be right" in shown
    seat.press(seat.panel.sign)
    (made,) = blocks(seat.panel.result, "download")
    found = plan_in(base64.b64decode(made["data"]), made["name"], bank)
    assert found.cut_pct == 75 and found.tasks == plan.tasks
    assert seat.head() == before  # a cut is no act: the plan is drawn by a signed one


@pytest.mark.slow
def test_a_half_filled_sheet_and_a_cut_off_the_scale_are_one_line_at_the_desk(at_desk):
    seat = at_desk("Osric Vane")
    part = seat.desk.numbers()
    seat.ask(part, do="form", form="cut")
    send(seat.panel.fields["first"], "one.csv", b"judge,q1,q2\nA,0.5,\nB,0.6,0.8")
    seat.press(seat.panel.look)
    assert "A, q2: empty" in text(seat.panel.result) and "Nothing was recorded" in text(seat.panel.result)
    seat.ask(seat.panel.head, do="close")
    seat.ask(part, do="form", form="borderline")
    grades = b"person,grade,points\nA,1,45\nB,2,61\nC,3,80"
    send(seat.panel.fields["grades"], "bench.csv", grades)
    seat.fill(borderline="2", most="")
    seat.press(seat.panel.look)
    assert "the most points" in text(seat.panel.result) and "nothing is typed" in text(seat.panel.result)
    seat.fill(most="70")
    seat.press(seat.panel.look)
    assert "points holds 80" in text(seat.panel.result) or "points" in text(seat.panel.result)
    assert "from 0 to 70" in text(seat.panel.result)
    seat.fill(most="100")
    seat.press(seat.panel.look)
    assert "62.00 points" in text(seat.panel.preview)
    nobody = numbers_page.cut_blocks("")
    assert nobody == []


@pytest.mark.slow
def test_a_tutor_sees_their_own_months_and_too_few_say_nothing(at_desk):
    seat = at_desk("Osric Vane")
    part = seat.desk.numbers()
    seat.ask(part, do="numbers")
    (months,) = [one for one in blocks(part, "fold") if one["summary"] == "Month by month"]
    (found,) = [one for one in months["blocks"] if one["kind"] == "table"]
    assert found["rows"] and all(row[0].split()[1].isdigit() for row in found["rows"])
    figures = [cell for row in found["rows"] for cell in row[1:] if cell != "–"]
    few = [cell for cell in figures if cell.startswith("too few to show, n ")]
    shown = [cell for cell in figures if cell not in few]
    assert few and all(int(cell.rsplit(" ", 1)[1]) < LEAST_CASES for cell in few)
    assert all(int(cell.rsplit(" ", 1)[1]) >= LEAST_CASES and " days (" in cell for cell in shown)
    assert "too few to say whether that is a drift" in text(part)


def test_a_drift_is_named_only_where_the_whole_interval_says_so():
    steady = {"lately": 3, "lately_looked_at": 60, "before": 9, "before_looked_at": 180, "difference": 0.0}
    (said,) = numbers_page.month_blocks([], [{**steady, "difference_low": -0.06, "difference_high": 0.09}])
    assert "shows no drift: +0 points of a hundred (-6 to +9)" in said["text"]
    gone = {**steady, "lately": 20, "difference": 0.283, "difference_low": 0.17, "difference_high": 0.41}
    (said,) = numbers_page.month_blocks([], [gone])
    assert "That is a drift: +28 points of a hundred (+17 to +41)" in said["text"]


def test_an_empty_sheet_comes_from_the_plan_and_the_judges_names(at_desk):
    seat = at_desk("Osric Vane")
    part, plan = seat.desk.numbers(), plan_of(Catalogue(), ["rinse"])
    seat.ask(part, do="form", form="cut")
    send(seat.panel.fields["plan"], "plan.toml", plan_text(plan).encode())
    seat.fill(judges="Ida Moor, Ida Moor")
    seat.press(seat.panel.look)
    assert "a name of its own for each" in text(seat.panel.result)
    seat.fill(judges="Ida Moor, Tam Ferris")
    seat.press(seat.panel.look)
    seat.press(seat.panel.sign)
    (made,) = blocks(seat.panel.result, "download")
    sheet = base64.b64decode(made["data"]).decode("utf-8-sig").splitlines()
    assert sheet[0].startswith("judge,") and len(sheet) == 3
    assert base64.b64decode(made["data"]) == empty_sheet(plan, Catalogue(), ["Ida Moor", "Tam Ferris"])


def test_the_ten_cases_are_judged_at_the_desk_alone_and_then_shown_beside_the_others(at_desk):
    words = ("not met", "cannot say")
    for turn, name in enumerate(("Osric Vane", "Ines Roald")):
        seat = at_desk(name)
        part = seat.desk.numbers()
        assert "Judge the ten cases" in text(part) and "you part" not in text(part)
        seat.ask(part, do="form", form="cases")
        names = [each for each in seat.panel.fields if each.startswith("case ")]
        assert len(names) == 10
        seat.fill(**dict.fromkeys(names[:9], "met"))
        seat.press(seat.panel.look)
        assert "nothing is pressed for: Keep cold" in text(seat.panel.result)
        seat.fill(**{names[9]: words[turn]})
        assert "Recorded as act" in seat.sign()
        assert "Judge the ten cases" not in text(part) and "What they said shows from 2 on" in text(part)


def test_a_verifier_has_one_list_and_their_finding_stands_before_the_tutor(at_desk):
    verifier, tutor = at_desk("Ines Roald"), at_desk("Osric Vane")
    assert "Your day as a verifier" not in text(tutor.today)
    (day,) = [one for one in blocks(verifier.today, "list") if one["key"] == "verifier"]
    forms = [item["buttons"][1]["ask"]["form"] for item in day["items"]]
    assert {"settle", "second", "moderate"} >= set(forms) and "moderate" in forms
    ask = next(
        item["buttons"][1]["ask"] for item in day["items"] if item["buttons"][1]["ask"]["form"] == "moderate"
    )
    verifier.ask(verifier.today, **ask)
    verifier.press(verifier.panel.look)
    assert "nothing is chosen" in text(verifier.panel.result)
    verifier.fill(finding="to improve", reason="The reading has no time.")
    assert "Recorded as act" in verifier.sign()
    assert f"act {ask['act']}" not in json.dumps(
        [one["tag"] for one in blocks(verifier.today, "list")[0]["items"]]
    )
    part = tutor.desk.numbers()
    tutor.ask(part, do="numbers")
    assert "What verifiers found on your decisions (1)" in text(part) and "The reading has no time." in text(
        part
    )


def test_two_who_answer_alike_are_named_to_a_tutor_and_nobody_is_accused(at_desk):
    seat = at_desk("Osric Vane")
    tried = crew_of.invented_attempts(40, 40, seed=4)
    one, two = (crew_of.person_name(n) for n in (3, 7))
    same = tried[tried["person"] == one].assign(person=two)
    tried = pd.concat([tried[tried["person"] != two], same], ignore_index=True)
    made = alike_blocks(seat.records, tried)
    (found,) = [one for block in made if block["kind"] == "fold" for one in block["blocks"]]
    assert [row[0] for row in found["rows"]] == [f"{one} and {two}"] and found["rows"][0][4] == "0.0 min"
    assert "780 pairs compared, 1 beyond chance" in json.dumps(made) and "accuses nobody" in json.dumps(made)
    assert "On papers: no two people answered 20 of the same questions yet." in json.dumps(made)
