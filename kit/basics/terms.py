"""The words of the trade that a learner meets, each explained once, as data.

``kit.basics.quantities`` holds quantities with units; this holds words. Lesson 0 shows the list with room
for the word in the learner's own language; the plain-English test takes every technical word from here.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

from kit.basics.data_files import build, shipped
from kit.basics.errors import UnknownName


@dataclass(frozen=True)
class TradeTerm:
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
def terms() -> dict[str, TradeTerm]:
    """Return all words by name, in the order of the lessons.

    Examples
    --------
    >>> terms()["pellicle"].lesson
    3
    """
    told = shipped("kit.basics", "terms.toml", dict[str, dict[str, dict[str, Any]]])["word"]
    listed = build(list[TradeTerm], [{"word": name, **each} for name, each in told.items()], "terms.toml")
    return {each.word: each for each in sorted(listed, key=lambda each: (each.lesson, each.word.lower()))}


def term(name: str) -> TradeTerm:
    """Return the word that is written so, in any of its forms.

    Raises
    ------
    UnknownName
        If the list has no such word.

    Examples
    --------
    >>> term("pin bones").means
    'A thin bone that stays in the thick part of the fillet after filleting.'
    """
    for each in terms().values():
        if name.lower() in {spelling.lower() for spelling in each.spellings}:
            return each
    raise UnknownName("word in the list", name, terms())
