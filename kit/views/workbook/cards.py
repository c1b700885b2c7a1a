"""A picture as a card of its own."""

from collections.abc import Mapping
from typing import Any

import traitlets as t

from kit.views.pictures.register import draw_picture
from kit.views.workbook.widget_base import WorkbookWidget, page_picture, script


class PictureCard(WorkbookWidget):
    """A card that sends nothing: what it shows is fixed when it is made."""

    _esm = script("common", "card")
    form = t.Dict().tag(sync=True)


def picture_card(name: str, data: Mapping[str, Any], title: str = "") -> PictureCard:
    """Return the picture of that name as a card."""
    shown = page_picture(draw_picture(name, data), label=title or name.replace("-", " "))
    return PictureCard(form={"title": title, "picture": shown})
