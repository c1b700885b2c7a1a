"""Imports go down, never up, and importing the kit stays quick."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

KIT = Path(__file__).resolve().parents[1] / "kit"

# Lowest floor first. Rooms on one floor do not import each other.
FLOORS = [
    {"atomic_files", "data_files", "errors", "glossary", "places", "words"},
    {"process"},
    {"rules"},
    {"criteria", "logs"},
    {"marking"},
    {"exercises"},
    {"books"},
    {"practice", "records"},
    {"views"},
    {"cli"},
]
HEIGHT = {room: height for height, rooms in enumerate(FLOORS) for room in rooms}
FREE_ON_THE_GROUND = {
    ("glossary", "errors"),
    ("places", "errors"),
    ("words", "errors"),
    ("words", "data_files"),
    ("data_files", "errors"),
}
HEAVY = ["matplotlib", "pandas", "pint", "sqlalchemy", "IPython", "ipywidgets", "scipy", "rich"]


def room_of(path: Path) -> str:
    parts = path.relative_to(KIT).parts
    return parts[0] if len(parts) > 1 else path.stem


def imported_rooms(path: Path) -> set[str]:
    rooms: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names = [
                f"{node.module}.{alias.name}" if node.module == "kit" else str(node.module)
                for alias in node.names
            ]
        else:
            continue
        rooms |= {name.split(".")[1] for name in names if name.startswith("kit.")}
    return rooms - {"__version__"}


MODULES = sorted(path for path in KIT.rglob("*.py") if "_lessons" not in path.parts)


def test_there_are_modules_to_look_at():
    assert len(MODULES) > 20
    rooms = {room_of(path) for path in MODULES} - {"__init__"}
    assert rooms <= set(HEIGHT), f"rooms without a floor: {rooms - set(HEIGHT)}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(KIT)))
def test_imports_go_down(path: Path):
    room = room_of(path)
    if room == "__init__":
        assert not imported_rooms(path)
        return
    for other in imported_rooms(path) - {room}:
        assert HEIGHT[other] < HEIGHT[room] or (room, other) in FREE_ON_THE_GROUND, f"{room} imports {other}"


@pytest.mark.parametrize("module", ["kit", "kit.cli"])
def test_a_quick_import_loads_nothing_heavy(module: str):
    code = f"import sys, {module}; print([m for m in {HEAVY!r} if m in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert run.stdout.strip() == "[]"


def test_modules_stay_small():
    long = {
        str(p.relative_to(KIT)): n for p in MODULES if (n := len(p.read_text("utf-8").splitlines())) > 450
    }
    assert not long, f"over 450 lines: {long}"
