"""One language of the pages: what a text is called in it, and how it writes numbers and days.

A language is an object that a page is given. The rooms that calculate and mark do not know of it: an answer
is read, and marked, the same in all of them.
"""

import gettext
import hashlib
import io
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from kit.basics.errors import UnknownName

FOLDER = Path(__file__).resolve().parent
FILE, DRAWN = "smokehouse.po", "drawn.po"
"""The texts of the pages, and those that code composes for pictures and reports: English where they lack."""
WORD, MEANING, LESSON = "word", "meaning", "lesson "
"""The contexts of a catalogue: a trade word, its meaning, a paragraph of a lesson, with its key."""

Texts = dict[tuple[str, str], str]


@dataclass(frozen=True)
class Language:
    """A language: ``code`` as in BCP 47, ``texts`` by context and English text, ``fingerprint`` of them.

    ``name`` is its own name for itself. English has no texts: what is asked for is what is shown.
    """

    code: str
    name: str
    texts: Texts = field(default_factory=dict, repr=False)
    fingerprint: str = ""

    def say(self, text: str, context: str = "", **values: Any) -> str:
        """Return a text in this language, with its values in place; in English where it is missing.

        Examples
        --------
        >>> load("pl").say("{score} of {of}", score=2.5, of=3)
        '2,5 z 3'
        >>> ENGLISH.say("{score} of {of}", score=2.5, of=3)
        '2.5 of 3'
        """
        found = self.texts.get((context, text)) or text
        return found.format(**{name: self._told(value) for name, value in values.items()})

    def day(self, day: date, *, short: bool = False) -> str:
        """Return a day in words, as this language writes it.

        Examples
        --------
        >>> load("pl").day(date(2026, 3, 2)), load("es").day(date(2026, 3, 2), short=True)
        ('poniedziałek, 2 marca', '2 de marzo')
        """
        if self.code == ENGLISH.code:
            return f"{day.day} {day:%B}" if short else f"{day:%A} {day.day} {day:%B}"
        from babel.dates import format_date, format_skeleton

        told = format_skeleton("MMMMd", day, locale=self.code)
        return told if short else f"{format_date(day, 'EEEE', locale=self.code)}, {told}"

    def lesson(self, number: int | None) -> list[tuple[str, str]]:
        """Return each paragraph of a lesson in English and in this language; of Today for None."""
        about = f"{LESSON}{'today' if number is None else f'{number:02}'} "
        return [(text, said) for (context, text), said in self.texts.items() if context.startswith(about)]

    def page(self) -> dict[str, str]:
        """Return every text that is no lesson's, by its English: buttons, labels, trade words, meanings."""
        return {text: said for (context, text), said in self.texts.items() if not context.startswith(LESSON)}

    def _told(self, value: Any) -> str:
        if not isinstance(value, int | float) or isinstance(value, bool):
            return str(value)
        if self.code == ENGLISH.code:
            return f"{value:g}"
        from babel.numbers import format_decimal

        return format_decimal(value, locale=self.code)


ENGLISH = Language("en", "English")


def noted(text: str) -> str:
    """Return a text as it is: it marks one for translators that is said later."""
    return text


def codes() -> tuple[str, ...]:
    """Return the codes of the languages there are, English first.

    Examples
    --------
    >>> codes()[:2]
    ('en', 'es')
    """
    return (ENGLISH.code, *sorted(file.parent.name for file in FOLDER.glob(f"*/{FILE}")))


def catalogue_file(code: str) -> Path:
    """Return where the catalogue of a language is, whether it is there or not."""
    return FOLDER / code / FILE


@cache
def load(code: str) -> Language:
    """Return the language of that code; its catalogue is compiled when it is first asked for.

    Raises
    ------
    UnknownName
        If there is no such catalogue.

    Examples
    --------
    >>> load("pl").name, load("pl").say("Give me a hint")
    ('polski', 'Daj wskazówkę')
    """
    if code not in codes():
        raise UnknownName("language", code, codes())
    if code == ENGLISH.code:
        return ENGLISH
    from babel import Locale

    file = catalogue_file(code)
    drawn = file.with_name(DRAWN)
    texts = (_read(drawn) if drawn.is_file() else {}) | _read(file)
    name = Locale.parse(code).get_display_name() or code
    told = "\n".join(f"{key}\t{said}" for key, said in sorted(texts.items()))
    return Language(code, name, texts, hashlib.sha256(told.encode()).hexdigest()[:16])


def _read(file: Path) -> Texts:
    """Return the texts of a catalogue that are translated, and not left for a translator to look at."""
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    catalogue, compiled = read_po(io.BytesIO(file.read_bytes())), io.BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    found = gettext.GNUTranslations(compiled)
    texts: Texts = {}
    for one in catalogue:
        context, text = one.context or "", str(one.id)
        said = found.pgettext(context, text) if context else found.gettext(text)
        if text and said != text:
            texts[context, text] = said
    return texts
