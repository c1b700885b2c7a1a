"""The tutor's desk without a browser: set a value, press a button, read what is shown and recorded."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from dateutil.relativedelta import relativedelta

from kit.cli.demo.desk_story import PASSWORD
from kit.records import open_records
from kit.records.ledger import acts
from kit.records.ledger.projection import check_chain
from kit.records.people import staff
from kit.views.tutor import TutorDesk
from kit.views.tutor.desk import NO_RECORDS
from tests.views.conftest import NOW


class AtDesk:
    """Somebody at the desk, and the page that asks and presses."""

    def __init__(self, home: Path, name: str) -> None:
        self.records = open_records(home / "tutor" / "records.db", busy_s=5)
        self.me = staff.find(self.records, name).person
        self.desk = TutorDesk(records=self.records, me=self.me, clock=lambda: NOW)
        self.today, self.board = self.desk.today(), self.desk.board()
        self.person, self.panel = self.desk.person(), self.desk.sign()

    def id(self, name: str) -> str:
        return staff.find(self.records, name).person

    def ask(self, part: Any, **what: Any) -> None:
        part._hear(part, {"serial": 1, **what}, [])

    def press(self, button: Any) -> None:
        button.click()
        self.ask(self.panel.result, do="settled")

    def open(self, form: str, name: str, **more: Any) -> None:
        self.ask(self.person, do="form", form=form, person=self.id(name), **more)

    def fill(self, **values: Any) -> None:
        for name, value in values.items():
            self.panel.fields[name].value = value

    def sign(self, password: str = PASSWORD) -> str:
        self.press(self.panel.look)
        self.panel.password.value = password
        self.press(self.panel.sign)
        return text(self.panel.result)

    def head(self) -> int:
        with self.records.reading() as connection:
            return acts.head(connection).number


def text(part: Any) -> str:
    return json.dumps(part.shown["blocks"], ensure_ascii=False)


def blocks(part: Any, kind: str) -> list[dict[str, Any]]:
    return [block for block in part.shown["blocks"] if block["kind"] == kind]


@pytest.fixture
def at_desk(crew: Path, throw_away_home: Path):
    import shutil

    shutil.copytree(crew / "tutor", throw_away_home / "tutor")
    opened: list[AtDesk] = []

    def sit(name: str = "Osric Vane") -> AtDesk:
        opened.append(AtDesk(throw_away_home, name))
        return opened[-1]

    yield sit
    for one in opened:
        one.records.close()


def lists(part: Any) -> dict[str, dict[str, Any]]:
    (columns,), (fold,) = blocks(part, "columns"), blocks(part, "fold")
    return {column["label"]: column["blocks"][0] for column in columns["columns"]} | {
        "To see": fold["blocks"][0]
    }


def test_the_desk_opens_with_who_sits_there_and_three_lists(at_desk):
    seat = at_desk()
    assert "Osric Vane is at the desk" in text(seat.today)
    (week,) = blocks(seat.today, "table")
    assert week["head"][:2] == ["Whom", "When, at which step"] and len(week["rows"]) >= 5
    names = [row[0]["label"] for row in week["rows"]]
    assert len(names) == len(set(names))  # one row a person
    assert not any("COK-" in str(cell) for row in week["rows"] for cell in row[1:])  # words of the work
    shown = lists(seat.today)
    assert shown["To see"]["count"] > 0 and shown["To sign"]["count"] == 0
    assert "2 decisions of your own wait" in shown["To sign"]["empty"]
    assert "you decided it" in json.dumps(shown["To look into"])
    verifier = at_desk("Ines Roald")
    shown = lists(verifier.today)
    assert [item["buttons"][1]["ask"]["form"] for item in shown["To sign"]["items"]] == ["second", "second"]


@pytest.mark.slow
def test_a_button_is_offered_only_to_whom_the_role_allows(at_desk):
    def forms(seat: AtDesk) -> set[str]:
        seat.ask(seat.person, do="evidence", person=seat.id("Eithne"), criterion="COK-P02")
        (row,) = blocks(seat.person, "buttons")
        return {one["ask"]["form"] for one in row["buttons"] if "form" in one["ask"]}

    assert forms(at_desk()) == {"observe", "bench", "decide", "appeal"}
    assert forms(at_desk("Ines Roald")) == {"second", "appeal"}
    assert forms(at_desk("Hedda Quill")) == {"appeal"}


@pytest.mark.slow
def test_a_decision_is_shown_first_then_signed_with_the_password(at_desk):
    seat = at_desk()
    seat.open("decide", "Eithne", criterion="COK-P03")
    seat.press(seat.panel.look)
    assert "nothing is chosen" in text(seat.panel.result)
    seat.fill(decision="competent", reason="Seen on 3 batches.")
    seat.press(seat.panel.look)
    assert "Seen on 3 batches." in text(seat.panel.preview) and "Rests on" in text(seat.panel.preview)
    before = seat.head()
    said = seat.sign()
    assert f"Recorded as act {before + 1}." in said and "End of the chain" in said
    with seat.records.reading() as connection:
        act = acts.get(connection, before + 1)
    assert (act.by, act.criterion, act.facts["decision"]) == (seat.me, "COK-P03", "competent")
    assert seat.panel.form is None and seat.panel.password.value == ""
    assert check_chain(seat.records).whole


@pytest.mark.slow
def test_a_wrong_password_records_nothing_keeps_what_was_typed_and_is_not_kept_itself(at_desk):
    seat = at_desk()
    seat.open("decide", "Eithne", criterion="COK-P03")
    seat.fill(decision="not yet competent", reason="One more batch.")
    before = seat.head()
    said = seat.sign("not the password")
    assert "does not open with this password" in said and seat.head() == before
    assert seat.panel.fields["reason"].value == "One more batch." and seat.panel.password.value == ""
    assert "not the password" not in said + text(seat.panel.preview) + text(seat.panel.head)
    assert "nothing is typed" in seat.sign("")
    assert "Recorded as act" in seat.sign()


def test_only_what_was_shown_can_be_signed(at_desk):
    seat = at_desk()
    seat.open("decide", "Eithne", criterion="COK-P03")
    seat.fill(decision="not yet competent", reason="One more batch.")
    seat.press(seat.panel.look)
    seat.panel.password.value = PASSWORD
    seat.fill(decision="competent")  # after it was shown
    assert seat.panel.proposal is None and seat.panel.password.value == ""
    before = seat.head()
    seat.panel.password.value = PASSWORD
    seat.press(seat.panel.sign)
    assert seat.head() == before


def test_a_click_waits_until_the_page_has_sent_all_that_was_typed(at_desk):
    seat = at_desk()
    seat.open("decide", "Eithne", criterion="COK-P03")
    seat.panel.look.click()
    assert seat.panel.proposal is None and text(seat.panel.result) == "[]"
    seat.fill(decision="not yet competent", reason="Typed before the click, sent after it.")
    seat.ask(seat.panel.result, do="settled")
    assert seat.panel.proposal is not None
    seat.ask(seat.panel.result, do="settled")  # a second answer of the page does nothing
    assert text(seat.panel.result) == "[]"


@pytest.mark.slow
def test_somebody_decided_since_you_looked(at_desk):
    seat, other = at_desk(), at_desk("Wilma Tack")
    seat.open("decide", "Eithne", criterion="COK-P03")
    seat.fill(decision="competent", reason="Seen on 3 batches.")
    other.open("decide", "Eithne", criterion="COK-P03")
    other.fill(decision="not yet competent", reason="The probe was dirty.")
    assert "Recorded" in other.sign()
    before = seat.head()
    said = seat.sign()
    assert "Somebody decided on this criterion since you looked" in said and seat.head() == before
    seat.ask(seat.panel.result, do="look again")
    assert seat.panel.fields["reason"].value == "Seen on 3 batches."
    assert "decided on 2026-11-25" in text(seat.panel.head)
    assert "Recorded" in seat.sign()


def test_missing_evidence_is_said_before_anybody_types_a_password(at_desk):
    seat = at_desk()
    seat.open("decide", "Linh Pham", criterion="PEL-P03")
    assert "observed and met on 1 of 2 days" in text(seat.panel.head)
    seat.fill(decision="competent", reason="Looks good.")
    seat.press(seat.panel.look)
    assert "cannot be decided competent yet" in text(seat.panel.result) and seat.panel.proposal is None


@pytest.mark.slow
def test_an_observation_with_measures_a_question_and_what_was_agreed(at_desk):
    seat = at_desk()
    seat.open("observe", "Niamh", step="cook", criterion="COK-P01")
    assert seat.panel.fields["support read aloud"].value is True  # agreed with her
    assert seat.panel.fields["support interpreter"].value is False
    seat.fill(**{"point COK-P01": "met", "batch": "C-1", "core_temp_c": "72,4", "day": date(2026, 11, 24)})
    seat.press(seat.panel.look)
    assert "own work" in text(seat.panel.result)
    seat.fill(declared=True, core_temp_c="warm")
    seat.press(seat.panel.look)
    assert "'warm' is no number" in text(seat.panel.result)
    seat.fill(core_temp_c="72,4", question="Why hold it?", answer="To kill", **{"answer met": True})
    assert "Recorded" in seat.sign()
    with seat.records.reading() as connection:
        act = list(acts.read(connection, kind="observed"))[-1]
    assert act.facts["points"] == {"COK-P01": "met"} and act.facts["measures"] == {"core_temp_c": 72.4}
    assert len(act.facts["supports"]) == 2 and act.facts["asked"][0]["met"] is True


@pytest.mark.slow
def test_a_second_signature_and_its_refusal(at_desk):
    seat = at_desk("Ines Roald")
    seat.ask(seat.today, **lists(seat.today)["To sign"]["items"][0]["buttons"][1]["ask"])
    assert "signature fits" in text(seat.panel.head)
    seat.fill(agrees="disagree", reason="No temperature on the sheet.")
    assert "Recorded" in seat.sign()
    assert lists(seat.today)["To sign"]["count"] == 1
    tutor = at_desk()
    assert "second signature refused" in json.dumps(lists(tutor.today)["To see"])


@pytest.mark.slow
def test_an_appeal_is_opened_and_settled_by_somebody_else(at_desk):
    seat = at_desk()
    seat.open("appeal", "Tomasz", criterion="WDS-P02")
    seat.fill(text="He says: the card was wrong.")
    assert "Recorded" in seat.sign()
    appeal = seat.head()
    other = at_desk("Wilma Tack")
    item = next(i for i in lists(other.today)["To look into"]["items"] if i["name"] == "Tomasz Wilk")
    other.ask(other.today, **item["buttons"][1]["ask"])
    assert "He says: the card was wrong." in text(other.panel.head)
    other.fill(outcome="assess again", reason="The card was wrong.")
    assert "Recorded" in other.sign()
    with other.records.reading() as connection:
        assert list(acts.read(connection, kind="settled"))[-1].facts["appeal"] == appeal


@pytest.mark.slow
def test_a_dispute_and_a_flag_are_looked_at_and_wait_no_more(at_desk):
    seat = at_desk()
    count = lists(seat.today)["To look into"]["count"]
    for word, outcome in (("disputed mark", "mark was wrong"), ("flag", "talked about")):
        items = lists(seat.today)["To look into"]["items"]
        item = next(one for one in items if one["tag"].startswith(word))
        seat.ask(seat.today, **item["buttons"][0]["ask"])
        assert ("The kit takes for right" in text(seat.panel.head)) == (word == "disputed mark")
        seat.fill(outcome=outcome, reason="Looked at it together.")
        assert "Recorded" in seat.sign()
        count -= 1
        assert lists(seat.today)["To look into"]["count"] == count


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"topic": "hours", "hours": ""}, "a number above 0"),
        ({"topic": "hours", "hours": "-2"}, "a number above 0"),
        ({"topic": "version taught"}, "card set 3"),
        ({"topic": "plan"}, "a few words"),
        ({"topic": "plan", "text": "Cook next.", "day": date(2027, 1, 1)}, "lies ahead"),
        ({"topic": "plan", "text": "Cook next.", "day": None}, "none is chosen"),
    ],
)
def test_a_note_that_says_nothing_is_refused_in_words(at_desk, values, says):
    seat = at_desk()
    seat.open("note", "Niamh")
    seat.fill(**values)
    seat.press(seat.panel.look)
    assert says in text(seat.panel.result) and seat.panel.proposal is None


@pytest.mark.slow
def test_hours_and_adjustments_reach_the_person_page(at_desk):
    seat = at_desk()
    seat.ask(seat.person, do="person", person=seat.id("Gwen"))
    assert "none on file" in text(seat.person)
    for values in (
        {"topic": "hours", "hours": "7.5"},
        {"topic": "adjustment", "support extra time": True, "text": "Agreed today."},
    ):
        seat.open("note", "Gwen")
        seat.fill(**values)
        assert "Recorded" in seat.sign()
    assert "7.5 h" in text(seat.person) and "extra time" in text(seat.person)


def test_the_board_opens_a_step_then_the_evidence_and_its_source(at_desk):
    seat = at_desk()
    (grid,) = blocks(seat.board, "grid")
    assert (grid["opens"], len(grid["rows"])) == ("step", 12)
    eithne = seat.id("Eithne")
    seat.ask(seat.board, do="step", person=eithne, criterion="cook", **{"from": "board"})
    (grid,) = blocks(seat.board, "grid")
    row = next(one for one in grid["rows"] if one["person"] == eithne)
    place = [column["id"] for column in grid["columns"]].index("COK-P01")
    assert row["cells"][place]["word"] == "competent" and "review by" in row["cells"][place]["says"]
    assert all(cell["state"] for cell in row["cells"])
    seat.ask(seat.board, do="evidence", person=eithne, criterion="COK-P01", **{"from": "board"})
    shown = text(seat.board)
    assert "Codex CXS 311-2013" in shown and "Where the limits come from" in shown
    assert "Probed the thickest fillet" in shown and seat.board.shown["focus"] == "evidence"
    seat.ask(seat.board, do="close board")
    assert "Where the limits come from" not in text(seat.board)
    seat.ask(seat.board, do="board", search="wilk")
    (grid,) = blocks(seat.board, "grid")
    assert [one["name"] for one in grid["rows"]] == ["Tomasz Wilk"]


@pytest.mark.slow
def test_a_person_page_and_the_way_back(at_desk):
    seat = at_desk()
    seat.ask(seat.person, do="find", search="pham")
    assert [b["label"] for b in blocks(seat.person, "buttons")[0]["buttons"]] == ["Linh Pham"]
    seat.ask(seat.person, do="person", person=seat.id("Linh"))
    shown = text(seat.person)
    assert "interpreter" in shown and "card set 3, Irish rules" in shown and "<svg" in shown
    assert "To look into" in shown  # her explanation waits
    seat.ask(seat.person, do="evidence", person=seat.id("Linh"), criterion="PEL-P02")
    assert "used: interpreter" in text(seat.person)
    seat.ask(seat.person, do="close")
    assert "Linh Pham" in text(seat.person)
    seat.ask(seat.person, do="another")
    assert blocks(seat.person, "finder")


@pytest.mark.slow
def test_how_a_book_came_about_is_one_link_away_and_asks_three_questions(at_desk):
    seat = at_desk()
    linh = seat.id("Linh")
    seat.ask(seat.person, do="person", person=linh)
    links = [one for row in blocks(seat.person, "buttons") for one in row["buttons"]]
    (link,) = [one for one in links if one["label"] == "How this book came about"]
    seat.ask(seat.person, **link["ask"])
    shown = text(seat.person)
    assert "accuse nobody" in shown and "Time for an answer" in shown and "The book was begun" in shown
    assert shown.count("A good answer") == 3 and seat.person.shown["focus"] == "book"
    (back,) = blocks(seat.person, "buttons")
    seat.ask(seat.person, **back["buttons"][0]["ask"])
    assert "Where they stand" in text(seat.person)


def test_a_form_with_words_in_it_is_not_thrown_away_by_another(at_desk):
    seat = at_desk()
    seat.open("decide", "Eithne", criterion="COK-P03")
    seat.fill(reason="Half a sentence")
    seat.open("note", "Eithne")
    assert "Close it first" in text(seat.person)
    assert seat.panel.form.sort == "decide" and seat.panel.fields["reason"].value == "Half a sentence"
    seat.ask(seat.panel.head, do="close")
    seat.open("note", "Eithne")
    assert seat.panel.form.sort == "note"


@pytest.mark.slow
def test_a_file_is_kept_and_an_observation_points_to_it(at_desk, tmp_path):
    seat = at_desk()
    seat.open("attach", "Niamh")
    seat.press(seat.panel.look)
    assert "the whole path of a file" in text(seat.panel.result)
    log = tmp_path / "cabinet.csv"
    rows = [f"2026-11-24 10:{minute:02d},{40 + minute:.1f}" for minute in range(0, 45)]
    log.write_text("time,core_c\n" + "\n".join(rows) + "\n")
    seat.fill(path=str(log), kind="photo")
    assert "is no photo" in seat.sign()
    seat.fill(kind="logger")
    said = seat.sign()
    assert "Recorded" in said and "The log shows" in said
    seat.open("attach", "Niamh")
    seat.fill(path=str(log), kind="logger")
    assert "on file about this person already" in seat.sign()
    seat.ask(seat.panel.head, do="close")
    seat.open("observe", "Niamh", step="cook", criterion="COK-P01")
    (name,) = [each for each in seat.panel.fields if each.startswith("file ")]
    seat.fill(**{name: True, "point COK-P01": "met", "batch": "C-1", "declared": True})
    assert "Recorded" in seat.sign()
    with seat.records.reading() as connection:
        act = list(acts.read(connection, kind="observed"))[-1]
    assert act.facts["files"] == [name.removeprefix("file ")] and act.facts["verdicts"]
    seat.ask(seat.person, do="evidence", person=seat.id("Niamh"), criterion="COK-P01")
    assert "1 on file; log: " in text(seat.person)


def test_anything_chosen_in_a_form_counts_as_typed(at_desk):
    seat = at_desk()
    seat.open("note", "Eithne")
    assert not seat.panel.touched
    seat.fill(hours="6")
    assert seat.panel.touched
    seat.open("decide", "Eithne", criterion="COK-P03")
    assert "Close it first" in text(seat.person) and seat.panel.fields["hours"].value == "6"


@pytest.mark.slow
def test_what_somebody_else_recorded_is_read_again(at_desk):
    seat, other = at_desk(), at_desk("Ines Roald")
    other.ask(other.today, **lists(other.today)["To sign"]["items"][0]["buttons"][1]["ask"])
    other.fill(agrees="agree", reason="Read the sheets.")
    assert "Recorded" in other.sign()
    assert "2 decisions of your own" in text(seat.today)
    seat.ask(seat.today, do="again")
    assert "1 decision of your own" in text(seat.today)


@pytest.mark.parametrize(
    ("error", "says"),
    [(OSError(28, "No space left"), "The disk refused: No space left."), (RuntimeError("x"), "has a fault")],
)
def test_a_fault_is_said_on_the_page_and_the_page_goes_on(at_desk, monkeypatch, error, says):
    seat = at_desk()

    def fail(*_: Any, **__: Any) -> None:
        raise error

    monkeypatch.setattr("kit.records.reports.crew_grid.crew_page", fail)
    seat.ask(seat.board, do="board", step="cook")
    assert says in text(seat.board) and blocks(seat.board, "grid")
    monkeypatch.undo()
    seat.ask(seat.board, do="board", step="cook")
    assert says not in text(seat.board)


def test_a_key_that_is_not_on_this_machine_is_said(at_desk, throw_away_home):
    seat = at_desk()
    for path in (throw_away_home / "tutor" / "keys").glob("*.json"):
        path.unlink()
    (throw_away_home / "tutor" / "keys" / "other.json").write_text("{}")
    seat.open("decide", "Eithne", criterion="COK-P03")
    seat.fill(decision="not yet competent", reason="One more batch.")
    assert "not on this machine" in seat.sign()


def test_nobody_at_the_desk_can_look_but_not_sign(at_desk):
    seat = at_desk()
    alone = TutorDesk(records=seat.records, me="", clock=lambda: NOW)
    assert "You can look, but not sign" in text(alone.today())
    part = alone.person()
    seat.ask(part, do="evidence", person=seat.id("Eithne"), criterion="COK-P03")
    (row,) = blocks(part, "buttons")
    assert [one["label"] for one in row["buttons"]] == ["The whole page"]


def test_without_records_each_part_says_what_to_do_first():
    desk = TutorDesk()
    for part in (desk.today(), desk.board(), desk.person(), desk.manager(), desk.sign()):
        assert repr(part) == NO_RECORDS
    assert desk.end() == NO_RECORDS


def test_the_end_of_the_chain_is_told(at_desk):
    assert f"act {at_desk().head()}" in at_desk().desk.end()


@pytest.mark.slow
def test_review_date_of_the_preview_is_the_one_recorded(at_desk):
    seat = at_desk()
    seat.open("decide", "Eithne", criterion="COK-P03")
    seat.fill(decision="competent", reason="Seen on 3 batches.")
    seat.press(seat.panel.look)
    wanted = (NOW.date() + relativedelta(months=12)).isoformat()
    assert wanted in text(seat.panel.preview)
    seat.sign()
    with seat.records.reading() as connection:
        assert acts.get(connection, seat.head()).facts["review_on"] == wanted
