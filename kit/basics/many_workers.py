"""Spreading work over processes of this machine, or over the workers of Dask; results come back in order.

A worker that dies loses nothing with Dask: its work is done again by another. Dask runs whatever it is sent,
so whoever can reach its scheduler can run anything: beyond this machine only ``tls://`` is taken.
"""

from __future__ import annotations

import ipaddress
import multiprocessing
import tempfile
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any, TypeVar
from urllib.parse import urlsplit

from kit.basics.errors import BadData, KitError, OutOfRange

T = TypeVar("T")
R = TypeVar("R")
KINDS = "pool:N, local:N, tls://HOST:PORT, or tcp://127.0.0.1:PORT"
MOST_WORKERS = 64
_AHEAD = 4
"""So many pieces of work a worker are given out at a time: results do not pile up."""
_FAILURES = 100
_WAIT_S = 20.0


class WorkersLost(KitError):
    """The workers cannot be reached, or died so often that nobody can go on."""


class OtherKit(KitError):
    """A worker has another version of the kit, or another bank: what it marks would not be ours."""


@dataclass(frozen=True)
class EngineAddress:
    """Where work is done: ``kind`` is ``pool``, ``local`` or ``remote``."""

    kind: str
    workers: int = 0
    address: str = ""


@dataclass(frozen=True)
class Certificates:
    """The files that open a ``tls://`` scheduler: whom we trust, our certificate, our key."""

    ca: Path | None = None
    cert: Path | None = None
    key: Path | None = None


def engine_address(text: str) -> EngineAddress:
    """Return where work is to be done, as it was typed.

    Raises
    ------
    BadData
        If it is none of these, or plain ``tcp://`` beyond this machine.
    OutOfRange
        If the number of workers is not from 1 to 64.

    Examples
    --------
    >>> engine_address("local:4")
    EngineAddress(kind='local', workers=4, address='')
    >>> engine_address("tcp://10.0.0.7:8786")
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: tcp://10.0.0.7:8786: plain tcp leaves this machine, and whoever reaches it
    can run anything. Expected: tls://10.0.0.7:8786, with certificates.
    """
    kind, _, count = text.partition(":")
    if kind in ("pool", "local") and count.isdigit():
        if not 1 <= int(count) <= MOST_WORKERS:
            raise OutOfRange("the workers", int(count), f"from 1 to {MOST_WORKERS}")
        return EngineAddress(kind, int(count))
    try:
        parts = urlsplit(text)
        whole = parts.scheme in ("tcp", "tls") and parts.hostname and parts.port
    except ValueError:
        whole = None
    if not whole:
        raise BadData(repr(text[:80]), "this is no engine", KINDS)
    if parts.scheme == "tcp" and not _is_loopback(str(parts.hostname)):
        problem = "plain tcp leaves this machine, and whoever reaches it can run anything"
        raise BadData(text, problem, f"tls://{parts.netloc}, with certificates")
    return EngineAddress("remote", address=text)


@dataclass(frozen=True)
class Engine:
    """Does pieces of work elsewhere. ``stamp`` says which kit does it; another one's work is refused."""

    submit: Callable[..., Any]
    stamp: Callable[[], str]
    ahead: int

    def spread(self, work: Callable[[T], R], items: Iterable[T]) -> Iterator[R]:
        """Yield ``work(item)`` for each item, in order. ``work`` is a function of a module.

        Raises
        ------
        OtherKit
            If a worker has another kit or bank.
        WorkersLost
            If the workers died or cannot be reached.
        """
        ours, waiting = self.stamp(), deque[Any]()
        for item in items:
            waiting.append(self.submit(_stamped, self.stamp, work, item))
            if len(waiting) >= self.ahead:
                yield _result(waiting.popleft(), ours)
        while waiting:
            yield _result(waiting.popleft(), ours)


@contextmanager
def engine(
    where: EngineAddress, stamp: Callable[[], str], certificates: Certificates | None = None
) -> Iterator[Engine]:
    """Give an engine for as long as it is needed.

    Parameters
    ----------
    where : EngineAddress
        From ``engine_address``.
    stamp : callable
        A function of a module that says which kit and bank a process has.
    certificates : Certificates, optional
        For ``tls://``.

    Raises
    ------
    BadData
        If Dask is not installed, or a certificate is missing.
    WorkersLost
        If the scheduler cannot be reached.
    """
    if where.kind == "pool":
        context = multiprocessing.get_context("spawn")
        with ProcessPoolExecutor(where.workers, context) as pool:
            yield Engine(pool.submit, stamp, _AHEAD * where.workers)
        return
    with ExitStack() as stack:
        client = _client(where, certificates or Certificates(), stack)
        workers = max(1, len(client.scheduler_info(n_workers=-1)["workers"]))
        yield Engine(partial(client.submit, pure=False), stamp, _AHEAD * workers)


def _stamped(stamp: Callable[[], str], work: Callable[[T], R], item: T) -> tuple[str, R]:
    return stamp(), work(item)


def _result(given: Any, ours: str) -> Any:
    try:
        theirs, result = given.result()
    except KitError:
        raise
    except BrokenProcessPool:
        raise _lost("a process died") from None
    except Exception as error:
        if type(error).__module__.partition(".")[0] in ("distributed", "asyncio", "concurrent"):
            raise _lost(type(error).__name__) from None
        raise
    if theirs != ours:
        raise OtherKit(
            "A worker has another version of the kit, or another bank. Install the same one there."
        )
    return result


def _lost(why: str) -> WorkersLost:
    return WorkersLost(
        f"The workers were lost ({why}). What was recorded before stays recorded: run the same command again."
    )


def _client(where: EngineAddress, certificates: Certificates, stack: ExitStack) -> Any:
    try:
        dask: Any = import_module("dask")  # untyped
        distributed: Any = import_module("distributed")
    except ModuleNotFoundError:
        raise BadData(
            "the engine", "Dask is not installed", "pip install 'smokehouse-kit[workers]'"
        ) from None
    settings = {"distributed.scheduler.allowed-failures": _FAILURES, "distributed.admin.tick.limit": "1h"}
    stack.enter_context(dask.config.set(settings))
    if where.kind == "local":
        folder = stack.enter_context(tempfile.TemporaryDirectory(prefix="workers-"))
        cluster = distributed.LocalCluster(
            n_workers=where.workers,
            threads_per_worker=1,
            host="127.0.0.1",
            dashboard_address=None,
            security=distributed.Security.temporary(),  # another account on this machine must not reach it
            local_directory=folder,
            silence_logs=50,
        )
        stack.enter_context(cluster)
        return stack.enter_context(distributed.Client(cluster))
    security = None
    if where.address.startswith("tls"):
        if not (certificates.ca and certificates.cert and certificates.key):
            raise BadData(where.address, "certificates are missing", "--tls-ca, --tls-cert and --tls-key")
        security = distributed.Security(
            tls_ca_file=str(certificates.ca),
            tls_client_cert=str(certificates.cert),
            tls_client_key=str(certificates.key),
            require_encryption=True,
        )
    try:
        return stack.enter_context(distributed.Client(where.address, security=security, timeout=_WAIT_S))
    except OSError:
        raise WorkersLost(f"{where.address}: nobody answers there. Is the scheduler running?") from None


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
