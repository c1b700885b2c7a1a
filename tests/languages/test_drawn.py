"""What code composes for pictures and reports: found again by its sentences, and true to the English."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from kit.cli.author.drawn_texts import composed_texts, drawn_template, sentences
from kit.cli.author.language import read_catalogue, state_of
from kit.languages import catalogue_file, load
from kit.languages.language import DRAWN

COMPLETE = ("pl", "es")
BATCH = sorted(Path("kit/exercises/lesson_08").glob("batch*.py"))
MOST_LACKING = 0.1
"""A text that was reworded shows in English until a translator looked; no more than a tenth may wait so."""


@pytest.mark.parametrize("code", COMPLETE)
def test_what_is_translated_keeps_numbers_and_gaps_and_fits_its_box(code: str):
    catalogue = read_catalogue(catalogue_file(code).with_name(DRAWN), code)
    assert state_of(catalogue).faulty == ()
    assert len(catalogue) > 600


@pytest.mark.slow
@pytest.mark.parametrize("code", COMPLETE)
def test_pictures_in_words_and_the_report_of_a_batch_are_there(code: str):
    known = load(code).page()
    asked = {str(one.id) for one in drawn_template() if one.id}
    shown = {text for path in BATCH for text in composed_texts(path)}
    words = {one for text in _teaching_words() for one in sentences(text)}
    assert len(asked) > len(shown) > 300 and len(words) > 200
    for each in (shown, words):
        lacking = each - known.keys()
        assert len(lacking) <= MOST_LACKING * len(each), sorted(lacking)[:20]


def _teaching_words() -> list[str]:
    file = Path("kit/views/pictures/teaching.toml")
    return [one["words"] for one in tomllib.loads(file.read_text(encoding="utf-8")).values()]


def test_the_strings_of_a_module_become_sentences_with_numbered_gaps(tmp_path: Path):
    module = tmp_path / "drawn.py"
    module.write_text(
        '"""A docstring is no text."""\n'
        'KEY = "a-key"\n'
        "def draw(core, limit):\n"
        '    raise_name_line("core")\n'
        '    ax.text(1, 2, "surface")\n'
        '    return f"Core: {core:.1f} °C. The limit is {limit:g} °C{more}."\n',
        encoding="utf-8",
    )
    wanted = {"Core: {n1} °C.", "The limit is {n1} °C{n2}.", "surface"}
    assert set(composed_texts(module)) == wanted
