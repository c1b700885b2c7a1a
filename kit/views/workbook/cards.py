"""The small cards: a picture, and a prediction on its own."""

from collections.abc import Iterable, Mapping
from typing import Any

import traitlets as t

from kit.views.pictures.register import draw_picture
from kit.views.workbook.widget_base import WorkbookWidget, page_picture, script


class StaticCard(WorkbookWidget):
    """A card that sends nothing: what it shows is fixed when it is made."""

    _esm = script("common", "kinds", "predict", "card")
    form = t.Dict().tag(sync=True)


def picture_card(name: str, data: Mapping[str, Any], title: str = "") -> StaticCard:
    """Return the picture of that name as a card."""
    shown = page_picture(draw_picture(name, data), label=title or name.replace("-", " "))
    return StaticCard(form={"card": "picture", "title": title, "picture": shown})


def predict_card(question: str, choices: Iterable[str], look: str) -> StaticCard:
    """Return a question to guess at before reading on."""
    return StaticCard(form={"card": "predict", "question": question, "choices": list(choices), "look": look})
