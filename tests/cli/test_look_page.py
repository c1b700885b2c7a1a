"""The author's page in the browser: everything on it, anew at each save, and why when it does not run."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from kit import rules
from kit.basics.errors import UnknownName
from kit.cli.author.author import command
from kit.cli.author.look_page import once_more, write_page


@pytest.mark.slow
def test_the_page_of_an_exercise_shows_each_profile_each_seed_and_every_figure(tmp_path: Path):
    page = write_page("own-last-day", tmp_path, seeds=3).read_text(encoding="utf-8")
    for profile in rules.PROFILES:
        assert f"Under the rules {profile}: 3 variants" in page
    assert page.count("<h3>Seed 2</h3>") == len(rules.PROFILES)
    for words in (
        "No fault found",
        "Who knows nothing is right",
        "words a sentence",
        "met with silence: none",
    ):
        assert words in page
    assert "counted from the next day" in page  # its slips


@pytest.mark.slow
def test_a_picture_stands_on_the_page_and_text_is_never_markup(tmp_path: Path):
    page = write_page("tip-in-the-ice", tmp_path, seeds=2).read_text(encoding="utf-8")
    assert page.count("<svg") == 2
    assert "&lt;b&gt;" in write_page("x", tmp_path, error="<b>").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["ie-fridge", "water-phase-salt", "explain-salt"])
def test_a_rule_an_explorer_and_an_explanation_have_a_page_too(name: str, tmp_path: Path):
    assert name in write_page(name, tmp_path, seeds=2).read_text(encoding="utf-8")


def test_the_command_writes_it_and_an_unknown_name_is_said(tmp_path: Path):
    said = CliRunner().invoke(command, ["look", "ie-fridge", "--page-in", str(tmp_path)])
    assert said.exit_code == 0 and "look.html" in said.output
    with pytest.raises(UnknownName):
        write_page("no-such-thing", tmp_path)


@pytest.mark.slow
def test_what_does_not_run_says_why_and_the_newest_look_has_another_stamp(tmp_path: Path):
    write_page("ie-fridge", tmp_path)
    before = (tmp_path / "stamp.js").read_text(encoding="utf-8")
    once_more("no-such-thing", tmp_path)  # a fresh program fails, as after a bad save
    page, stamp = ((tmp_path / name).read_text(encoding="utf-8") for name in ("look.html", "stamp.js"))
    assert "It does not run as it was saved" in page and "no-such-thing" in page
    assert stamp != before
    assert re.findall(r"\d{15,}", stamp)[0] in page
