"""Commands run in this process as they are typed."""

from __future__ import annotations

from typing import Any

from click.testing import CliRunner

PASSWORD = "a long password"


def run(command: Any, *args: Any, code: int = 0, typed: str | None = None) -> str:
    """Return what a command prints; what it raises goes on, and it must end with that code."""
    done = CliRunner().invoke(command, [str(arg) for arg in args], input=typed)
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    assert done.exit_code == code, done.output
    return done.output
