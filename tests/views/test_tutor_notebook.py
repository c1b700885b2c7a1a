"""The desk's notebook: one call a cell, and on a machine without records it says what to do first."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from kit.cli.tutor.desk import NOTEBOOK, prepare
from kit.views.tutor.desk import NO_RECORDS
from kit.views.tutor.place import notebook_file

ROOT = Path(__file__).resolve().parents[2]


def code_cells(path: Path) -> list[dict[str, object]]:
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    return [cell for cell in cells if cell["cell_type"] == "code"]


def test_the_notebook_is_one_call_a_cell_and_runs_on_open():
    whole = json.loads(notebook_file().read_text(encoding="utf-8"))
    assert whole["metadata"]["kit"] == {"run_on_open": True}
    assert all("".join(cell["source"]).count("\n") == 0 for cell in code_cells(notebook_file()))


@pytest.mark.slow
def test_its_outputs_are_those_of_a_machine_without_records(tmp_path: Path):
    stored = json.dumps([cell["outputs"] for cell in code_cells(notebook_file())])
    assert stored.count(NO_RECORDS) == 6
    env = {name: value for name, value in os.environ.items() if name != "SMOKEHOUSE_DESK"}
    env |= {"SMOKEHOUSE_HOME": str(tmp_path), "IPYTHONDIR": str(tmp_path / "ipython")}
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-o", "addopts="]
    command += ["-o", "filterwarnings=", "--nbval", "--nbval-current-env", str(notebook_file())]
    run = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, timeout=200)
    assert run.returncode == 0, run.stdout[-3000:]
    assert f"{len(code_cells(notebook_file()))} passed" in run.stdout
    assert not (tmp_path / "tutor").exists()


def test_the_copy_at_the_desk_has_no_outputs_and_is_made_anew(tmp_path: Path):
    folder = prepare(tmp_path / "desk")
    (folder / NOTEBOOK).write_text("spoilt")
    prepare(folder)
    assert all(cell["outputs"] == [] for cell in code_cells(folder / NOTEBOOK))
    if os.name == "posix":
        assert folder.stat().st_mode & 0o077 == 0
