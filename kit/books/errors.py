"""Why a book was not written, or not taken."""

from __future__ import annotations

import errno
from typing import Literal

from kit.errors import BadData, KitError

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
