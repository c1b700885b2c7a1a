"""Lessons keep the rhythm: one call a cell, no answers, no outputs, an exercise where it was taught."""

from __future__ import annotations

import ast
import json
import re
from itertools import groupby
from pathlib import Path

import pytest

from kit import exercises
from kit.rules import sources as rule_sources
from kit.rules.papers import paper_sources
from kit.views.pictures.register import explorer_named

ROOT = Path(__file__).resolve().parents[2]
LESSONS = sorted((ROOT / "lessons").glob("[0-9][0-9]_*.ipynb"))
MOST_CALLS_IN_A_ROW, MOST_WORDS = 2, 120
pytestmark = pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)


def book(path: Path):
    return json.loads(path.read_text(encoding="utf-8"))


def sources(path: Path, kind: str) -> list[str]:
    return ["".join(cell["source"]) for cell in book(path)["cells"] if cell["cell_type"] == kind]


def calls(path: Path, name: str) -> list[str]:
    return re.findall(rf'lesson\.{name}\(\s*"([^"]+)"', "\n".join(sources(path, "code")))


def test_it_is_committed_clean(path: Path):
    content = book(path)
    assert content["metadata"]["kit"] == {"lesson": int(path.name[:2]), "run_on_open": True}
    for cell in content["cells"]:
        if cell["cell_type"] == "code":
            assert cell["outputs"] == [] and cell["execution_count"] is None
    assert len({cell["id"] for cell in content["cells"]}) == len(content["cells"])


def test_it_is_short_and_calls_only(path: Path):
    content = book(path)
    assert len(content["cells"]) <= 45
    for kind, run in groupby(cell["cell_type"] for cell in content["cells"]):
        if kind == "code":
            assert len(list(run)) <= MOST_CALLS_IN_A_ROW
    for source in sources(path, "code"):
        assert len(source.splitlines()) <= 8
        tree = ast.parse(source)
        assert not [
            n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.ClassDef | ast.For | ast.While)
        ]
        names = [
            a.name for n in ast.walk(tree) if isinstance(n, ast.Import | ast.ImportFrom) for a in n.names
        ]
        assert set(names) <= {"Lesson"}


def sections(path: Path) -> dict[str, str]:
    """Return the prose of each ``##`` section, over all its cells, without tables and recaps."""
    found: dict[str, str] = {}
    title = ""
    for line in "\n".join(sources(path, "markdown")).splitlines():
        title = line[3:].strip() if line.startswith("## ") else title
        if not line.startswith(("## ", "|", "**Recap.**")):
            found[title] = found.get(title, "") + line + "\n"
    return found


def test_prose_is_short(path: Path):
    for title, text in sections(path).items():
        if title not in ("Cautions", "Sources"):
            assert len(text.split()) <= MOST_WORDS, f"{title}: {len(text.split())} words"


def test_every_exercise_of_the_lesson_is_there_once(path: Path):
    lesson = int(path.name[:2])
    shown = calls(path, "task")
    assert sorted(shown) == sorted({*exercises.ids(lesson), *exercises.explain_ids(lesson)})


def test_it_explores_recaps_warns_and_names_its_sources(path: Path):
    for name in calls(path, "explore"):
        explorer_named(name)
    text = "\n".join(sources(path, "markdown"))
    assert calls(path, "explore") and calls(path, "checklist")
    assert "Recap" in text
    for heading in ("## Cautions", "## Sources", "real life"):
        assert heading in text
    assert "competent person" in text


def test_its_sources_are_on_the_lists(path: Path):
    import tomllib

    science = tomllib.loads((ROOT / "kit" / "process" / "sources.toml").read_text(encoding="utf-8"))
    known = {source.title for source in (*rule_sources().values(), *paper_sources().values())}
    known |= {source["title"] for source in science.values()}
    text = "\n".join(sources(path, "markdown"))
    listed = text.split("## Sources")[1].split("##")[0]
    named = set(re.findall(r"\*([^*\n]+)\*", listed))
    assert named and named <= known, named - known
    assert "`" not in listed, "a source is named by its title, not by its key"


def test_no_answer_stands_in_it(path: Path):
    text = "\n".join([*sources(path, "markdown"), *sources(path, "code")])
    for name in exercises.ids(int(path.name[:2])):
        for seed in (1, 2):
            question = exercises.question(name, seed)
            for secret in (question.worked, *question.hints, *(slip.says for slip in question.slips)):
                assert not secret or secret not in text
