"""The words of the trade that a learner meets, each explained once, as data.

``kit.glossary`` holds quantities with units; this holds words. Lesson 0 shows the list with room for the
word in the learner's own language; the plain-English test takes every technical word from here.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from kit.errors import UnknownName


@dataclass(frozen=True)
class Word:
    """A word: its other spellings and plurals, what it means, and the lesson that explains it first."""

    word: str
    means: str
    lesson: int
    forms: tuple[str, ...] = ()

    @property
    def spellings(self) -> tuple[str, ...]:
        """The word and its other forms."""
        return (self.word, *self.forms)


@cache
def words() -> dict[str, Word]:
    """Return all words by name, in the order of the lessons.

    Examples
    --------
    >>> words()["pellicle"].lesson
    3
    """
    data = tomllib.loads((Path(__file__).parent / "data" / "words.toml").read_text(encoding="utf-8"))
    listed = [
        Word(name, each["means"], each["lesson"], tuple(each.get("forms", ())))
        for name, each in data["word"].items()
    ]
    return {each.word: each for each in sorted(listed, key=lambda each: (each.lesson, each.word.lower()))}


def word(name: str) -> Word:
    """Return the word that is written so, in any of its forms.

    Raises
    ------
    UnknownName
        If the list has no such word.

    Examples
    --------
    >>> word("pin bones").means
    'A thin bone that stays in the thick part of the fillet after filleting.'
    """
    for each in words().values():
        if name.lower() in {spelling.lower() for spelling in each.spellings}:
            return each
    raise UnknownName("word in the list", name, words())
