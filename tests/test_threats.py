"""Every threat that DEVELOPERS.md names has the test it names."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
TABLE = (
    (ROOT / "DEVELOPERS.md").read_text("utf-8").split("<!-- threats -->")[1].split("<!-- end of threats")[0]
)
ROWS = re.findall(r"^\| (?!Threat|---)(.+?) \|.*\| `(.+?)::(.+?)` \|$", TABLE, re.MULTILINE)


def test_no_row_of_the_table_is_passed_over():
    assert len(ROWS) == TABLE.count("\n| ") - 1 >= 10


@pytest.mark.parametrize(("threat", "file", "name"), ROWS)
def test_the_test_of_a_threat_is_there(threat, file, name):
    tree = ast.parse((ROOT / file).read_text(encoding="utf-8"))
    assert name in {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}, threat
