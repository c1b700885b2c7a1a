"""`smokehouse today`: the same as the first page, in a terminal. And where plain `open` goes."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from kit.cli import main
from kit.cli.apprentice.workbooks import where_on
from kit.files import local_now
from kit.practice import create, prepare, start
from kit.practice.lesson_files import TODAY_FILE, in_reading_order
from kit.views import FirstPage


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    with pytest.raises(SystemExit) as stopped:
        main(["today", *arguments])
    shown = capsys.readouterr()
    assert stopped.value.code in (0, None), shown.err
    return shown.out


def worked(person, count: int, clock=local_now):
    work = start(person.id, clock=clock)
    for name in in_reading_order(work.catalogue.ids())[:count]:
        work.check(name, work.current(name).question.answer)
    return work


def days_ago(days: int):
    return lambda: datetime.now().astimezone() - timedelta(days=days)


@pytest.mark.slow
def test_the_terminal_says_what_the_page_says(capsys, throw_away_home: Path):
    work = worked(create("Ana Lind"), 12, days_ago(7))
    work = start(work.person.id)
    text = said(capsys)
    page = FirstPage(work=work).today().page
    for row in page["round"]:
        assert f"{row['title']}: {row['why']}" in text
    assert page["carry_on"]["title"] in text and page["show"][:40] in text
    assert all(step["title"] in text for step in page["steps"])
    assert f"about {page['minutes']} min" in text


def test_it_keeps_nothing(capsys, throw_away_home: Path):
    work = worked(create("Ana Lind"), 3, days_ago(7))
    before = work.person.book_path.read_bytes()
    said(capsys, "--as", "Ana Lind")
    assert work.person.book_path.read_bytes() == before


def test_without_anybody_it_says_how_to_begin(capsys, throw_away_home: Path):
    with pytest.raises(SystemExit) as stopped:
        main(["today"])
    assert stopped.value.code == 2
    assert "nobody works here yet" in capsys.readouterr().err


def test_plain_open_goes_where_the_person_was(throw_away_home: Path):
    person = create("Ana Lind")
    folder = prepare(person).folder
    assert where_on(person, folder) == ("00_start_here.ipynb", "")
    worked(person, 12, days_ago(1))
    assert where_on(person, folder) == (TODAY_FILE, "")  # another day: Today comes first
    work = start(person.id)
    name = work.today().carry_on.exercise
    work.check(name, work.current(name).question.answer)
    on = work.today().carry_on
    page, task = where_on(person, folder)
    assert (page[:2], task) == (f"{on.lesson:02}", on.exercise)
    (folder / page).unlink()
    assert where_on(person, folder) == (TODAY_FILE, "")
    (folder / TODAY_FILE).unlink()
    assert where_on(person, folder) == ("00_start_here.ipynb", "")


def test_a_damaged_book_does_not_stop_plain_open(throw_away_home: Path):
    person = create("Ana Lind")
    folder = prepare(person).folder
    person.book_path.write_bytes(b"\xff\xfe not a book")
    assert where_on(person, folder) == ("00_start_here.ipynb", "")
