"""Write the skeleton of a new exercise, rule or explorer, and give it its place in lesson and answers."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.cli.author import skeletons
from kit.cli.author.new_lesson import lesson_skeleton

_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)+")
KIT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Begun:
    """What was written, and what to do next."""

    files: tuple[Path, ...]
    next: tuple[str, ...]


def begin_exercise(lesson: int, name: str, *, kind: str, criterion: str, kit: Path = KIT) -> Begun:
    """Write a module with one exercise of that kind, and its cells in the lesson and the answers.

    Raises
    ------
    BadData
        If the name is no id, or stands for something already.
    UnknownName
        If there is no such lesson, or no such knowledge criterion.
    """
    from kit import criteria

    _check_name(name)
    known = [each.id for each in criteria.of_kind("knowledge")]
    if criterion not in known:
        raise UnknownName("knowledge criterion", criterion, known)
    module = _module(kit / "exercises" / f"lesson_{lesson:02d}", name, lesson)
    books = [_notebook(kit.parent / folder, lesson) for folder in ("lessons", "answers")]
    calls = (f'lesson.task("{name}")', f'show("{name}")')
    changed = [_with_cell(book, call) for book, call in zip(books, calls, strict=True)]
    module.write_text(skeletons.exercise_text(kind, name.replace("-", "_"), criterion), encoding="utf-8")
    for book, text in zip(books, changed, strict=True):
        book.write_text(text, encoding="utf-8")
    fill = f"smokehouse author fill {' '.join(f'answers/{each.name}' for each in books[1:])}"
    return Begun(
        (module, *books),
        (*_next(name), f"python tests/benchmarks/guess_panel.py --id {name} --write", fill),
    )


def begin_lesson(number: int, name: str, *, kit: Path = KIT) -> Begun:
    """Write a lesson, its answers and its package of exercises; raises as :func:`begin_exercise`."""
    if not _ID.fullmatch(name):
        raise BadData("id", f"{name!r} is none", "two words or more with hyphens, such as smoke-and-salt")
    files = lesson_skeleton(number, name, kit)
    for path, text in files.items():
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    first = f"smokehouse author new {number} the-id --criterion CUR-K01"
    return Begun(tuple(files), (first, *_next(str(number))))


def begin_explorer(lesson: int, name: str, *, kit: Path = KIT) -> Begun:
    """Write a module with one explorer, and its cell in the lesson; raises as :func:`begin_exercise`."""
    _check_name(name)
    module = _module(kit / "views" / "explorers", name, lesson)
    book = _notebook(kit.parent / "lessons", lesson)
    changed = _with_cell(book, f'lesson.explore("{name}")')
    words = {"lesson": lesson, "id": name, "function": name.replace("-", "_")}
    module.write_text(skeletons.filled(skeletons.EXPLORER, **words), encoding="utf-8")
    book.write_text(changed, encoding="utf-8")
    return Begun((module, book), _next(name))


def begin_rule(profile: str, name: str, *, kit: Path = KIT) -> Begun:
    """Add a rule to a profile's file; raises as :func:`begin_exercise`."""
    from kit import rules

    _check_name(name)
    file = kit / "rules" / "data" / "profiles" / f"{profile}.toml"
    if not file.exists():
        raise UnknownName("profile", profile, rules.PROFILES)
    rule = skeletons.filled(skeletons.RULE, id=name, source=rules.load(profile).rules[0].source)
    file.write_text(file.read_text(encoding="utf-8").rstrip() + "\n" + rule, encoding="utf-8")
    return Begun((file,), _next(name))


def _next(name: str) -> tuple[str, ...]:
    return (f"smokehouse author look {name}", f"smokehouse author check {name}")


def _check_name(name: str) -> None:
    from kit import exercises
    from kit.cli.author.look import all_rules
    from kit.views.pictures.register import explorer_names

    if not _ID.fullmatch(name):
        raise BadData("id", f"{name!r} is none", "two words or more with hyphens, such as salt-for-a-side")
    if name in (*exercises.ids(), *exercises.explain_ids(), *all_rules(), *explorer_names()):
        raise BadData("id", f"{name!r} stands for something already", "a new one")


def _module(folder: Path, name: str, lesson: int) -> Path:
    module = folder / f"{name.replace('-', '_')}.py"
    if not folder.is_dir():
        raise OutOfRange("lesson", lesson, "a lesson that there is")
    if module.exists():
        raise BadData(str(module), "it is there already", "another id")
    return module


def _notebook(folder: Path, lesson: int) -> Path:
    found = sorted(folder.glob(f"{lesson:02d}_*.ipynb"))
    if not found:
        raise BadData(str(folder), f"it holds no notebook of lesson {lesson}", "a clone of the project")
    return found[0]


def _with_cell(path: Path, call: str) -> str:
    """Return a notebook with prose and a call after its last task, explorer or answer."""
    book = json.loads(path.read_text(encoding="utf-8"))
    cells: list[dict[str, Any]] = book["cells"]
    calls = ("lesson.task(", "lesson.explore(", "show(")
    places = [n for n, cell in enumerate(cells) if "".join(cell["source"]).startswith(calls)]
    begin = [n for n, cell in enumerate(cells) if "".join(cell["source"]).startswith("from kit.views import")]
    if not places and not begin:
        raise BadData(path.name, "no task stands in it yet", "a cell such as lesson.task(…)")
    taken = {cell["id"] for cell in cells}
    ids = (name for n in range(1, 1000) if (name := f"new-{n:02d}") not in taken)
    prose: dict[str, Any] = {"cell_type": "markdown", "id": next(ids), "metadata": {}}
    code: dict[str, Any] = {
        "cell_type": "code",
        "execution_count": None,
        "id": next(ids),
        "metadata": {},
        "outputs": [],
    }
    at = (places or begin)[-1] + 1
    cells[at:at] = [
        prose | {"source": ["WRITE one or two sentences that lead to it."]},
        code | {"metadata": {}, "outputs": [], "source": [call]},
    ]
    return json.dumps(book, indent=1, ensure_ascii=False) + "\n"
