"""The board: practice never makes anybody competent, and every state says what is still missing."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime

import pytest

from kit.basics.errors import UnknownName
from kit.records import EVIDENCE_SAYS, board, take_in
from kit.records.reports.board import tries_of
from kit.records.reports.board_page import as_csv, as_html

MADE = datetime(2026, 6, 1, 12, tzinfo=UTC)


@pytest.fixture
def filled(write, records, bank, now):
    ana, ben = write(), write("p-ben", "Ben <b>Ó Sé</b>")
    for day in (0, 1, 2):
        ana.attempt("salt-sum", day=day)
        ana.attempt("core-hold", day=day, minute=5)
    ben.attempt("salt-sum", False, day=0)
    ben.attempt("chill-time", day=1)
    ben.note("dispute", verdict="not yet", text="I meant grams.")
    take_in(records, [ana.path, ben.path], catalogue=bank, now=now)
    return board(records, catalogue=bank, now=MADE)


def stand_of(found, name, criterion):
    person = next(each for each in found.people if each.name.startswith(name))
    return found.stands.of(person.person_id, criterion)


def state(found, name, criterion):
    return stand_of(found, name, criterion).state


def test_states_of_knowledge_and_of_work(filled):
    assert state(filled, "Ana", "CUR-K01") == "ready"  # the tutor decides
    assert state(filled, "Ana", "COK-K01") == "sitting"  # safety-critical: shown, and still not enough
    assert state(filled, "Ana", "COK-P01") == "observe"  # a quiz never proves work
    assert state(filled, "Ben", "CUR-K01") == "practising"
    assert state(filled, "Ben", "COK-K02") == "practising"
    assert state(filled, "Ben", "COK-K01") == "nothing"


def test_nobody_is_competent_by_practice(filled, records, bank):
    for person in filled.people:
        for stand in filled.stands.all_of(person.person_id).values():
            assert stand.decision == "not yet competent"
            assert stand.still.strip()
            assert stand.says == EVIDENCE_SAYS[stand.state]


def test_evidence_names_the_line_and_what_it_did(filled, records, bank):
    evidence = tries_of(records, filled.people[0], bank)["CUR-K01"]
    assert [each.exercise for each in evidence] == ["salt-sum"] * 3
    assert all(each.score == each.of for each in evidence)
    assert len({each.line for each in evidence}) == 3


def test_a_step_and_a_person_can_be_chosen_and_a_wrong_name_is_told(filled, records, bank):
    assert {each.step for each in board(records, step="cook", catalogue=bank).criteria} == {"cook"}
    assert [each.name for each in board(records, person="Ana Lind", catalogue=bank).people] == ["Ana Lind"]
    with pytest.raises(UnknownName, match="cook"):
        board(records, step="coook", catalogue=bank)
    with pytest.raises(UnknownName):
        board(records, person="Zoe", catalogue=bank)


def test_the_page_stands_alone_and_escapes_names(filled, records, bank):
    page = as_html(records, filled, bank)
    assert page.lower().startswith("<!doctype html>")
    assert "Ben &lt;b&gt;" in page and "<b>Ó" not in page
    assert "http://" not in page and "https://" not in page and " src=" not in page and "<link" not in page
    assert '<html lang="en' in page and "scope=" in page and "@media print" in page
    assert "competent" in page and "unsupervised" in page
    for words in EVIDENCE_SAYS.values():
        assert words.split(":")[0] in page


def test_the_table_holds_every_cell(filled):
    table = list(csv.reader(io.StringIO(as_csv(filled))))
    assert any("CUR-K01" in cell for row in table for cell in row)
    flat = [cell for row in table for cell in row]
    assert any(EVIDENCE_SAYS["sitting"] in cell for cell in flat)
    assert any(EVIDENCE_SAYS["observe"] in cell for cell in flat)


def test_an_empty_board_is_a_board(records, bank):
    found = board(records, catalogue=bank)
    assert found.people == ()
    assert as_html(records, found, bank)


def test_a_miss_where_it_can_hurt_makes_it_shaky_and_the_evidence_says_so(write, records, bank, now):
    cai = write("p-cai", "Cai Roe")
    for day, right in enumerate([True, True, True]):
        cai.attempt("core-hold", right, day=day)
    take_in(records, [cai.path], catalogue=bank, now=now)
    found = board(records, catalogue=bank, now=MADE)
    assert state(found, "Cai", "COK-K01") == "sitting"
    cai.attempt("core-hold", False, day=3)
    cai.attempt("core-hold", True, day=4)
    take_in(records, [cai.path], catalogue=bank, now=now)
    found = board(records, catalogue=bank)
    assert state(found, "Cai", "COK-K01") == "practising"
    roles = [e.role for e in tries_of(records, found.people[0], bank)["COK-K01"]]
    assert roles == ["counts"] * 3 + ["missed", "counts"]
    assert "shaky since March 2026: about 2 more right" in stand_of(found, "Cai", "COK-K01").still


@pytest.mark.slow
def test_a_name_cannot_become_a_formula_in_a_spreadsheet(write, records, bank, now):
    sly = write("p-sly", '=HYPERLINK("x")')
    sly.attempt("salt-sum", day=0)
    take_in(records, [sly.path], catalogue=bank, now=now)
    row = next(csv.reader(io.StringIO(as_csv(board(records, catalogue=bank)).split("\r\n", 1)[1])))
    assert row[1] == '\'=HYPERLINK("x")'


def test_standings_follow_a_change_of_what_is_evidence_for_what(filled, records, bank, monkeypatch):
    class Changed(type(bank)):
        evidence = {"salt-sum": ("COK-K02",)}  # noqa: RUF012 - never changed

    later = board(records, catalogue=Changed())
    assert state(later, "Ana", "COK-K02") == "ready"
    assert state(later, "Ana", "CUR-K01") == "nothing"
    back = board(records, catalogue=type(bank)())
    assert back.stands.evidence == filled.stands.evidence


@pytest.mark.slow
def test_a_decision_is_on_the_board_the_page_and_the_table(kitchen, bank):
    from kit.records.competence import deciding

    for day in (1, 2):
        kitchen.see(day)
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen twice.")
    found = board(kitchen.records, catalogue=bank, now=kitchen.clock.now)
    assert [person.name for person in found.people] == ["Tam Ferris"]  # tutors and managers are not on it
    tam = found.people[0]
    assert found.holding(tam) == 1
    assert found.stands.safety(tam.person_id) == (1, 2)
    page = as_html(kitchen.records, found, bank)
    assert "competent, signed once: a second signature is wanted" in page
    assert found.head.short in page and f"(act {act.number})" in page
    assert "Nobody on this page is competent" not in page
    row = next(row for row in csv.DictReader(io.StringIO(as_csv(found))) if row["criterion"] == "COK-P01")
    assert (row["decision"], row["act"], row["second signature"]) == ("competent", str(act.number), "wanted")
    deciding.verify(kitchen.verifier, act.number, False, "One sheet has no temperature.")
    later = board(kitchen.records, catalogue=bank, now=kitchen.clock.now)
    assert later.holding(tam) == 0
    stand = later.stands.of(tam.person_id, "COK-P01")
    assert (stand.decision, stand.still) == ("not yet competent", "A new decision by a tutor.")
