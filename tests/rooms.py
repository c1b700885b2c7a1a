"""The rooms of kit/ and what each module imports: one source for the test of floors and for DEVELOPERS.md.

Run it, ``python tests/rooms.py``, to write the list of rooms and the module of each word into the document.
"""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
DATA = tomllib.loads((ROOT / "tests" / "rooms.toml").read_text(encoding="utf-8"))
ROOMS = {room["name"]: room for room in DATA["room"]}
DOCUMENT = ROOT / "DEVELOPERS.md"
BEGIN, END = "<!-- rooms: written by tests/rooms.py -->", "<!-- end of rooms -->"
WORDS, END_OF_WORDS = "<!-- words -->", "<!-- end of words -->"


def module_name(path: Path) -> str:
    """``kit/process/day.py`` is ``kit.process.day``; a package goes by its own name."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


PATHS = {
    module_name(path): path for path in sorted((ROOT / "kit").rglob("*.py")) if "_lessons" not in path.parts
}


@cache
def nodes(module: str) -> tuple[ast.AST, ...]:
    """Every node of a module's syntax, read and walked once."""
    return tuple(ast.walk(ast.parse(PATHS[module].read_text(encoding="utf-8"))))


def classes(module: str) -> list[str]:
    """The names of the classes of a module."""
    return [node.name for node in nodes(module) if isinstance(node, ast.ClassDef)]


@cache
def imports(module: str) -> frozenset[str]:
    """Every module of kit that a module imports, anywhere in it, also for types alone."""
    return frozenset(_imports(module))


def _imports(module: str) -> Iterator[str]:
    for node in nodes(module):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in PATHS)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: relative import"
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                found = inner if inner in PATHS else str(node.module)
                if found in PATHS:
                    yield found


def place(module: str) -> tuple[str, str]:
    """The room and the room inside it: ``kit.process.day`` is ("process", ".")."""
    _, room, *rest = module.split(".")
    is_package = PATHS[module].name == "__init__.py"
    if not rest:
        return room, "__init__" if is_package else "."
    inside = rest[0] if is_package or len(rest) > 1 else "."
    return room, re.sub(r"lesson_\d\d$", "lesson_NN", inside)


def floor(room: str, inside: str) -> int:
    """The floor inside a room. What ``__init__`` offers stands above all of it."""
    if inside == "__init__":
        return 99
    floors = {each["name"]: each["floor"] for each in ROOMS[room].get("inside", [])}
    return int(floors[inside]) if floors else 1


def table() -> str:
    """The list of rooms for DEVELOPERS.md, highest floor first."""
    rows = ["| Floor | Room | What is in it |", "|---|---|---|"]
    for room in sorted(DATA["room"], key=lambda each: -each["floor"]):
        rows.append(f"| {room['floor']} | `kit/{room['name']}` | {room['says']} |")
        for each in sorted(room.get("inside", []), key=lambda each: -each["floor"]):
            name = "beside them" if each["name"] == "." else f"`{each['name']}/`"
            rows.append(f"| {room['floor']}.{each['floor']} | {name} | {each['says']} |")
    return "\n".join(rows)


def words(text: str) -> str:
    """The list of words with the module of each class as it is now; a class that is gone gets none."""
    homes = {name: module for module in PATHS for name in classes(module)}
    rows = re.compile(r"^(\|[^|]+\| `(\w+)` \|)[^|]*\|", re.MULTILINE)
    return rows.sub(lambda row: f"{row[1]} `{homes.get(row[2], '')}` |", text)


def written(text: str) -> str:
    """The document with the list of rooms, and the module of each word, as they are now."""
    before, rest = text.split(BEGIN)
    after = rest.split(END)[1]
    text = f"{before}{BEGIN}\n{table()}\n{END}{after}"
    before, rest = text.split(WORDS)
    inside, after = rest.split(END_OF_WORDS)
    return f"{before}{WORDS}{words(inside)}{END_OF_WORDS}{after}"


if __name__ == "__main__":
    DOCUMENT.write_text(written(DOCUMENT.read_text(encoding="utf-8")), encoding="utf-8")
