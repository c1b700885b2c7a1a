"""The line at the top of a lesson: who is working, on what, under which rules, and how far they are."""

from collections.abc import Callable, Mapping
from typing import Any

import traitlets as t

from kit.views.workbook.widget_base import WorkbookWidget, script


class Banner(WorkbookWidget):
    """Shows the ``page`` and speaks the ``language`` it is given; the lesson gives it new ones.

    ``chosen`` is told the code of a language that the reader picks.
    """

    _esm = script("common", "jump", "language", "banner")
    page = t.Dict().tag(sync=True)
    language = t.Dict().tag(sync=True)
    said = "The head of a lesson. Run the lesson to see who is working."

    def __init__(self, chosen: Callable[[str], None], **traits: Any) -> None:
        self._chosen = chosen
        super().__init__(**traits)

    def heard(self, content: Mapping[str, Any]) -> None:
        """Take the language that the reader picked."""
        if content.get("do") == "language":
            self._chosen(str(content.get("code", "")))

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say in the head why the language stays as it was."""
        self.page = {**self.page, "why": words}


def show_banner(banner: Banner) -> None:
    """Show a banner where there is a notebook to show it in."""
    from IPython import get_ipython
    from IPython.display import display

    if get_ipython() is not None:
        display(banner)
