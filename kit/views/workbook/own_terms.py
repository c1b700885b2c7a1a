"""The list of words as a widget: each word, its sketch, what it means, and room for the learner's language.

What is typed goes to the learner's own folder at once, and is there again when the lesson opens. It is a
note, no answer: nothing of it enters the answer book.
"""

from collections.abc import Mapping
from typing import Any

import traitlets as t

from kit.basics.errors import BadData, KitError
from kit.basics.terms import terms
from kit.languages import noted
from kit.practice import Session, own_terms
from kit.views.pictures.word_sketches import word_sketch
from kit.views.workbook.widget_base import WorkbookWidget, plain, script

KEPT = noted(
    "What you type is kept on this machine, in your own folder. It is not marked, and not handed in."
)
NOT_KEPT = noted("Not recorded: you may type here, but it goes when you close the workbook.")


class WordList(WorkbookWidget):
    """The words of the trade with a field for each in the learner's own language.

    Parameters
    ----------
    session : Session
        Whoever is working; their folder keeps the words. One that is not recorded keeps them until it closes.
    lesson : int
        Whose words are shown first. The others are one choice away.
    titles : mapping, optional
        A title for each lesson's number.
    """

    _esm = script("common", "own_words")
    form = t.Dict().tag(sync=True)
    kept = t.Dict().tag(sync=True)
    said = "The list of words. Run the lesson to write in it."

    def __init__(self, session: Session, *, lesson: int, titles: Mapping[int, str] | None = None) -> None:
        self._folder = session.person.folder
        super().__init__(form=page_words(lesson, titles or {}, recorded=session.recorded))
        try:
            found = own_terms.read(self._folder)
        except (KitError, OSError) as error:  # the lesson must open all the same, and say so
            found = own_terms.OwnWords(notice=plain(error))
        self._show(found, session.person.language)

    def heard(self, content: Mapping[str, Any]) -> None:
        """Keep what was typed for one word, or the language's name, and say that it is kept."""
        if content.get("do") != "keep":
            return
        word, text = content.get("word"), content.get("text")
        if not isinstance(word, str) or not isinstance(text, str):
            raise BadData("word", "it is no text", "what somebody typed")
        if word:
            found = own_terms.set_word(self._folder, word, text)
        else:
            found = own_terms.set_language(self._folder, text)
        self._show(found)
        self.send({**_named(content), "text": found.words.get(word, "") if word else found.language})

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say beside its field why a text is not kept. What was typed stays in the field."""
        self.send({**_named(content), "error": words})

    def _show(self, found: own_terms.OwnWords, language: str = "") -> None:
        notice = found.notice or self.kept.get("notice", "")
        self.kept = {
            "language": found.language or language,
            "words": dict(found.words),
            "notice": notice,
        }


def page_words(lesson: int, titles: Mapping[int, str], *, recorded: bool) -> dict[str, Any]:
    """Return what the page needs to show the list before anything is typed.

    Examples
    --------
    >>> page = page_words(3, {3: "3 · Pellicle"}, recorded=False)
    >>> page["start"], page["lessons"][3], page["note"][:13]
    (3, {'number': 3, 'title': '3 · Pellicle'}, 'Not recorded:')
    """
    listed = terms().values()
    numbers = sorted({word.lesson for word in listed})
    return {
        "start": lesson if lesson in numbers else numbers[0],
        "lessons": [{"number": one, "title": titles.get(one, f"Lesson {one}")} for one in numbers],
        "words": [
            {"word": each.word, "means": each.means, "lesson": each.lesson, "sketch": word_sketch(each.word)}
            for each in listed
        ],
        "note": KEPT if recorded else NOT_KEPT,
    }


def trade_words() -> list[dict[str, Any]]:
    """Return every word of the trade as a page needs it to make it touchable.

    Examples
    --------
    >>> batch = next(one for one in trade_words() if one["word"] == "batch")
    >>> batch["word"], batch["forms"], batch["means"][:4]
    ('batch', ['batches'], 'Fish')
    """
    return [
        {"word": one.word, "forms": list(one.forms), "means": one.means, "sketch": word_sketch(one.word)}
        for one in terms().values()
    ]


def _named(content: Mapping[str, Any]) -> dict[str, Any]:
    return {"reply": "kept", "word": content.get("word"), "serial": content.get("serial")}
