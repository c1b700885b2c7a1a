"""Names and short texts as they are kept: any script, spaces tidied, nothing that a screen would not show."""

import unicodedata

from kit.basics.errors import OutOfRange

JOINERS = "\u200c\u200d"
"""They have no ink of their own, and some scripts cannot be written without them."""

LONGEST_NAME = 80
LEAST_REASON = 3
"""Fewest characters of a reason."""


def tidy_text(text: str, unseen: str = JOINERS) -> str:
    """Return a text as it is kept; empty if nothing in it would be seen. ``unseen`` may stand in it too.

    Examples
    --------
    >>> tidy_text("  خیلی\u200cخوب \t ok ") == "خیلی\u200cخوب ok"
    True
    """
    shown = "".join(c if unicodedata.category(c)[0] != "C" or c in unseen else " " for c in text)
    tidy = " ".join(unicodedata.normalize("NFC", shown).split())
    return tidy if tidy.strip(unseen) else ""


_BREAKS = "\u2028\u2029"  # they break a line, and are no control characters


def has_unseen(text: str) -> bool:
    """Return whether a text holds what no screen shows: control characters, half characters.

    Examples
    --------
    >>> has_unseen("Ana Ó Briain"), has_unseen("Ana\x1b[31m")
    (False, True)
    """
    return any(c in _BREAKS or (unicodedata.category(c)[0] == "C" and c not in JOINERS) for c in text)


def shown_text(text: str, keep: str = "") -> str:
    """Return a text with a mark in place of each character that no screen shows, except those to keep.

    Examples
    --------
    >>> shown_text("Core\x1b[31m")
    'Core?[31m'
    """
    return "".join("?" if has_unseen(c) and c not in keep else c for c in text)


def tidy_name(name: str, what: str = "the name") -> str:
    """Return a name as it is kept.

    Raises
    ------
    OutOfRange
        If nothing is left, or it is longer than 80 characters. ``what`` says whose name it is.

    Examples
    --------
    >>> tidy_name("  Ana \t Ó Briain ")
    'Ana Ó Briain'
    """
    tidy = tidy_text(name)
    if not tidy:
        raise OutOfRange(what, repr(name), "at least one letter")
    if len(tidy) > LONGEST_NAME:
        raise OutOfRange(what, f"{len(tidy)} characters long", f"{LONGEST_NAME} or fewer")
    return tidy
