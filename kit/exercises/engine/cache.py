"""Remembering simulated truths, so that drawing a question again costs next to nothing."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Any, ParamSpec, TypeVar

import kit

P = ParamSpec("P")
R = TypeVar("R")


def simulated(truth: Callable[P, R]) -> Callable[P, R]:
    """Return the function with its results remembered in memory, up to 2,048 of them.

    For a truth that takes a simulation: a cook, a chill, a whole batch. Draw its settings from at most about
    200 combinations, and the bank is quick once it is warm.

    The key is the arguments together with the version of the code (``kit.__version__``) and of the data: a
    rule profile counts as its fingerprint, so an edited house file is another key. Nothing is written to
    disk: a new process starts cold, and no stale truth can outlive a change of code.

    The arguments must be hashable, or carry a ``fingerprint``. The result is shared: do not change it.

    Examples
    --------
    >>> calls = []
    >>> @simulated
    ... def minutes(thickness_mm):
    ...     calls.append(thickness_mm)
    ...     return 2.0 * thickness_mm
    >>> minutes(20), minutes(20), calls
    (40.0, 40.0, [20])
    """

    @lru_cache(maxsize=2048)
    def remembered(key: _Key) -> R:
        return truth(*key.args, **key.kwargs)

    @wraps(truth)
    def wrapper(*args: P.args, **kwargs: P.kwargs) -> R:
        return remembered(_Key(args, kwargs))

    wrapper.cache_clear = remembered.cache_clear  # type: ignore[attr-defined]  # an extra on a function
    wrapper.cache_info = remembered.cache_info  # type: ignore[attr-defined]  # an extra on a function
    return wrapper


class _Key:
    """The arguments of a call, compared by value and by the version of code and data."""

    def __init__(self, args: tuple[Any, ...], kwargs: dict[str, Any]) -> None:
        self.args, self.kwargs = args, kwargs
        named = tuple(sorted((name, _mark(value)) for name, value in kwargs.items()))
        self._compared = (kit.__version__, tuple(_mark(value) for value in args), named)
        self._hash = hash(self._compared)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self._compared == other._compared


def _mark(value: Any) -> Any:
    fingerprint = getattr(value, "fingerprint", None)
    return value if fingerprint is None else (type(value).__name__, fingerprint)
