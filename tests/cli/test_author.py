"""What an author sees of one exercise, rule or explorer, and how the answers' outputs are filled."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from kit import exercises, rules
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.cli import smokehouse
from kit.cli.author import fill
from kit.cli.author.look import preview, write_picture
from kit.views.pictures.register import explorer_names

ANSWERS = Path(__file__).resolve().parents[2] / "answers"
RULES = {rule.id: rule for name in rules.PROFILES for rule in rules.load(name)}


def notebook(path: Path, *cells: str) -> Path:
    made = [
        {
            "cell_type": "code",
            "id": f"c{n}",
            "metadata": {},
            "source": [cell],
            "outputs": [],
            "execution_count": None,
        }
        for n, cell in enumerate(cells)
    ]
    book = {"cells": made, "metadata": {"title": "Small"}, "nbformat": 4, "nbformat_minor": 5}
    path.write_text(json.dumps(book), encoding="utf-8")
    return path


def test_no_name_stands_for_two_things_to_look_at():
    every = [*exercises.ids(), *exercises.explain_ids(), *RULES, *explorer_names()]
    assert len(every) == len(set(every))


@pytest.mark.slow
def test_an_exercise_is_shown_with_its_variant_and_its_slips():
    made = preview("salt-for-brine", seed=7)
    asked = exercises.question("salt-for-brine", 7)
    for words in (asked.text, asked.worked, *(slip.says for slip in asked.slips)):
        assert " ".join(words.split()) in " ".join(made.text.split())


@pytest.mark.parametrize("name", RULES)
def test_a_rule_is_shown_with_its_source_and_both_examples_as_judged(name):
    text, rule = preview(name).text, RULES[name]
    assert rule.limit in text and rule.says in text and rule.locator in text
    if rule.has_number:
        assert "Example that passes" in text and "is 'met'" in text
        assert "Example that fails" in text and "is 'not met'" in text
    assert (rules.FROM_MEMORY in text) == (not rule.seen)


def test_an_explorer_is_shown_as_set(tmp_path):
    made = preview("hold-and-kill", settings=["core_c=60", "hold_min=5"])
    assert "core_c=60.0; hold_min=5.0" in made.text and "Your hold: 5 min at 60 °C" in made.text
    write_picture(made, tmp_path / "look.png")
    assert (tmp_path / "look.png").read_bytes()[:4] == b"\x89PNG"


@pytest.mark.slow
def test_a_drawing_is_written_as_what_it_is(tmp_path):
    drawn = preview("where-the-bones-sit")
    with pytest.raises(OutOfRange, match="svg"):
        write_picture(drawn, tmp_path / "look.png")
    write_picture(drawn, tmp_path / "look.svg")
    assert (tmp_path / "look.svg").read_text().lstrip().startswith("<svg")
    with pytest.raises(BadData, match="no picture"):
        write_picture(preview("ie-chill-150"), tmp_path / "look.svg")


def test_a_wrong_name_and_a_wrong_control_are_said():
    with pytest.raises(UnknownName, match="Did you mean 'salt-for-brine'"):
        preview("salt-for-brin")
    with pytest.raises(UnknownName, match="hold_min"):
        preview("hold-and-kill", settings=["core=60"])


def test_the_command_shows_and_writes(tmp_path):
    out = tmp_path / "look.svg"
    run = CliRunner().invoke(smokehouse, ["author", "look", "hold-and-kill", "--out", str(out)])
    assert run.exit_code == 0 and "Your hold" in run.output and out.exists()


@pytest.mark.slow
def test_outputs_are_filled_once_and_then_left_alone(tmp_path):
    path = notebook(tmp_path / "small.ipynb", "print('one')\nprint('two')", "1 + 1")
    assert fill.fill_outputs(path) is True
    book = json.loads(path.read_text(encoding="utf-8"))
    assert [cell["outputs"] for cell in book["cells"]] == [
        [{"name": "stdout", "output_type": "stream", "text": ["one\n", "two\n"]}],
        [
            {
                "data": {"text/plain": ["2"]},
                "execution_count": 2,
                "metadata": {},
                "output_type": "execute_result",
            }
        ],
    ]
    assert book["metadata"] == {"title": "Small"}
    before = path.read_bytes()
    assert fill.fill_outputs(path) is False
    assert path.read_bytes() == before


@pytest.mark.slow
def test_a_cell_that_fails_is_named_and_the_file_stays(tmp_path):
    path = notebook(tmp_path / "small.ipynb", "1 / 0")
    before = path.read_bytes()
    with pytest.raises(BadData, match="ZeroDivisionError"):
        fill.fill_outputs(path)
    assert path.read_bytes() == before


@pytest.mark.slow
def test_a_cell_that_warns_is_named_and_the_file_stays(tmp_path):
    path = notebook(
        tmp_path / "small.ipynb", "import warnings; warnings.warn('the root of less than nothing')"
    )
    before = path.read_bytes()
    with pytest.raises(BadData, match="less than nothing"):
        fill.fill_outputs(path)
    assert path.read_bytes() == before


@pytest.mark.slow
def test_a_notebook_is_filled_with_nobody_at_work(tmp_path, monkeypatch):
    monkeypatch.setenv("SMOKEHOUSE_PERSON", "p-somebody")
    monkeypatch.setenv("SMOKEHOUSE_HOME", str(tmp_path))
    said = "import os; print('SMOKEHOUSE_PERSON' in os.environ, os.environ['SMOKEHOUSE_HOME'])"
    path = notebook(tmp_path / "small.ipynb", said)
    fill.fill_outputs(path)
    text = path.read_text(encoding="utf-8").split('"text": [')[1]
    assert "False" in text and str(tmp_path) not in text


def test_the_live_desk_is_not_filled():
    names = {path.name for path in fill.filled_notebooks()}
    assert names == {path.name for path in ANSWERS.glob("*.ipynb")} - {"tutor_desk.ipynb"}
