"""A fillet from above, for marking where pin bones sit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kit.views.spec import Drawing, picture


@picture("fillet-top")
def fillet_top(data: Mapping[str, Any]) -> Drawing:
    """Draw a fillet from above, skin down.

    Parameters
    ----------
    data : mapping
        ``head_left`` (bool) and ``words``.

    Examples
    --------
    >>> fillet_top({"head_left": True, "words": "A fillet."}).text
    'A fillet.'
    """
    turn = "" if data.get("head_left", True) else ' transform="translate(600,0) scale(-1,1)"'
    lines = "".join(
        f'<path d="M{x} {64 + 0.03 * (x - 300) ** 2 / 100:.0f} q18 52 0 112" fill="none" stroke="#d98a70" '
        'stroke-width="1.6"/>'
        for x in range(80, 500, 42)
    )
    svg = (
        '<svg viewBox="0 0 600 240" width="600" height="240"><g'
        f'{turn}><path d="M30 120 C40 50 150 28 300 44 C420 56 520 88 575 112 L575 130 C520 158 430 '
        f"196 300 206 "
        'C150 216 44 196 30 120 Z" fill="#f6b8a2" stroke="#a9553b" stroke-width="2.5"/>'
        f'<path d="M40 116 C160 104 420 106 574 121" fill="none" stroke="#c9755a" stroke-width="2"/>{lines}'
        '<path d="M60 186 C180 214 330 210 450 182" fill="none" stroke="#e9cfc0" '
        'stroke-width="10"/></g></svg>'
    )
    return Drawing(svg, str(data.get("words", "A fillet from above, skin down.")))
