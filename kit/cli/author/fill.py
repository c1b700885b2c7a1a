"""Running the notebooks in ``answers/`` and storing what they print, as the tests will compare it."""

import json
import os
import tempfile
from importlib import import_module
from pathlib import Path
from typing import Any

from kit.basics.errors import BadData

_SECONDS_A_CELL = 300


def filled_notebooks() -> tuple[Path, ...]:
    """Return the notebooks of a clone whose outputs are stored: all in ``answers/`` but the live desk.

    Raises
    ------
    BadData
        If the kit does not run from a clone.
    """
    import kit

    folder = Path(kit.__file__).resolve().parents[1] / "answers"
    if not folder.is_dir():
        raise BadData(str(folder), "the answers are not here", "a clone", "Did you install with -e?")
    return tuple(path for path in sorted(folder.glob("*.ipynb")) if not _is_live(path))


def fill_outputs(path: Path) -> bool:
    """Run a notebook from top to bottom, with nobody at work, store its outputs, and say if any changed.

    Raises
    ------
    BadData
        If a cell fails or warns. The file stays as it was.
    """
    nbformat: Any = import_module("nbformat")  # it has no types
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError

    before = path.read_text(encoding="utf-8")
    book: Any = nbformat.reads(before, as_version=4)
    metadata = json.loads(json.dumps(book.metadata))
    client = NotebookClient(
        book,
        timeout=_SECONDS_A_CELL,
        kernel_name="python3",
        record_timing=False,
        coalesce_streams=True,
        resources={"metadata": {"path": str(path.parent)}},
    )
    with tempfile.TemporaryDirectory() as home:
        try:
            client.execute(env=_nobody_at_work(home))
        except CellExecutionError as error:
            raise BadData(path.name, f"a cell fails: {error.ename}: {error.evalue}") from None
    warned = [
        output.text.strip().splitlines()[0]
        for cell in book.cells
        for output in cell.get("outputs", [])
        if output.output_type == "stream" and output.name == "stderr"
    ]
    if warned:
        raise BadData(path.name, f"a cell warns: {warned[0][:200]}", "cells that run without a warning")
    book.metadata = nbformat.from_dict(metadata)
    after = nbformat.writes(book) + "\n"
    if _said(before) == _said(after):
        return False
    path.write_text(after, encoding="utf-8")
    return True


def _nobody_at_work(home: str) -> dict[str, str]:
    """Return surroundings in which a notebook neither reads nor writes anybody's work."""
    own = {"SMOKEHOUSE_HOME": home, "IPYTHONDIR": f"{home}/ipython", "TZ": "UTC"}
    return {name: value for name, value in os.environ.items() if name != "SMOKEHOUSE_PERSON"} | own


def _is_live(path: Path) -> bool:
    metadata = json.loads(path.read_text(encoding="utf-8"))["metadata"]
    return bool(metadata.get("kit", {}).get("run_on_open"))


def _said(text: str) -> list[Any]:
    """Return the cells and their outputs, but for pictures, which every version of a library draws anew."""
    cells = json.loads(text)["cells"]
    for cell in cells:
        for output in cell.get("outputs", []):
            output.get("data", {}).pop("image/png", None)
            output.pop("metadata", None)
    return [(cell["source"], cell.get("outputs")) for cell in cells]
