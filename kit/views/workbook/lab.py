"""The process of a workbook's server: JupyterLab, without a part that takes seconds and is never asked.

`kit.views.workbook.server` starts it.
"""

import runpy
import sys

UNUSED = ("rfc3987_syntax",)
"""A checker of web addresses, for JSON schemas. It reads a grammar at each start: half of the whole start."""


def leave_out() -> None:
    """Let the parts that nobody asks count as not installed. Whoever would use them goes on without."""
    for name in UNUSED:
        sys.modules.setdefault(name, None)  # type: ignore[arg-type]  # so the language says "not there"


def main() -> None:
    """Become the server."""
    leave_out()
    runpy.run_module("jupyterlab", run_name="__main__")
