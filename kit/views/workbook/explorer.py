"""The explorer as a widget: settings come in with each request, a picture and its words go back."""

from collections.abc import Mapping
from typing import Any

import traitlets as t

from kit.practice import Session
from kit.practice.guesses import Guess, keep_guess
from kit.views.pictures import ink
from kit.views.pictures.register import ExplorerSpec, Predict
from kit.views.workbook.widget_base import WorkbookWidget, script


class Explorer(WorkbookWidget):
    """Controls and a picture. The page asks for the first picture when the reader comes near it."""

    _esm = script("common", "kinds", "predict", "explorer")
    spec = t.Dict().tag(sync=True)
    said = "An explorer of the workbook. Run the lesson to use it."

    def __init__(
        self,
        explorer: ExplorerSpec,
        *,
        start: Mapping[str, Any],
        work: Session | None = None,
    ):
        self.explorer, self._work = explorer, work
        super().__init__(spec=page_spec(explorer, explorer.settle(start)))

    def heard(self, content: Mapping[str, Any]) -> None:
        """Draw for the settings in the message, or keep a guess, and say so to the page."""
        if content.get("do") == "draw":
            self._draw(content)
        elif content.get("do") == "guess" and self.explorer.predict is not None:
            self._keep(self.explorer.predict, content)

    def _keep(self, ask: Predict, content: Mapping[str, Any]) -> None:
        choice = content.get("choice")
        if not isinstance(choice, int) or not 0 <= choice < len(ask.choices):
            return
        if self._work is None or not self._work.recorded:
            self.send({"reply": "kept", "words": "Not kept: nobody is recorded here."})
            return
        said, day = ask.choices[choice], self._work.book.clock().date()
        changed = str(content.get("changed", ""))
        guess = Guess(self.explorer.name, ask.question, said, ask.happened, ask.off[choice], day, changed)
        keep_guess(self._work.person.folder, guess, clock=self._work.book.clock)
        self.send({"reply": "kept", "words": "Kept. Today shows it to you again in a week."})

    def _draw(self, content: Mapping[str, Any]) -> None:
        """Send a picture back with the same serial number."""
        wanted = content.get("settings")
        settings = self.explorer.settle(wanted if isinstance(wanted, Mapping) else {})
        drawing, own = self.explorer.draw(settings), self.explorer.own
        lines = own(settings, self._work.profile) if own and self._work else ()
        reply = {
            "reply": "drawn",
            "serial": content.get("serial"),
            "settings": settings,
            "text": drawing.text,
            "facts": [*drawing.facts, *lines],
        }
        figure, narrow = drawing.figure, bool(content.get("narrow"))
        self.send({**reply, "svg": figure if isinstance(figure, str) else ink.svg(figure, narrow=narrow)})

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say on the page why there is no picture for these settings, or why a guess was not kept."""
        if content.get("do") == "guess":
            self.send({"reply": "kept", "words": words})
            return
        nothing: dict[str, Any] = {"settings": {}, "text": "", "facts": [], "svg": ""}
        self.send({"reply": "drawn", "serial": content.get("serial"), "error": words, **nothing})


def page_spec(explorer: ExplorerSpec, start: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the page needs to show an explorer before anything is drawn."""
    ask = explorer.predict
    told: dict[str, Any] | None = None
    if ask is not None:
        told = {"question": ask.question, "look": ask.look}
        told |= {"choices": list(ask.choices), "off": list(ask.off)}
    return {
        "name": explorer.name,
        "title": explorer.title,
        "intro": explorer.intro,
        "controls": [control.page() for control in explorer.controls],
        "start": dict(start),
        "predict": told,
    }
