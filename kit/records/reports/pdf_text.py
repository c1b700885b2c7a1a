"""The words on our PDF papers: faces, sizes, and what the fonts can show. It knows no layout and no records.

A character that the fonts lack is shown as its code point, never left out in silence.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

SOLID = "\N{NO-BREAK SPACE}"
_FACES = {
    "Sans": "DejaVuSans.ttf",
    "Sans-Bold": "DejaVuSans-Bold.ttf",
    "Serif-Bold": "DejaVuSerif-Bold.ttf",
}
_STYLES = {  # face, size, leading, space before, space after
    "title": ("Serif-Bold", 19.0, 23.0, 0.0, 3.0),
    "kicker": ("Sans", 9.0, 12.0, 0.0, 0.0),
    "head": ("Serif-Bold", 12.5, 15.5, 10.0, 3.5),
    "subhead": ("Sans-Bold", 10.0, 13.0, 6.0, 2.5),
    "caption": ("Sans-Bold", 10.0, 13.0, 0.0, 0.0),
    "body": ("Sans", 9.4, 12.6, 0.0, 3.0),
    "small": ("Sans", 9.0, 11.8, 0.0, 2.0),
    "cell": ("Sans", 9.0, 11.4, 0.0, 0.0),
    "bold": ("Sans-Bold", 9.0, 11.4, 0.0, 0.0),
    "column": ("Sans-Bold", 9.0, 11.4, 0.0, 0.0),
    "warning": ("Sans-Bold", 10.4, 14.0, 0.0, 2.0),
    "sheet title": ("Serif-Bold", 20.0, 24.0, 0.0, 3.0),
    "sheet head": ("Sans-Bold", 12.0, 15.0, 7.0, 2.5),
    "sheet": ("Sans", 11.0, 13.6, 0.0, 2.0),
    "sheet bold": ("Sans-Bold", 11.0, 13.6, 0.0, 0.0),
    "box": ("Sans", 15.0, 15.0, 0.0, 0.0),
    "wall head": ("Serif-Bold", 34.0, 42.0, 0.0, 6.0),
    "wall name": ("Sans-Bold", 18.0, 22.0, 0.0, 0.0),
    "wall": ("Sans", 16.0, 20.0, 0.0, 6.0),
    "wall bold": ("Sans-Bold", 16.0, 20.0, 0.0, 0.0),
    "card head": ("Serif-Bold", 24.0, 28.0, 0.0, 2.0),
    "card": ("Sans-Bold", 22.0, 27.0, 0.0, 0.0),
    "card middle": ("Sans-Bold", 15.0, 19.0, 0.0, 0.0),
    "card small": ("Sans-Bold", 12.0, 15.0, 0.0, 0.0),
    "paper": ("Sans", 11.5, 16.0, 0.0, 3.0),
    "paper bold": ("Sans-Bold", 13.0, 18.0, 0.0, 2.0),
    "paper option": ("Sans", 11.5, 16.0, 2.0, 2.0),
    "paper small": ("Sans", 11.0, 15.0, 2.0, 0.0),
    "certificate kitchen": ("Sans", 12.0, 16.0, 0.0, 4.0),
    "certificate name": ("Serif-Bold", 26.0, 34.0, 0.0, 4.0),
    "certificate": ("Sans", 12.0, 17.0, 0.0, 2.0),
    "certificate line": ("Sans", 9.0, 12.6, 0.0, 0.0),
    "certificate small": ("Sans", 9.0, 12.6, 0.0, 3.0),
}
_TOGETHER = re.compile(r"\bact \d+|\b\d{1,2} [A-Z][a-z]{2} \d{4}|\d °C")  # never broken over two lines


def printable(text: object) -> str:
    """Return a text as the fonts can show it: no control characters, and a code point for a missing letter.

    Examples
    --------
    >>> printable("Łucja Ωmega")
    'Łucja Ωmega'
    >>> printable("王 Tam")
    '[U+738B] Tam'
    """
    known = _letters()
    clean = unicodedata.normalize("NFC", str(text)).translate({9: " ", 10: " ", 13: " "})
    shown = "".join(
        c if ord(c) in known else ("" if unicodedata.category(c)[0] == "C" else f"[U+{ord(c):04X}]")
        for c in clean
    )
    return _in_reading_order(_TOGETHER.sub(_glue, shown))


def _glue(found: re.Match[str]) -> str:
    return found.group().replace(" ", SOLID)


def text(words: object, style: str = "body") -> Any:
    """Return a paragraph of plain words. Nothing in them is taken for markup."""
    return marked(escape(printable(words)), style)


def marked(markup: str, style: str = "body") -> Any:
    """Return a paragraph with our own marks (``<b>``, ``<br/>``); other people's words go in by `say`."""
    from reportlab.platypus import Paragraph

    return Paragraph(_TOGETHER.sub(_glue, markup), styles()[style])


def say(words: object) -> str:
    """Return other people's words so that they can stand inside `marked`."""
    return escape(printable(words))


def _fonts_folder() -> Path:
    """Return where matplotlib keeps the fonts it ships, without loading matplotlib."""
    spec = find_spec("matplotlib")
    assert spec is not None and spec.origin is not None
    folder = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf"
    if folder.is_dir():
        return folder
    import matplotlib  # some systems keep its data elsewhere: then it has to say where

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf"


@cache
def styles() -> dict[str, Any]:
    """Return every style by name, with its fonts registered: once, when first asked for."""
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, file in _FACES.items():
        pdfmetrics.registerFont(TTFont(name, str(_fonts_folder() / file)))
    pdfmetrics.registerFontFamily("Sans", "Sans", "Sans-Bold", "Sans", "Sans-Bold")
    return {
        name: ParagraphStyle(
            name, fontName=face, fontSize=size, leading=leading, spaceBefore=before, spaceAfter=after,
            splitLongWords=1,
        )
        for name, (face, size, leading, before, after) in _STYLES.items()
    }  # fmt: skip


@cache
def _letters() -> frozenset[int]:
    """Return the code points that both text faces can show."""
    from reportlab.pdfbase import pdfmetrics

    styles()
    faces = [pdfmetrics.getFont(name).face.charToGlyph for name in ("Sans", "Sans-Bold")]
    return frozenset(faces[0]) & frozenset(faces[1])


def _in_reading_order(shown: str) -> str:
    """Turn runs of right-to-left letters around: the library sets every line from left to right."""
    if not any(unicodedata.bidirectional(c) in ("R", "AL") for c in shown):
        return shown
    done: list[str] = []
    run: list[str] = []
    for c in shown:
        if unicodedata.bidirectional(c) in ("R", "AL", "NSM") or (run and c in " -'"):
            run.append(c)
            continue
        done += _turned(run)
        run = []
        done.append(c)
    return "".join([*done, *_turned(run)])


def _turned(run: list[str]) -> list[str]:
    letters = "".join(run)
    kept = letters.rstrip(" -'")
    return [*reversed(kept), *letters[len(kept) :]]
