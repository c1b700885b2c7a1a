"""What every widget of the workbook shares: its scripts, its look, and how a page's message is heard."""

import logging
from collections.abc import Mapping
from functools import cache
from typing import Any

import anywidget

from kit.basics.errors import KitError
from kit.views.front import FOLDER
from kit.views.pictures import ink
from kit.views.pictures.register import Drawing

STYLE = "".join(
    (FOLDER / f"{name}.css").read_text(encoding="utf-8") for name in ("tokens", "workbook", "pinned")
)

_LOG = logging.getLogger("kit.views")


@cache
def script(*names: str) -> str:
    """Return the named scripts joined into one: a page loads each widget's script as one file."""
    return "\n".join((FOLDER / f"{name}.js").read_text(encoding="utf-8") for name in names)


class WorkbookWidget(anywidget.AnyWidget):
    """A widget of the workbook. It hears messages one at a time and never leaves the page waiting."""

    _css = STYLE
    said = "A card of the workbook. Run the lesson to use it."

    def __init__(self, **traits: Any) -> None:
        super().__init__(**traits)
        self.on_msg(self._hear)

    def __repr__(self) -> str:
        """Return what stands in a notebook that has been saved but not run."""
        return self.said

    def _hear(self, _widget: Any, content: Any, _buffers: Any) -> None:
        if not isinstance(content, Mapping):
            return
        try:
            self.heard(content)
        except (KitError, OSError) as error:
            self.trouble(content, plain(error))
        except Exception:  # a fault of ours must reach the page as words, or it waits for ever
            _LOG.exception("A message from the page could not be answered.")
            self.trouble(content, "This card has a fault, so nothing was marked. Please tell your tutor.")

    def heard(self, content: Mapping[str, Any]) -> None:
        """Answer one message from the page."""

    def trouble(self, content: Mapping[str, Any], words: str) -> None:
        """Tell the page, in words, that the message could not be answered."""


def plain(error: Exception) -> str:
    """Return an error as a sentence a learner can act on."""
    if isinstance(error, OSError):
        return (
            f"Your answer could not be kept: {error.strerror or error}. "
            "It is not recorded. Tell your tutor, then check again."
        )
    return str(error)


def page_picture(drawing: Drawing, *, label: str, text: str = "", narrow: bool = False) -> dict[str, Any]:
    """Return a drawing in the form a page shows: an SVG with its words; a chart also as a phone shows it."""
    shown: dict[str, Any] = {
        "label": label,
        "text": text or drawing.text,
        "facts": list(drawing.facts),
    }
    if isinstance(drawing.figure, str):
        return {**shown, "svg": drawing.figure}
    shown["svg"] = ink.svg(drawing.figure, narrow=narrow)
    return shown if narrow else {**shown, "phone": ink.svg(drawing.figure, narrow=True)}
