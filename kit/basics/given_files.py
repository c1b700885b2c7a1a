"""Reading a file that a person named: one way for every command, and each trouble in one sentence."""

import os
import stat
from pathlib import Path
from typing import IO

from kit.basics.errors import BadData

_NEVER_WAIT = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)


def read_given(path: Path | str, expected: str, most_bytes: int) -> bytes:
    """Return the bytes of a file that a person named.

    Parameters
    ----------
    path : Path or str
        The file.
    expected : str
        What it should be, for messages.
    most_bytes : int
        The largest it may be. [bytes]

    Raises
    ------
    BadData
        If there is no such file, it is a folder, a pipe or a device, it is too large, or it may not be read.
        A pipe or a device is refused at once: nothing waits for it.

    Examples
    --------
    >>> read_given("no-such-file.csv", "a logger's export", 1000)
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: no-such-file.csv: there is no such file. Expected: a logger's export.
    """
    with open_given(path, expected) as file:
        try:
            data = file.read(most_bytes + 1)
        except OSError as error:
            raise BadData(str(path), _why(path, error), expected) from None
    if len(data) > most_bytes:
        most = f"{most_bytes / 2**20:g} MB" if most_bytes >= 2**20 else f"{most_bytes / 2**10:g} KB"
        raise BadData(str(path), f"it is too large: more than {most}", expected)
    return data


def open_given(path: Path | str, expected: str) -> IO[bytes]:
    """Return a file that a person named, open to read. See ``read_given``."""
    where = str(path)
    try:
        handle = os.open(path, os.O_RDONLY | _NEVER_WAIT)
    except FileNotFoundError:
        raise BadData(where, "there is no such file", expected) from None
    except (OSError, ValueError) as error:
        raise BadData(where, _why(path, error), expected) from None
    kind = os.fstat(handle).st_mode
    if stat.S_ISREG(kind):
        return os.fdopen(handle, "rb")
    os.close(handle)
    what = "this is a folder" if stat.S_ISDIR(kind) else "this is a pipe or a device, not a file"
    raise BadData(where, what, expected)


def _why(path: Path | str, error: OSError | ValueError) -> str:
    if Path(path).is_dir():
        return "this is a folder"
    if isinstance(error, PermissionError):
        return "you may not read this file"
    return f"it cannot be read ({getattr(error, 'strerror', None) or error})"
