"""Who is meant by a name as it is typed: case, accents, spaces and the order of its parts do not matter.

It finds; it never guesses. What is only near a name is offered to ask about.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

NEAR = 0.7
"""How alike two words are, from 0 to 1, for one to be offered in place of the other."""
_MARKS = range(0x300, 0x370)  # accents on Latin, Greek and Cyrillic letters; other scripts keep their vowels
_LETTERS = str.maketrans(
    {"ł": "l", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ħ": "h"}
)


def fold(name: str) -> str:
    """Return a name as it is compared: case, spacing and ways to write an accent do not matter.

    Examples
    --------
    >>> fold("  Ana   MARÍA ") == fold("ana mari\\u0301a")
    True
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def plain(name: str) -> str:
    """Return a name as somebody types it who has no accents on the keyboard.

    Examples
    --------
    >>> plain("Łucja Dąbrowska"), plain("Ruairí O’Shea-Lynn")
    ('lucja dabrowska', 'ruairi o shea lynn')
    """
    letters = unicodedata.normalize("NFKD", fold(name)).translate(_LETTERS)
    kept = "".join(c for c in letters if ord(c) not in _MARKS)
    return " ".join("".join(" " if c in "-'’.," else c for c in unicodedata.normalize("NFC", kept)).split())


def holds(name: str, asked: str) -> bool:
    """Return whether a name holds what was asked for: as it stands, or each of its words as a beginning.

    Examples
    --------
    >>> [holds("Berti Example", asked) for asked in ("berti", "EXAM", "example berti", "ert", "bertha", "")]
    [True, True, True, True, False, False]
    """
    wanted, whole = plain(asked), plain(name)
    if not wanted:
        return False
    words = whole.split()
    return wanted in whole or all(any(word.startswith(part) for word in words) for part in wanted.split())


def fitting(names: Sequence[str], asked: str) -> tuple[list[int], list[int]]:
    """Return the places of the names that are what was asked for, and of those that hold it.

    Examples
    --------
    >>> crew = ["Tam Ferris", "Tamsin Hale", "Łucja"]
    >>> fitting(crew, "lucja"), fitting(crew, "tam")
    (([2], [2]), ([], [0, 1]))
    """
    wanted = fold(asked)
    same = [n for n, name in enumerate(names) if wanted and fold(name) == wanted]
    if not same:
        bare = plain(asked)
        same = [n for n, name in enumerate(names) if bare and plain(name) == bare]
    return same, [n for n, name in enumerate(names) if holds(name, asked)]


def nearest(names: Sequence[str], asked: str, most: int = 1) -> list[str]:
    """Return the names most like what was asked for, or with a word most like it, the nearest first.

    Examples
    --------
    >>> nearest(["Berti Example", "Tam Ferris"], "berty"), nearest(["Berti Example"], "Ida")
    (['Berti Example'], [])
    """
    from difflib import get_close_matches

    by_word: dict[str, str] = {}
    for name in names:
        for part in (*plain(name).split(), plain(name)):
            by_word.setdefault(part, name)
    found = get_close_matches(plain(asked), by_word, n=3 * most, cutoff=NEAR)
    return list(dict.fromkeys(by_word[each] for each in found))[:most]
