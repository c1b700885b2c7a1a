"""The line at the top of a lesson: who is working, on what, how far they are; and what the page speaks."""

from collections.abc import Callable, Mapping
from typing import Any

import traitlets as t

from kit.basics.errors import BadData, KitError
from kit.practice import Session, own_terms
from kit.views.workbook.own_terms import trade_words
from kit.views.workbook.widget_base import WorkbookWidget, script


class Banner(WorkbookWidget):
    """Shows the ``page`` and speaks the ``language`` it is given; the lesson gives it new ones.

    ``chosen`` is told the code of a language that the reader picks. The trade words go with it: each can be
    touched wherever it stands on the page, and what whoever works in ``session`` calls them.
    """

    _esm = script("common", "jump", "aloud", "touched", "language", "banner")
    page = t.Dict().tag(sync=True)
    language = t.Dict().tag(sync=True)
    words: t.List[Any] = t.List().tag(sync=True)
    own = t.Dict().tag(sync=True)
    said = "The head of a lesson. Run the lesson to see who is working."

    def __init__(self, chosen: Callable[[str], None], session: Session, **traits: Any) -> None:
        self._chosen, self._folder = chosen, session.person.folder
        try:
            own = own_terms.read(self._folder).words
        except (KitError, OSError):  # the list of words says what is wrong with the file
            own = {}
        super().__init__(words=trade_words(), own=dict(own), **traits)

    def heard(self, content: Mapping[str, Any]) -> None:
        """Take the language that the reader picked, or keep what they call a word."""
        if content.get("do") == "language":
            self._chosen(str(content.get("code", "")))
        elif content.get("do") == "word":
            word, text = content.get("word"), content.get("text")
            if not isinstance(word, str) or not isinstance(text, str):
                raise BadData("word", "it is no text", "what somebody typed")
            self.own = dict(own_terms.set_word(self._folder, word, text).words)
            self.send({"reply": "kept", "word": word, "serial": 0, "text": self.own.get(word, "")})

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say in the head why the language stays as it was, or on its card why a word is not kept."""
        if content.get("do") == "word":
            self.send({"reply": "kept", "word": str(content.get("word")), "serial": 0, "error": words})
        else:
            self.page = {**self.page, "why": words}


def show_banner(banner: Banner) -> None:
    """Show a banner where there is a notebook to show it in."""
    from IPython import get_ipython
    from IPython.display import display

    if get_ipython() is not None:
        display(banner)
