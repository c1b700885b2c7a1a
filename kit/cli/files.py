"""Writing what a command makes: whole or not at all, readable by its owner only."""

from __future__ import annotations

import os
from pathlib import Path

from kit.errors import OutOfRange


def write_private(out: Path, data: bytes) -> None:
    """Write a file that only its owner can read. An older one is replaced only when the new one is whole.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_private(Path(folder) / "sheet.pdf", b"...")
    ...     [each.name for each in Path(folder).iterdir()]
    ['sheet.pdf']
    """
    beside = out.with_name(f".{out.name}.{os.getpid()}")
    try:
        with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
            file.write(data)
        beside.replace(out)
    finally:
        beside.unlink(missing_ok=True)


def ending_of(out: Path, allowed: tuple[str, ...]) -> str:
    """Return the ending of a file to be written, in lower case, if it is one of those allowed.

    Raises
    ------
    OutOfRange
        If it is another one.

    Examples
    --------
    >>> ending_of(Path("Report.PDF"), (".pdf", ".csv"))
    '.pdf'
    """
    ending = out.suffix.lower()
    if ending not in allowed:
        *first, last = allowed
        words = f"{', '.join(first)} or {last}" if first else last
        raise OutOfRange("the ending of --out", out.suffix or "missing", words)
    return ending
