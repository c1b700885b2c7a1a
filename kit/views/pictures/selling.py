"""Pictures of lesson 9: the papers that lots are traced by."""

from collections.abc import Mapping
from typing import Any

from kit.views.pictures import ink
from kit.views.pictures.drawings import WIDE, svg_drawing, svg_line, svg_text
from kit.views.pictures.register import Drawing, picture

_ROW, _TOP, _LEFT, _RIGHT = 34, 64, 20, 348


@picture("lot-papers")
def lot_papers(data: Mapping[str, Any]) -> Drawing:
    """Draw batch sheets and dispatch notes as two lists of lots with their kilos.

    Parameters
    ----------
    data : mapping
        ``batches`` and ``dispatches``: name to what it took, code to kilos; and ``words``.

    Examples
    --------
    >>> lot_papers({"batches": {"B1": {"D7": 6.0}}, "dispatches": {"Inn": {"B1": 2.5}}, "words": "…"}).text
    '…'
    """
    batches, dispatches = data["batches"], data["dispatches"]
    rows = max(len(batches), len(dispatches))
    tall = _TOP + rows * _ROW + 16
    body = [
        *_sheet(_LEFT, 320, "Batch sheets: from delivery", batches, 74, tall),
        *_sheet(_RIGHT, 416, "Dispatch notes: from batch", dispatches, 132, tall),
    ]
    return Drawing(svg_drawing(WIDE, tall, body, data["words"]), data["words"])


def _sheet(
    left: float, width: float, title: str, lines: Mapping[str, Any], indent: float, tall: float
) -> list[str]:
    body = [
        f'<rect x="{left - 12}" y="8" width="{width}" height="{tall - 16}" rx="4" fill="#ffffff" '
        f'stroke="{ink.FAINT}" stroke-width="1.5"/>',
        svg_text(left, 36, title, anchor="start", weight="700", size=16),
        svg_line(left, 46, left + width - 24, 46, ink.FAINT, 1),
    ]
    for place, (name, taken) in enumerate(lines.items()):
        y = _TOP + place * _ROW + 14
        told = ",  ".join(f"{code} {kg:g} kg" for code, kg in taken.items())
        body.append(svg_text(left, y, name, anchor="start", size=17, weight="700"))
        body.append(svg_text(left + indent, y, told, anchor="start", size=17))
    return body
