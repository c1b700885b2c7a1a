"""A process of its own for one mutant: the changed module is imported there before anything else is."""

from __future__ import annotations

import importlib.abc
import importlib.util
import os
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
OPTIONS = ["-q", "-x", "-n0", "--no-header", "--tb=short", "--capture=sys", f"--rootdir={ROOT}"]


class _Changed(importlib.abc.MetaPathFinder, importlib.abc.SourceLoader):
    """Imports one module from a changed text."""

    def __init__(self, module: str, path: str, code: str) -> None:
        self.module, self.path, self.code = module, path, code

    def find_spec(self, fullname, path=None, target=None):
        if fullname == self.module:
            return importlib.util.spec_from_file_location(fullname, self.path, loader=self)
        return None

    def get_filename(self, fullname):
        return self.path

    def get_data(self, path):
        return self.code.encode()


def fresh(module: str, path: str, code: str, tests: list[str], basetemp: str) -> None:
    """Import the changed module in this process, run the tests, and end with 0 if none failed."""
    quiet()
    os.chdir(ROOT)
    sys.meta_path.insert(0, _Changed(module, path, code))
    try:
        importlib.import_module(module)
    except BaseException:
        os._exit(3)
    os._exit(0 if pytest.main([*OPTIONS, f"--basetemp={basetemp}", *tests]) == 0 else 1)


def quiet() -> None:
    """Say nothing more on the screen."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
