"""The kernel of a lesson: IPython's, with what every lesson needs loaded before it answers.

It starts while the browser still loads the page, so a reader does not wait for these imports. The kernel file
that `kit.views.workbook.server` writes calls ``main``.
"""

import contextlib
import importlib
import os
import re
from pathlib import Path

NEEDED = (
    "kit.views.workbook.lesson",
    "scipy.integrate",
    "scipy.optimize",
    "matplotlib.figure",
    "matplotlib.backends.backend_agg",
)


def load(notebook: str) -> None:
    """Import what a lesson needs: widgets, charts, and the exercises of the notebook's number."""
    for name in NEEDED:
        importlib.import_module(name)
    number = re.match(r"(\d\d)_", Path(notebook).name)
    if number is not None:
        from kit import exercises
        from kit.views.pictures import register

        with contextlib.suppress(Exception):  # a fault in a lesson belongs on its page, not here
            exercises.ids(int(number[1]))
            register.explorer_names()
            register.picture_names()


def main() -> None:
    """Load, then become the kernel."""
    load(os.environ.get("JPY_SESSION_NAME", ""))
    from ipykernel import kernelapp

    kernelapp.launch_new_instance()
