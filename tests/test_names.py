"""One class name stands for one thing in all of kit, and no private name crosses a module."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

from tests import rooms

KIT = Path(__file__).resolve().parents[1] / "kit"


def class_places() -> dict[str, list[str]]:
    """Every class name of kit, with the module of each class that bears it."""
    places: dict[str, list[str]] = defaultdict(list)
    for module, path in rooms.PATHS.items():
        for name in rooms.classes(module):
            places[name].append(path.relative_to(KIT.parent).as_posix())
    return places


def test_no_class_name_stands_for_two_things():
    places = class_places()
    assert len(places) > 200, "the walk has lost sight of kit"
    twice = {name: where for name, where in places.items() if len(where) > 1}
    assert not twice, f"class names that stand for two things: {twice}"


def private(name: str) -> bool:
    return name.startswith("_") and not name.startswith("__")


def private_uses(nodes: Sequence[ast.AST]) -> list[str]:
    """The private names of other modules of kit that a module imports, or reads from a module it imports."""
    found, modules = [], set()
    for node in nodes:
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "kit":
            found += [f"{node.module}.{each.name}" for each in node.names if private(each.name)]
            modules |= {
                each.asname or each.name for each in node.names if is_module(f"{node.module}.{each.name}")
            }
        elif isinstance(node, ast.Import):
            modules |= {each.asname or each.name for each in node.names if each.name.startswith("kit.")}
    for node in nodes:
        if isinstance(node, ast.Attribute) and private(node.attr) and ast.unparse(node.value) in modules:
            found.append(f"{ast.unparse(node.value)}.{node.attr}")
    return found


def is_module(dotted: str) -> bool:
    place = KIT.parent.joinpath(*dotted.split("."))
    return place.is_dir() or place.with_suffix(".py").exists()


def test_the_search_sees_each_way_to_a_private_name():
    code = """
from kit.rules import house, _odd
import kit.logs.text as text
house._read(text._cells, house.load)
"""
    assert private_uses([*ast.walk(ast.parse(code))]) == ["kit.rules._odd", "house._read", "text._cells"]


def test_no_private_name_crosses_a_module():
    crossing = {module: found for module in rooms.PATHS if (found := private_uses(rooms.nodes(module)))}
    assert not crossing, f"private names used from outside their module: {crossing}"


def test_the_journeys_in_the_document_name_types_that_are_there():
    text = (KIT.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    journeys = text.partition("## Three journeys")[2].partition("\n## ")[0]
    named = re.findall(r"\b([A-Z]\w+) \(([a-z_.]+)\)", journeys)
    assert len(named) > 10, "the search has lost sight of the journeys"
    places = class_places()
    for name, module in named:
        assert places.get(name) == [f"kit/{module.replace('.', '/')}.py"], name
    modules = re.findall(r"\b(?:records|marking|exercises|rules|files|practice)\.[a-z_.]*[a-z]", journeys)
    for module in set(modules):
        place = KIT.joinpath(*module.split("."))
        function = place.parent.with_suffix(".py")
        assert place.is_dir() or place.with_suffix(".py").exists() or function.exists(), module
