"""Batch runs by name: what a question of kind ``controls`` calls when it is marked."""

from collections.abc import Callable, Mapping
from typing import Any

from kit.basics.errors import UnknownName
from kit.marking.model import BatchRun

Run = Callable[[Mapping[str, float], Mapping[str, Any]], BatchRun]

_RUNS: dict[str, Run] = {}


def batch_run(name: str) -> Callable[[Run], Run]:
    """Return a decorator that registers a function to run a batch under a name.

    The function takes the settings (control keys to numbers) and the question's facts. It is pure: the same
    settings and facts give the same :class:`~kit.marking.model.BatchRun`.

    Examples
    --------
    >>> @batch_run("example-oven")
    ... def oven(settings, facts):
    ...     return BatchRun(1.0 if settings["air_c"] > 70 else 0.0, 1.0, ("Done.",))
    >>> run_named("example-oven")({"air_c": 80}, {}).score
    1.0
    """

    def register(run: Run) -> Run:
        _RUNS[name] = run
        return run

    return register


def run_named(name: str) -> Run:
    """Return the registered run of that name.

    Raises
    ------
    UnknownName
        If no exercise module that was loaded registered it.
    """
    try:
        return _RUNS[name]
    except KeyError:
        raise UnknownName("batch run", name, _RUNS) from None
