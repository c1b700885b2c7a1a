"""Which kind of file a command is to write."""

from pathlib import Path

from kit.basics.errors import OutOfRange


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
