"""Sheets, reports and a person's own copy, by the commands that people type."""

from __future__ import annotations

import csv
import io
import stat
import zipfile
from datetime import UTC, datetime

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from openpyxl import load_workbook
from pypdf import PdfReader

from kit.cli import main
from kit.files.joined_kitchen import join
from kit.files.kitchen_file import KeyHolder, make_kitchen, write_kitchen
from kit.files.signing import Signer
from kit.records import open_records
from kit.records.people import staff


@pytest.fixture
def records_file(throw_away_home):
    """New records with a manager and two apprentices, where the commands look for them."""
    records = open_records()
    manager = staff.begin(records, "Berit Falk", lambda: datetime(2026, 3, 2, 9, tzinfo=UTC))
    for name in ("Łucja Dąbrowska", "Tam Ferris"):
        staff.take_on(manager, "apprentice", name=name)
    records.close()
    return records.path


def run(*args: str) -> int:
    with pytest.raises(SystemExit) as stopped:
        main(list(args))
    return int(stopped.value.code or 0)


def text_of(path) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(path).pages)


def private(path) -> bool:
    return stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_sheet_without_records_or_options(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run("sheet", "cook") == 0
    assert "COK-P01" in text_of(tmp_path / "sheet-cook.pdf")
    assert private(tmp_path / "sheet-cook.pdf") and [p.name for p in tmp_path.iterdir()] == ["sheet-cook.pdf"]
    assert "Written to sheet-cook.pdf" in capsys.readouterr().out


def test_a_sheet_with_a_name_a_kitchen_and_the_limits(tmp_path, records_file):
    out = tmp_path / "chill.html"
    options = ["--person", "łucja", "--kitchen", "Harbour Lane", "--rules", "ie"]
    assert run("sheet", "chill", "--out", str(out), *options) == 0
    page = out.read_text(encoding="utf-8")
    assert "Łucja Dąbrowska" in page and "Harbour Lane" in page and "Limits in force: Ireland" in page


def test_a_joined_kitchen_stands_on_its_sheets(tmp_path):
    signer = Signer(Ed25519PrivateKey.generate())
    tutor = KeyHolder("tutor", "Mara Quill", signer.public)
    kitchen = make_kitchen("Harbour Lane", profile="ie", keys=[tutor], signer=signer)
    write_kitchen(tmp_path / "kitchen.toml", kitchen)
    join(tmp_path / "kitchen.toml")
    out = tmp_path / "sheet.pdf"
    assert run("sheet", "chill", "--out", str(out)) == 0
    assert "Harbour Lane" in text_of(out) and "Limits in force: Harbour Lane: Ireland" in text_of(out)


def test_a_wrong_step_is_one_line_and_writes_nothing(tmp_path, monkeypatch, capfd):
    monkeypatch.chdir(tmp_path)
    assert run("sheet", "fry") == 2
    said = capfd.readouterr().err.strip()
    assert "There is no step called 'fry'" in said and "\n" not in said and not list(tmp_path.iterdir())


@pytest.mark.parametrize("args", [("sheet", "cook"), ("report",), ("my-record", "--person", "Tam Ferris")])
def test_another_ending_is_refused_before_anything_is_read(tmp_path, args, capfd):
    assert run(*args, "--out", str(tmp_path / "paper.docx")) == 2
    assert "the ending of --out is .docx" in capfd.readouterr().err
    assert not list(tmp_path.iterdir())


@pytest.mark.slow
def test_a_report_in_each_form(tmp_path, records_file):
    pdf, book, rows = (tmp_path / f"report{ending}" for ending in (".pdf", ".xlsx", ".csv"))
    for out in (pdf, book, rows):
        assert run("report", "--out", str(out)) == 0
        assert private(out)
    assert "Everybody on record" in text_of(pdf) and "Łucja Dąbrowska" in text_of(pdf)
    assert load_workbook(book).sheetnames[0] == "people"
    said = rows.read_bytes()
    assert said.startswith(b"\xef\xbb\xbf")  # the mark makes spreadsheets read the accents
    (head,) = csv.reader(io.StringIO(said.decode("utf-8-sig")))
    assert "stands today" in head


@pytest.mark.slow
def test_a_report_of_one_person_replaces_an_older_one_whole(tmp_path, records_file):
    out = tmp_path / "tam.pdf"
    out.write_bytes(b"old")
    assert run("report", "--person", "Tam Ferris", "--out", str(out)) == 0
    assert "Tam Ferris" in text_of(out) and "Łucja" not in text_of(out)
    before = out.read_bytes()
    assert run("report", "--person", "Nobody", "--out", str(out)) == 2
    assert out.read_bytes() == before and [p.name for p in tmp_path.iterdir()] == ["tam.pdf"]


@pytest.mark.slow
def test_ones_own_copy(tmp_path, records_file, capsys):
    out = tmp_path / "mine.zip"
    assert run("my-record", "--person", "Łucja Dąbrowska", "--out", str(out)) == 0
    assert private(out) and "inspector.pdf" in zipfile.ZipFile(out).namelist()
    assert "personal data" in capsys.readouterr().out


@pytest.mark.parametrize("args", [("report",), ("my-record", "--person", "Tam", "--out", "mine.zip")])
def test_without_records_it_is_one_line(tmp_path, monkeypatch, args, capfd):
    monkeypatch.chdir(tmp_path)
    assert run(*args) == 2
    said = capfd.readouterr().err.strip()
    assert "there are no records here" in said and "\n" not in said and not list(tmp_path.iterdir())


def test_a_chart_for_the_wall_and_a_summary_of_one_person(tmp_path, records_file, capsys):
    chart, rows = tmp_path / "wall.pdf", tmp_path / "tam.csv"
    assert run("report", "--wall", "--out", str(chart)) == 0
    assert "Tam Ferris" in text_of(chart) and private(chart)
    assert run("report", "--summary", "--person", "Tam Ferris", "--out", str(rows)) == 0
    assert rows.read_text("utf-8-sig").startswith("person id,name,step,criterion,") and private(rows)
    assert run("report", "--summary", "--out", str(rows)) == 2
    assert run("report", "--wall", "--out", str(rows)) == 2
    assert "--wall writes .pdf" in capsys.readouterr().err


@pytest.mark.slow
def test_this_week_and_a_summary_on_paper(tmp_path, records_file, capsys):
    week, tam = tmp_path / "week.pdf", tmp_path / "tam.pdf"
    assert run("report", "--week", "--out", str(week)) == 0
    assert "This week, from" in text_of(week) and private(week)
    assert run("report", "--summary", "--person", "tam", "--out", str(tam)) == 0
    assert "No certificate" in text_of(tam) and "Łucja" not in text_of(tam) and private(tam)
    for wrong in (
        ["--week", "--wall"],
        ["--week", "--summary", "--person", "tam"],
        ["--week", "--person", "tam"],
    ):
        assert run("report", *wrong, "--out", str(tmp_path / "no.pdf")) == 2
    assert "--wall and --week show everybody" in capsys.readouterr().err
    assert not (tmp_path / "no.pdf").exists()
