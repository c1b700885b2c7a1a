"""Imports go down, never up, and importing the kit stays quick."""

from __future__ import annotations

import subprocess
import sys
from graphlib import CycleError, TopologicalSorter

import pytest

from tests import rooms

HEAVY = ["json", "matplotlib", "pandas", "pint", "sqlalchemy", "IPython", "ipywidgets", "scipy", "rich"]
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


def goes_down(module: str, other: str) -> bool:
    (room, inside), (there, inside_there) = rooms.place(module), rooms.place(other)
    if there != room:
        return bool(rooms.ROOMS[there]["floor"] < rooms.ROOMS[room]["floor"])
    return inside == inside_there or rooms.floor(there, inside_there) < rooms.floor(room, inside)


def test_imports_go_down():
    pairs = [(module, other) for module in MODULES for other in rooms.imports(module) - {module, "kit"}]
    assert len(pairs) > 1000, "the walk has lost sight of the imports"
    assert not sorted(f"{module} imports {other}" for module, other in pairs if not goes_down(module, other))


def test_an_import_that_goes_up_is_seen():
    assert goes_down("kit.rules.loading", "kit.basics.errors")
    assert not goes_down("kit.basics.errors", "kit.rules.loading")
    assert not goes_down("kit.process.physics.air", "kit.process.steps.cure")


def test_the_front_door_imports_nothing_of_the_house_when_it_loads():
    code = "import sys, kit; print([name for name in sys.modules if name.startswith('kit.')])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert run.stdout.strip() == "[]"


def test_no_module_imports_in_a_circle():
    graph = {module: rooms.imports(module) - {module, "kit"} for module in MODULES}
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
        assert module.strip("`") in rooms.PATHS, f"{word}: no module of kit holds {name} any more"
        assert name.strip("`") in rooms.classes(module.strip("`")) and says, (
            f"{word}: {name} is not in {module}"
        )


@pytest.mark.parametrize("module", ["kit", "kit.cli"])
def test_a_quick_import_loads_nothing_heavy(module: str):
    code = f"import sys, {module}; print([m for m in {HEAVY!r} if m in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert run.stdout.strip() == "[]"


def test_modules_stay_small():
    lines = {name: len(path.read_text("utf-8").splitlines()) for name, path in rooms.PATHS.items()}
    long = {name: count for name, count in lines.items() if count > MOST_LINES}
    assert not long, f"over {MOST_LINES} lines: {long}"
