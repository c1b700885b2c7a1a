"""A whole lesson: its notebook, that of its answers and its package, begun, shown and checked."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import Any

from kit.basics.errors import BadData

MOST_CELLS, MOST_IN_A_ROW = 45, 2
_ENGINE = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
_HIDDEN = {"jupyter": {"source_hidden": True}}
_TITLE = """# $number · WRITE its title

WRITE one question from the smokehouse, and who asks it.

**After this lesson you will be able to**

- WRITE what they can do"""
_CLOSE = """## What to remember

WRITE it in a few lines. You recommend; a competent person decides.

## Where this fails in real life

WRITE what no sum here sees.

## Cautions

- WRITE each danger, and whom to ask. A competent person decides.
- This is study material. Your local rules come first.

## Sources

- WRITE each source by its title"""
_ANSWERS = """# Answers to lesson $number · WRITE its title

For the tutor. Each exercise is worked on one variant and marked by the kit on three.
Below each stand its slips."""


def lesson_skeleton(number: int, name: str, kit: Path) -> dict[Path, str]:
    """Return the files of a new lesson with what is in them, and write none.

    Raises
    ------
    BadData
        If a lesson of that number is there already, or no lesson has the number before it.
    """
    root, stem = kit.parent, f"{number:02d}_{name.replace('-', '_')}"
    there = sorted(int(path.name[:2]) for path in (root / "lessons").glob("[0-9][0-9]_*.ipynb"))
    if number in there or number - 1 not in there:
        raise BadData("lesson", f"{number} is not free, or leaves a gap", f"{max(there, default=-1) + 1}")
    lesson = [
        _prose("title", _TITLE, number),
        _call("setup", f"from kit.views import Lesson; lesson = Lesson({number})"),
        _prose("close", _CLOSE, number),
        _call("checklist", 'lesson.checklist("WRITE when to look at it", ["WRITE what must be true"])'),
    ]
    answers = [_prose("title", _ANSWERS, number), _call("setup", "from kit.views import show", {})]
    package = f'"""Exercises of lesson {number}: WRITE."""\n'
    about = {"kit": {"lesson": number, "run_on_open": True}}
    return {
        kit / "exercises" / f"lesson_{number:02d}" / "__init__.py": package,
        root / "lessons" / f"{stem}.ipynb": _notebook(lesson, about),
        root / "answers" / f"{stem}.ipynb": _notebook(answers, {}),
    }


def faults_of_lesson(number: int, home: Path) -> list[str]:
    """Return what is still wrong with a lesson and its answers, a sentence each."""
    return [
        f"{path.parent.name}/{path.name}: {fault}"
        for folder in ("lessons", "answers")
        for path in (_file(home / folder, number),)
        for fault in _faults(path, folder)
    ]


def lesson_words(number: int, home: Path) -> str:
    """Return a lesson as it would be read, with its calls where tasks and explorers stand."""
    cells = _cells(_file(home / "lessons", number))
    return "\n\n".join(
        "".join(one["source"]) if one["cell_type"] == "markdown" else f"[{''.join(one['source'])}]"
        for one in cells
    )


def _faults(path: Path, folder: str) -> Iterator[str]:
    cells = _cells(path)
    for cell in cells:
        yield from (f"still to write: {line.strip()!r}" for line in cell["source"] if "WRITE" in line)
    task = "lesson.task(" if folder == "lessons" else "show("
    if not any("".join(cell["source"]).startswith(task) for cell in cells):
        yield f"no {task}…) stands in it: begin one with `smokehouse author new`"
    if folder == "lessons":
        if len(cells) > MOST_CELLS:
            yield f"{len(cells)} cells; at most {MOST_CELLS}"
        if any(cell.get("outputs") for cell in cells):
            yield "it holds outputs; a lesson has none"
        kinds = groupby(cells, lambda one: one["cell_type"] == "code")
        if max((len(list(run)) for code, run in kinds if code), default=0) > MOST_IN_A_ROW:
            yield f"more than {MOST_IN_A_ROW} code cells in a row: a line of prose goes between"


def _file(folder: Path, number: int) -> Path:
    found = sorted(folder.glob(f"{number:02d}_*.ipynb"))
    if not found:
        raise BadData(str(folder), f"it holds no notebook of lesson {number}", "smokehouse author new")
    return found[0]


def _cells(path: Path) -> list[dict[str, Any]]:
    cells: list[dict[str, Any]] = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return cells


def _prose(name: str, text: str, number: int) -> dict[str, Any]:
    source = text.replace("$number", str(number)).splitlines(keepends=True)
    return {"cell_type": "markdown", "id": name, "metadata": {}, "source": source}


def _call(name: str, code: str, metadata: dict[str, Any] = _HIDDEN) -> dict[str, Any]:
    cell = {"cell_type": "code", "execution_count": None, "id": name, "metadata": metadata}
    return {**cell, "outputs": [], "source": [code]}


def _notebook(cells: list[dict[str, Any]], about: dict[str, Any]) -> str:
    metadata = {**_ENGINE, **about, "language_info": {"name": "python"}, "title": "WRITE its title"}
    book = {"cells": cells, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}
    return json.dumps(book, indent=1, ensure_ascii=False) + "\n"
