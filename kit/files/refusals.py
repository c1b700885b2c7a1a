"""Why a book was not written, or not taken."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Literal

from kit.basics.atomic_files import create_private
from kit.basics.errors import BadData, KitError

LOCK_WAIT_S = 10.0
Code = Literal[
    "not a book",
    "newer",
    "not utf-8",
    "torn",
    "edited",
    "reordered",
    "unreadable",
    "too long",
    "other person",
]


class NotSaved(KitError):
    """An entry did not reach the disk. Nothing saved earlier is touched.

    Examples
    --------
    >>> print(NotSaved("No space left on device"))
    This answer was NOT saved: No space left on device. Everything saved before is still there.
    """

    def __init__(self, reason: str, advice: str = "", *, what: str = "This answer") -> None:
        self.reason, self.advice, self.what = reason, advice, what
        tail = f" {advice}" if advice else ""
        super().__init__(f"{what} was NOT saved: {reason}. Everything saved before is still there.{tail}")


class BookRefused(BadData):
    """A file cannot be taken as an answer book at all. ``code`` says which way it failed.

    Examples
    --------
    >>> print(BookRefused("newer", "a.book", "it was written by a newer kit", "schema 1 or older"))
    a.book: it was written by a newer kit. Expected: schema 1 or older.
    """

    def __init__(
        self, code: Code, where: str, problem: str, expected: str = "", likely_cause: str = ""
    ) -> None:
        self.code = code
        super().__init__(where, problem, expected, likely_cause)


_READ_ONLY = ("the folder can only be read, not written", "Ask whoever looks after this machine.")
_FULL = ("the disk is full", "Free some space, then try again.")
_REASONS = {
    errno.ENOSPC: _FULL,
    getattr(errno, "EDQUOT", errno.ENOSPC): _FULL,  # not every system has quotas
    errno.EROFS: _READ_ONLY,
    errno.EACCES: _READ_ONLY,
    errno.EPERM: _READ_ONLY,
    errno.ENOENT: ("the file or folder is no longer there", "Was it moved or deleted?"),
}


def disk_reason(error: OSError) -> tuple[str, str]:
    """Return why the disk refused, in plain words, and what to do about it.

    Examples
    --------
    >>> disk_reason(OSError(errno.ENOSPC, "No space left on device"))
    ('the disk is full', 'Free some space, then try again.')
    """
    return _REASONS.get(error.errno or 0, (error.strerror or str(error), ""))


@contextmanager
def saving(what: str = "This answer", *, alone: Path | None = None) -> Iterator[None]:
    """Turn an error of the disk into NotSaved: one sentence that says what was not saved, and why.

    Parameters
    ----------
    what : str
        What is being saved, for the sentence.
    alone : Path, optional
        Hold the lock between programs that stands beside this file. It is waited for up to 10 s.

    Examples
    --------
    >>> with saving("The key"):
    ...     raise OSError(errno.ENOSPC, "No space left on device")
    Traceback (most recent call last):
    ...
    kit.files.refusals.NotSaved: The key was NOT saved: the disk is full. Everything saved before is still
    there. Free some space, then try again.
    """
    from filelock import FileLock, Timeout

    try:
        if alone is None:
            yield
        else:
            with FileLock(alone.with_name(f"{alone.name}.lock"), timeout=LOCK_WAIT_S, mode=0o600):
                yield
    except Timeout:
        reason = "another lesson or window is still writing"
        raise NotSaved(reason, "Wait a moment, then try again.", what=what) from None
    except OSError as error:
        raise NotSaved(*disk_reason(error), what=what) from error


@contextmanager
def new_file(path: Path, what: str) -> Iterator[IO[bytes]]:
    """Give a new file to write that only its owner can read. ``what`` begins the sentence of an error.

    Raises
    ------
    BadData
        If there is a file of this name already.
    NotSaved
        If the disk refuses.
    """
    try:
        with saving(what), create_private(path) as file:
            yield file
    except KitError as error:
        if isinstance(error.__cause__, FileExistsError):
            raise BadData(str(path), "there is a file of this name already", "a new name") from None
        raise
