"""The trade's words in the learner's own language: what they typed, kept in their own folder.

It is a learner's note, not evidence: it never enters the answer book and is never marked.
"""

from dataclasses import dataclass, field
from pathlib import Path

from kit.basics.errors import OutOfRange
from kit.basics.terms import term
from kit.basics.typed_text import JOINERS, tidy_text
from kit.files import Clock, local_now, saving
from kit.practice.own_file import read_page, write_page

FILE = "own_words.json"
SCHEMA = 1
LONGEST_LANGUAGE = 40
LONGEST_WORD = 80
_UNSEEN = JOINERS + "\u200e\u200f"  # and marks of direction


@dataclass(frozen=True)
class OwnWordsFile:
    """What the file holds. A word that is no longer on the list stays in it."""

    schema: int
    language: str
    words: dict[str, str]


@dataclass(frozen=True)
class OwnWords:
    """What a learner has written: the language's name, and a text for each word of the list.

    ``notice`` says what the learner must be told, such as where a damaged file was kept. It may be empty.
    """

    language: str = ""
    words: dict[str, str] = field(default_factory=dict)
    notice: str = ""


def read(folder: Path, *, clock: Clock = local_now) -> OwnWords:
    """Return what is kept in a person's folder: nothing yet, if there is no file.

    A file that cannot be understood is kept whole beside it, and ``notice`` says where.

    Raises
    ------
    BadData
        If a newer kit wrote the file, or it cannot be opened. It is left as it is.
    NotSaved
        If a damaged file cannot be set aside.
    """
    page, notice = read_page(folder / FILE, OwnWordsFile, SCHEMA, "Your list of words", clock)
    if page is None:
        return OwnWords(notice=notice)
    words = {name: tidy_text(text, _UNSEEN) for name, text in page.words.items()}
    return OwnWords(tidy_text(page.language, _UNSEEN), words)


def set_language(folder: Path, name: str, *, clock: Clock = local_now) -> OwnWords:
    """Keep the name of the language, and return all that is kept. An empty name takes it away.

    Raises
    ------
    OutOfRange
        If it is longer than 40 characters.
    NotSaved, BadData
        If the disk refuses, or the file is a newer kit's. What was kept before still is.
    """
    name = _short_enough("The language's name", name, LONGEST_LANGUAGE)
    return _change(folder, clock, language=name)


def set_word(folder: Path, word: str, text: str, *, clock: Clock = local_now) -> OwnWords:
    """Keep a learner's text for one word of the list, and return all that is kept. Empty takes it away.

    Raises
    ------
    UnknownName
        If the list has no such word.
    OutOfRange
        If the text is longer than 80 characters.
    NotSaved, BadData
        If the disk refuses, or the file is a newer kit's. What was kept before still is.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as place:
    ...     set_word(Path(place), "core", " střed ").words, read(Path(place)).words
    ({'core': 'střed'}, {'core': 'střed'})
    """
    word = term(word).word
    text = _short_enough(f"Your text for “{word}”", text, LONGEST_WORD)
    return _change(folder, clock, word=word, text=text)


def _short_enough(what: str, text: str, most: int) -> str:
    found = tidy_text(text, _UNSEEN)
    if len(found) > most:
        raise OutOfRange(what, f"{len(found)} characters long", f"{most} or fewer", "It is not kept yet.")
    return found


def _change(
    folder: Path, clock: Clock, *, language: str | None = None, word: str = "", text: str = ""
) -> OwnWords:
    notice = read(folder, clock=clock).notice  # sets a damaged file aside, before the lock is held
    with saving("This word", alone=folder / FILE):
        now = read(folder, clock=clock)
        words = {**now.words, word: text} if word else now.words
        after = OwnWords(
            now.language if language is None else language,
            {name: each for name, each in words.items() if each},
            notice,
        )
        page = {"schema": SCHEMA, "language": after.language, "words": after.words}
        write_page(folder / FILE, page)
    return after
