"""The science: pure functions and frozen data. Numbers in, numbers out; no files, no widgets.

The names below are offered for people who count, whatever room they live in:
``from kit.process import heat``.

A number that is missing, or outside the range said at its parameter, raises
:class:`~kit.basics.errors.OutOfRange`. A docstring names only the errors beyond that.
"""

from importlib import import_module
from types import ModuleType

_ROOM = {
    "air": "physics",
    "food": "physics",
    "heat": "physics",
    "salt": "physics",
    "wood": "physics",
    "bones": "sampling",
    "chill": "steps",
    "cook": "steps",
}


def __getattr__(name: str) -> ModuleType:
    """Load a module of the science by its public name."""
    if name not in _ROOM:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return import_module(f"kit.process.{_ROOM[name]}.{name}")
