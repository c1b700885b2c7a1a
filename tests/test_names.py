"""One class name stands for one thing in all of kit."""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

KIT = Path(__file__).resolve().parents[1] / "kit"
TREES = {
    path.relative_to(KIT.parent): ast.parse(path.read_text(encoding="utf-8"))
    for path in sorted(KIT.rglob("*.py"))
    if "_lessons" not in path.parts
}


def class_places() -> dict[str, list[str]]:
    """Every class name of kit, with the module of each class that bears it."""
    places: dict[str, list[str]] = defaultdict(list)
    for path, tree in TREES.items():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef):
                places[node.name].append(str(path))
    return places


def test_no_class_name_stands_for_two_things():
    places = class_places()
    assert len(places) > 200, "the walk has lost sight of kit"
    twice = {name: where for name, where in places.items() if len(where) > 1}
    assert not twice, f"class names that stand for two things: {twice}"
