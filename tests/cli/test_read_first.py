"""The page that is read while a workbook starts: the lesson's own words, at once, and then the lesson."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from kit.cli.apprentice import read_first

ADDRESS = 'http://127.0.0.1:8888/doc/tree/a.ipynb?token=s3cret"</script><script>#task'
LESSONS = sorted((Path(__file__).parents[2] / "lessons").glob("*.ipynb"))


@pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)
def test_every_lesson_has_words_to_begin_with(path: Path):
    shown = read_first.head_of(path)
    title = json.loads(path.read_text("utf-8"))["cells"][0]["source"][0].lstrip("# ").strip()
    assert f"<h1>{title}</h1>" in shown
    assert len(re.sub("<[^>]+>", "", shown).split()) >= 10
    assert "**" not in shown and "](" not in shown


def test_the_page_says_how_long_and_no_address_writes_a_script(tmp_path: Path):
    page = read_first.page(LESSONS[0], ADDRESS, 6.4)
    assert "Starting, about 6 s." in page
    assert page.count("<script>") == 1 and "s3cret" in page


def test_a_lesson_that_cannot_be_read_still_opens(tmp_path: Path):
    broken = tmp_path / "05_broken.ipynb"
    broken.write_text("{")
    assert read_first.head_of(broken) == read_first.head_of(tmp_path / "none.ipynb") == ""
    assert "Starting" in read_first.page(broken, ADDRESS, 6)


def test_words_of_a_lesson_write_no_page_of_their_own():
    assert "<script>" not in read_first.as_html("A <script>alert(1)</script> **word** & more")
