"""Where answers are marked, as two commands take it: `take-in` and `records again`."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from kit.basics.many_workers import Engine

_F = TypeVar("_F", bound=Callable[..., Any])
_FILE = click.Path(path_type=Path, exists=True, dir_okay=False)


def engine_options(function: _F) -> _F:
    """Add `--engine` and the three files that open a ``tls://`` one."""
    where = (
        "Where answers are marked: pool:N for N processes, local:N for N workers of Dask, tls://HOST:PORT."
    )
    for option in (
        click.option("--tls-key", type=_FILE, help="The key of that certificate."),
        click.option("--tls-cert", type=_FILE, help="Our certificate for a tls:// engine."),
        click.option("--tls-ca", type=_FILE, help="Whose certificates a tls:// engine is trusted by."),
        click.option("--engine", "engine_text", metavar="WHERE", help=where),
    ):
        function = option(function)
    return function


@contextmanager
def opened_engine(
    text: str | None, tls_ca: Path | None, tls_cert: Path | None, tls_key: Path | None
) -> Iterator[Engine | None]:
    """Give the engine that was asked for; None if none was."""
    from kit.basics.many_workers import Certificates, engine, engine_address
    from kit.records.intake.spread_books import kit_here

    if text is None:
        yield None
        return
    with engine(engine_address(text), kit_here, Certificates(tls_ca, tls_cert, tls_key)) as found:
        yield found
