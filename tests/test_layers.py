"""Imports go down, never up, and importing the kit stays quick."""

from __future__ import annotations

import ast
import importlib.util
import subprocess
import sys
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

_spec = importlib.util.spec_from_file_location("rooms", Path(__file__).with_name("rooms.py"))
assert _spec is not None and _spec.loader is not None
rooms = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(rooms)

HEAVY = ["matplotlib", "pandas", "pint", "sqlalchemy", "IPython", "ipywidgets", "scipy", "rich"]
MODULES = [name for name in rooms.PATHS if name not in ("kit", "kit.cli.__main__")]  # the two doors
MOST_LINES = 400


def test_every_module_has_a_floor():
    assert len(MODULES) > 200, "the walk has lost sight of kit"
    places = {rooms.place(module) for module in MODULES}
    known = {
        (name, each["name"])
        for name, room in rooms.ROOMS.items()
        for each in [*room.get("inside", [{"name": "."}]), {"name": "__init__"}]
    }
    assert places - known == set(), "rooms without a floor"
    assert {room for room, _ in places} == set(rooms.ROOMS), "a floor without a room"


@pytest.mark.parametrize("module", MODULES)
def test_imports_go_down(module: str):
    room, inside = rooms.place(module)
    for other in set(rooms.imports(module)) - {module, "kit"}:
        there, inside_there = rooms.place(other)
        if there != room:
            assert rooms.ROOMS[there]["floor"] < rooms.ROOMS[room]["floor"], f"{module} imports {other}"
        elif inside != inside_there:
            assert rooms.floor(there, inside_there) < rooms.floor(room, inside), f"{module} imports {other}"


def test_the_front_door_imports_nothing_of_the_house_when_it_loads():
    code = "import sys, kit; print([name for name in sys.modules if name.startswith('kit.')])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert run.stdout.strip() == "[]"


def test_no_module_imports_in_a_circle():
    graph = {module: set(rooms.imports(module)) - {module, "kit"} for module in MODULES}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as found:
        pytest.fail(f"a circle: {found.args[1]}")


def test_sql_stays_where_the_tables_are():
    allowed = tuple(f"kit.{name.replace('/', '.')}." for name in rooms.DATA["sql"]["rooms"])
    named = {f"kit.{name.replace('/', '.')}" for name in rooms.DATA["sql"]["modules"]}
    writes = {
        module
        for module in MODULES
        if "sqlalchemy" in (text := rooms.PATHS[module].read_text(encoding="utf-8")) and "import" in text
    }
    outside = {module for module in writes if not f"{module}.".startswith(allowed)}
    assert outside == named, "SQL outside its rooms, or a name that is not needed any more"


def test_the_list_of_rooms_in_the_document_is_this_one():
    text = rooms.DOCUMENT.read_text(encoding="utf-8")
    assert rooms.written(text) == text, "run `python tests/rooms.py`"


def test_each_word_of_the_document_is_a_class_in_the_module_it_names():
    inside = rooms.DOCUMENT.read_text(encoding="utf-8").split(rooms.WORDS)[1].split(rooms.END_OF_WORDS)[0]
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in inside.strip().splitlines()[2:]]
    assert 30 <= len(rows) <= 45
    for word, name, module, says in rows:
        assert module.strip("`") in rooms.TREES, f"{word}: no module of kit holds {name} any more"
        names = [n.name for n in ast.walk(rooms.TREES[module.strip("`")]) if isinstance(n, ast.ClassDef)]
        assert name.strip("`") in names and says, f"{word}: {name} is not in {module}"


@pytest.mark.parametrize("module", ["kit", "kit.cli"])
def test_a_quick_import_loads_nothing_heavy(module: str):
    code = f"import sys, {module}; print([m for m in {HEAVY!r} if m in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert run.stdout.strip() == "[]"


def test_modules_stay_small():
    lines = {name: len(path.read_text("utf-8").splitlines()) for name, path in rooms.PATHS.items()}
    long = {name: count for name, count in lines.items() if count > MOST_LINES}
    assert not long, f"over {MOST_LINES} lines: {long}"
