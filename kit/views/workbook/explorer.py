"""The explorer as a widget: settings come in with each request, a picture and its words go back."""

from collections.abc import Mapping
from typing import Any

import traitlets as t

from kit.rules import Profile
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
        predict: Predict | None = None,
        profile: Profile | None = None,
    ):
        self.explorer, self._profile = explorer, profile
        ask = predict or explorer.predict
        super().__init__(spec=page_spec(explorer, explorer.settle(start), ask))

    def heard(self, content: Mapping[str, Any]) -> None:
        """Draw for the settings in the message and send the picture back with the same serial number."""
        if content.get("do") != "draw":
            return
        wanted = content.get("settings")
        settings = self.explorer.settle(wanted if isinstance(wanted, Mapping) else {})
        drawing, own = self.explorer.draw(settings), self.explorer.own
        lines = own(settings, self._profile) if own and self._profile else ()
        reply = {
            "reply": "drawn",
            "serial": content.get("serial"),
            "settings": settings,
            "text": drawing.text,
            "facts": [*drawing.facts, *lines],
        }
        if isinstance(drawing.figure, str):
            self.send({**reply, "svg": drawing.figure})
        else:
            self.send(reply, buffers=[ink.png(drawing.figure, narrow=bool(content.get("narrow")))])

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Say on the page why there is no picture for these settings."""
        nothing: dict[str, Any] = {"settings": {}, "text": "", "facts": [], "svg": ""}
        self.send({"reply": "drawn", "serial": content.get("serial"), "error": words, **nothing})


def page_spec(explorer: ExplorerSpec, start: Mapping[str, Any], predict: Predict | None) -> dict[str, Any]:
    """Return what the page needs to show an explorer before anything is drawn."""
    ask = None
    if predict is not None:
        ask = {"question": predict.question, "choices": list(predict.choices), "look": predict.look}
    return {
        "name": explorer.name,
        "title": explorer.title,
        "intro": explorer.intro,
        "controls": [control.page() for control in explorer.controls],
        "start": dict(start),
        "predict": ask,
    }
