"""The workbook, the rows of decisions, and the copy of all that is held about one person."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from datetime import UTC, datetime

import pytest
from openpyxl import load_workbook
from PIL import Image
from pypdf import PdfReader

from kit import criteria
from kit.basics.errors import UnknownName
from kit.records import take_in
from kit.records.competence import deciding, observations
from kit.records.evidence import kept_files
from kit.records.ledger import acts, texts
from kit.records.people import staff
from kit.records.reports import as_workbook, decisions_csv, own_record
from kit.records.reports.tables_xlsx import LONGEST_CELL

MADE = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
FORMULAS = ("=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", '=HYPERLINK("http://x","y")')


@pytest.fixture
def decided(kitchen):
    for day in (1, 2):
        kitchen.see(day, notes="Calm at the door.", supports=["read aloud"], measures={"core_temp_c": 68.5})
    act = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Seen on 2 batches.")
    deciding.verify(kitchen.verifier, act.number, True, "Read both sheets.")
    return act


def sheets(data: bytes) -> dict[str, list[dict[str, object]]]:
    book = load_workbook(io.BytesIO(data))
    found = {}
    for sheet in book:
        head, *rows = sheet.iter_rows(values_only=True)
        found[sheet.title] = [dict(zip(head, row, strict=True)) for row in rows]
    return found


def test_the_workbook_holds_what_the_records_hold(kitchen, decided, bank):
    found = sheets(as_workbook(kitchen.records, None, MADE, bank))
    assert list(found) == ["people", "decisions", "observations", "acts", "criteria", "about"]
    with kitchen.records.reading() as connection:
        every = list(acts.read(connection))
        head = acts.head(connection)
    assert [row["act"] for row in found["acts"]] == [act.number for act in every]
    assert [row["hash"] for row in found["acts"]] == [act.hash for act in every]
    assert {row["name"] for row in found["people"]} >= {"Tam Ferris", "Osric Vane", "Ines Roald"}
    (row,) = found["decisions"]
    assert (row["criterion"], row["stands today"], row["decided by"]) == (
        "COK-P01",
        "competent",
        "Osric Vane",
    )
    assert (row["signature"], row["second signature"], row["act"]) == (
        "fits",
        "agreed: Ines Roald",
        decided.number,
    )
    assert row["review date"] == decided.facts["review_on"] and row["reason"] == "Seen on 2 batches."
    assert [row["outcome"] for row in found["observations"]] == ["met", "met"]
    assert found["observations"][0]["weights and temperatures"] == "core temperature 68.5 °C"
    assert [row["criterion"] for row in found["criteria"]] == list(bank.criteria)
    about = [row["value"] for row in found["about"]]
    assert f"{head.short} (act {head.number})" in about and any("fits" in str(each) for each in about)


def test_the_workbook_of_one_person_holds_nobody_else(kitchen, decided, bank):
    other = staff.take_on(kitchen.tutor, "apprentice", name="Ada Quill")
    staff.note(kitchen.tutor, other, "note", "Of Ada alone.")
    found = sheets(as_workbook(kitchen.records, "Ada Quill", MADE, bank))
    assert [row["person id"] for row in found["people"]] == [other]
    assert not found["decisions"] and not found["observations"]
    assert {row["person id"] for row in found["acts"]} == {other}


@pytest.mark.slow
def test_what_looks_like_a_formula_stays_text(kitchen, bank):
    for day, typed in enumerate(FORMULAS, start=1):
        kitchen.see(day, notes=typed)
        deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", typed)
    staff.take_on(kitchen.tutor, "apprentice", name="=cmd")
    data = as_workbook(kitchen.records, None, MADE, bank)
    for sheet in load_workbook(io.BytesIO(data)):
        assert not [
            cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f" or cell.hyperlink
        ]
    with zipfile.ZipFile(io.BytesIO(data)) as raw:
        names = [name for name in raw.namelist() if name.startswith("xl/worksheets/sheet")]
        assert names and not [name for name in names if b"<f>" in raw.read(name)]
    found = sheets(data)
    assert [row["reason"] for row in found["decisions"]] == list(FORMULAS)
    rows = list(csv.DictReader(io.StringIO(decisions_csv(kitchen.records, None, MADE, bank))))
    assert [row["reason"] for row in rows] == [f"'{each}" for each in FORMULAS]


def test_the_head_is_frozen_and_columns_are_wide_enough(kitchen, decided, bank):
    for sheet in load_workbook(io.BytesIO(as_workbook(kitchen.records, None, MADE, bank))):
        assert sheet.freeze_panes == "A2"
        assert all(8 <= sheet.column_dimensions[name].width <= 61 for name in sheet.column_dimensions)
        assert sheet["A1"].font.bold


@pytest.mark.slow
def test_a_text_longer_than_a_cell_is_cut_and_says_so(kitchen, bank):
    many = [("x" * 7_900, "y" * 7_900, True)] * 3
    kitchen.see(1, asked=many)
    facts = [str(row["facts"]) for row in sheets(as_workbook(kitchen.records, None, MADE, bank))["acts"]]
    (long,) = [each for each in facts if len(each) > LONGEST_CELL]
    assert "(cut: " in long and len(long) < 32_767


def test_the_rows_tell_each_decision_and_which_was_replaced(kitchen, bank):
    kitchen.see(1)
    deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "not yet competent", "One batch, so far.")
    kitchen.see(2)
    second = deciding.decide(kitchen.tutor, kitchen.apprentice, "COK-P01", "competent", "Two\nbatches.")
    deciding.appeal(kitchen.tutor, second.number, "Too early.")
    first, last = csv.DictReader(io.StringIO(decisions_csv(kitchen.records, None, MADE, bank)))
    assert (first["stands today"], first["appeal open"]) == ("replaced by a later decision", "no")
    assert (last["stands today"], last["appeal open"]) == ("opened again: an appeal waits", "yes")
    assert (last["decision recorded"], last["second signature"]) == ("competent", "wanted")
    assert last["reason"] == "Two\nbatches."


def test_the_workbook_of_the_kits_own_criteria_has_all_of_them(kitchen):
    found = sheets(as_workbook(kitchen.records, None, MADE))
    assert [row["criterion"] for row in found["criteria"]] == [c.id for c in criteria.load()]
    assert {row["source read"] for row in found["criteria"]} == {"yes", "from memory: confirm"}


# One person's own copy


def opened(data: bytes) -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(data))


@pytest.mark.slow
def test_the_own_copy_holds_acts_with_words_answers_papers_and_files(kitchen, decided, bank, write, tmp_path):
    book = write(kitchen.apprentice, "Tam Ferris")
    for day in range(3):
        book.attempt("core-hold", day=day)
    photo = tmp_path / "sheet.png"
    Image.new("L", (8, 8)).save(photo)
    kitchen.clock.on(10)
    take_in(kitchen.records, [book.path], now=kitchen.clock.now, catalogue=bank)
    kept = kept_files.attach(kitchen.tutor, photo, kitchen.apprentice, "photo")
    archive = opened(own_record(kitchen.records, kitchen.apprentice, MADE, bank))
    assert archive.testzip() is None
    held = json.loads(archive.read("record.json"))
    assert [each["name"] for each in held["names"]] == ["Tam Ferris"]
    with kitchen.records.reading() as connection:
        mine = [act.number for act in acts.read(connection, person=kitchen.apprentice)]
    told = {each["act"]: each for each in held["acts about this person"]}
    assert list(told) == mine
    assert told[decided.number]["says"]["reason"] == "Seen on 2 batches."
    assert told[decided.number]["signature fits"] is True
    assert told[mine[1]]["says"]["supports"] == ["read aloud"]
    answers = json.loads(archive.read("answers.json"))
    assert len(answers["marks"]) == 3 and len(answers["lines"]) == 4
    assert answers["lines"][1]["exercise name"] == "core-hold"
    seen = [name for name in archive.namelist() if name.startswith("observations/")]
    assert len(seen) == 2
    paper = PdfReader(io.BytesIO(archive.read(seen[0])))
    text = " ".join(" ".join(page.extract_text().split()) for page in paper.pages)
    for said in (
        "Calm at the door.",
        "read aloud",
        "core temperature 68.5 °C",
        "batch B001",
        "COK-P01",
        "met",
    ):
        assert said in text, said
    assert "declared by the apprentice" in text and "signature fits" in text
    assert archive.read(f"files/{kept.sha256}.png") == photo.read_bytes()
    assert b"%PDF-" in archive.read("inspector.pdf")[:8]
    assert b"files kept as evidence: 1 here" in archive.read("READ ME.txt")


@pytest.mark.slow
def test_a_file_that_is_missing_or_changed_is_named_and_left_out(kitchen, bank, tmp_path):
    for number in range(2):
        photo = tmp_path / f"{number}.png"
        Image.new("L", (8, 8), number).save(photo)
        kept = kept_files.attach(kitchen.tutor, photo, kitchen.apprentice, "photo")
        place = kept_files.path_of(kitchen.records, kept.sha256)
        place.chmod(0o600)
        place.unlink() if number else place.write_bytes(b"other")
    archive = opened(own_record(kitchen.records, kitchen.apprentice, MADE, bank))
    assert not [name for name in archive.namelist() if name.startswith("files/")]
    assert b"0 here, 0 erased, missing or damaged: " in archive.read("READ ME.txt")


def test_the_own_copy_of_a_tutor_keeps_others_words_out(kitchen, decided, bank):
    observations.correct(kitchen.tutor, "B001", "Too cool.", "Cooked on.", day=kitchen.clock.now.date())
    archive = opened(own_record(kitchen.records, kitchen.tutor.person, MADE, bank))
    whole = archive.read("record.json").decode()
    assert "Calm at the door." not in whole and kitchen.apprentice not in whole
    assert "Too cool." in whole  # their own words
    held = json.loads(whole)
    assert decided.number in [each["number"] for each in held["acts made by this person about others"]]
    assert held["competence to assess"][0]["what"] == "Assessor course"


@pytest.mark.slow
def test_an_erased_person_has_a_copy_without_words(kitchen, decided, bank):
    from kit.records.upkeep.erase import erase_person

    kitchen.clock.on(20)
    staff.leave(kitchen.manager, kitchen.apprentice, "apprentice")
    erase_person(kitchen.manager, kitchen.apprentice, "asked for it", retention_years=0)
    archive = opened(own_record(kitchen.records, kitchen.apprentice, MADE, bank))
    whole = b"".join(archive.read(name) for name in archive.namelist() if not name.endswith(".pdf")).decode()
    assert texts.ERASED in whole and "Seen on 2 batches" not in whole and "Tam" not in whole


@pytest.mark.slow
def test_the_same_moment_gives_the_same_zip(kitchen, decided, bank):
    first = own_record(kitchen.records, kitchen.apprentice, MADE, bank)
    assert first == own_record(kitchen.records, kitchen.apprentice, MADE, bank)
    with pytest.raises(UnknownName):
        own_record(kitchen.records, "Nobody Here", MADE, bank)
