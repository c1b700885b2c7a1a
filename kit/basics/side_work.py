"""Work that other processes do meanwhile, or that is done when its result is asked for."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from typing import TypeVar

T = TypeVar("T")


class SideWork:
    """Gives work away. ``pool`` is None where there is one process only."""

    def __init__(self, pool: ProcessPoolExecutor | None = None) -> None:
        self._pool = pool

    def give(self, work: Callable[..., T], *what: object) -> Callable[[], T]:
        """Give ``work(*what)`` away and return what gives its result; an error is raised there.

        What nobody has begun by then is done by who asks: ask for what was given last first. Both must
        travel between processes: a function of a module, and plain data.

        Examples
        --------
        >>> SideWork().give(pow, 2, 5)()
        32
        """
        if self._pool is None:
            return lambda: work(*what)
        given = self._pool.submit(work, *what)
        return lambda: work(*what) if given.cancel() else given.result()


@contextmanager
def side_work(processes: int = 1) -> Iterator[SideWork]:
    """Give a helper for as long as it is needed.

    Parameters
    ----------
    processes : int
        How many may work at once, this one among them. With 1 nothing is started.

    Examples
    --------
    >>> with side_work() as side:
    ...     side.give(max, 3, 4)()
    4
    """
    if processes < 2:
        yield SideWork()
        return
    # spawn, not fork: the same on every system, and no open database crosses over
    with ProcessPoolExecutor(processes - 1, multiprocessing.get_context("spawn")) as pool:
        yield SideWork(pool)
