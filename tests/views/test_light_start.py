"""What a workbook does not load: each part here would cost a start its seconds and an engine its memory."""

from __future__ import annotations

import subprocess
import sys

import pytest

from kit.views.workbook.engine import NEEDED
from kit.views.workbook.lab import UNUSED

NOT_IN_AN_ENGINE = (
    "sqlalchemy",
    "alembic",
    "pandas",
    "pint",
    "scipy.stats",
    "jupyterlab",
    "reportlab",
    "psycopg",
)


def loaded(code: str) -> set[str]:
    """Return the modules of a fresh Python after some code."""
    told = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(*[n for n, m in sys.modules.items() if m])"],
        check=True,
        capture_output=True,
        text=True,
    )
    return set(told.stdout.split())


@pytest.mark.slow
def test_an_engine_loads_no_database_no_tables_and_no_server():
    found = loaded("from kit.views.workbook import engine; engine.load('05_cook_by_temperature.ipynb')")
    assert set(NEEDED) <= found
    assert found.isdisjoint(NOT_IN_AN_ENGINE)


@pytest.mark.slow
def test_the_server_leaves_out_what_nobody_asks_and_still_checks_its_schemas():
    checks = "import jsonschema; jsonschema.Draft7Validator({'format': 'uri'}).validate('http://127.0.0.1')"
    found = loaded(
        f"from kit.views.workbook.lab import leave_out; leave_out()\nimport jupyter_events\n{checks}"
    )
    assert "jsonschema" in found
    assert found.isdisjoint(UNUSED)
