"""How our PDF papers look: fonts, sizes, boxes, tables, and the foot of every page. It knows no records.

Everything is black on white with one grey, so that a copy of a copy can still be read. A character that the
fonts lack is shown as its code point, never left out in silence.
"""

from __future__ import annotations

import io
import re
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

AUTHOR = "smokehouse kit"
PAGE_W_MM, MARGIN_MM = 210.0, 13.0
WIDTH_MM = PAGE_W_MM - 2 * MARGIN_MM
LONG_CELL = 1_000  # characters; about half a page in a narrow column
BOX = "\N{BALLOT BOX}"
SOLID = "\N{NO-BREAK SPACE}"
_FACES = {
    "Sans": "DejaVuSans.ttf",
    "Sans-Bold": "DejaVuSans-Bold.ttf",
    "Serif-Bold": "DejaVuSerif-Bold.ttf",
}
_STYLES = {  # face, size, leading, space before, space after
    "title": ("Serif-Bold", 19.0, 23.0, 0.0, 3.0),
    "kicker": ("Sans", 8.0, 11.0, 0.0, 0.0),
    "head": ("Serif-Bold", 12.0, 15.0, 11.0, 4.0),
    "subhead": ("Sans-Bold", 8.6, 11.5, 7.0, 2.5),
    "caption": ("Sans-Bold", 8.6, 11.5, 0.0, 0.0),
    "body": ("Sans", 8.4, 12.0, 0.0, 3.0),
    "small": ("Sans", 7.2, 9.8, 0.0, 2.0),
    "cell": ("Sans", 7.2, 9.4, 0.0, 0.0),
    "bold": ("Sans-Bold", 7.2, 9.4, 0.0, 0.0),
    "column": ("Sans-Bold", 6.9, 9.0, 0.0, 0.0),
    "read": ("Sans", 7.9, 10.4, 0.0, 0.0),
    "box": ("Sans", 11.5, 11.0, 0.0, 0.0),
    "wall head": ("Serif-Bold", 34.0, 42.0, 0.0, 6.0),
    "wall name": ("Sans-Bold", 18.0, 22.0, 0.0, 0.0),
    "wall": ("Sans", 16.0, 20.0, 0.0, 6.0),
    "wall bold": ("Sans-Bold", 16.0, 20.0, 0.0, 0.0),
    "warning": ("Sans-Bold", 9.4, 13.0, 0.0, 2.0),
    "certificate kitchen": ("Sans", 12.0, 16.0, 0.0, 4.0),
    "certificate name": ("Serif-Bold", 26.0, 34.0, 0.0, 4.0),
    "certificate": ("Sans", 12.0, 17.0, 0.0, 2.0),
    "certificate line": ("Sans", 9.0, 12.6, 0.0, 0.0),
    "certificate small": ("Sans", 9.0, 12.6, 0.0, 3.0),
}
_GREY = 0.42
_TOGETHER = re.compile(r"\bact \d+|\b\d{1,2} [A-Z][a-z]{2} \d{4}|\d °C")  # never broken over two lines


@dataclass(frozen=True)
class Paper:
    """What stands in the properties and at the foot of a paper.

    Parameters
    ----------
    title : str
        The title, also at the foot.
    now : datetime
        When it was made, with a zone. The same moment gives the same bytes.
    foot : str
        A second line at the foot, such as the end of the chain.
    """

    title: str
    now: datetime
    foot: str = ""


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

    return Paragraph(_TOGETHER.sub(_glue, markup), _styles()[style])


def say(words: object) -> str:
    """Return other people's words so that they can stand inside `marked`."""
    return escape(printable(words))


def form(rows: Sequence[Sequence[Any]], widths_mm: Sequence[float], height_mm: float | None = None) -> Any:
    """Return boxes to write in: each cell has a frame, its label stands at the top left."""
    from reportlab.lib.colors import Color
    from reportlab.lib.units import mm
    from reportlab.platypus import Table

    style = [
        ("GRID", (0, 0), (-1, -1), 0.6, Color(0, 0, 0)),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    ]
    made = Table(
        [[_cell(cell, "cell") for cell in row] for row in rows],
        colWidths=[width * mm for width in widths_mm],
        rowHeights=None if height_mm is None else [height_mm * mm] * len(rows),
        style=style,
        hAlign="LEFT",
    )
    made.spaceAfter = 4
    return made


def table(
    rows: Sequence[Sequence[Any]], widths_mm: Sequence[float], *, head: bool = True, title: str = ""
) -> Any:
    """Return a table with thin rules between its rows; title and head are repeated on every page."""
    from reportlab.lib.colors import Color
    from reportlab.lib.units import mm
    from reportlab.platypus import Table

    grey, black = Color(0.72, 0.72, 0.72), Color(0, 0, 0)
    first = 1 if title else 0
    style: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, first), (-1, -1), 0.4, grey),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 5),
        ("TOPPADDING", (0, 0), (-1, -1), 2.6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3.2),
    ]
    if head:
        style += [
            ("LINEBELOW", (0, first), (-1, first), 0.9, black),
            ("VALIGN", (0, first), (-1, first), "BOTTOM"),
        ]
    cells = [
        [_cell(cell, "column" if head and place == 0 else "cell") for cell in row]
        for place, row in enumerate(rows)
    ]
    if title:
        style.append(("SPAN", (0, 0), (-1, 0)))
        cells.insert(0, [text(title, "caption"), *[""] * (len(widths_mm) - 1)])
    made = Table(
        cells,
        colWidths=[width * mm for width in widths_mm],
        repeatRows=first + 1 if head else first,
        splitInRow=1 if any(_long(cell) for row in cells for cell in row) else 0,
        style=style,
        hAlign="LEFT",
    )
    made.spaceAfter = 4
    return made


def framed(content: Sequence[Any], *, strong: bool = False, width_mm: float = WIDTH_MM) -> Any:
    """Return content in a frame: a thin one for a notice, a thick one for a warning."""
    from reportlab.lib.colors import Color
    from reportlab.lib.units import mm
    from reportlab.platypus import Table

    style = [
        ("BOX", (0, 0), (-1, -1), 2.4 if strong else 0.7, Color(0, 0, 0)),
        ("LEFTPADDING", (0, 0), (-1, -1), 7),
        ("RIGHTPADDING", (0, 0), (-1, -1), 7),
        ("TOPPADDING", (0, 0), (0, 0), 5),
        ("TOPPADDING", (0, 1), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, -1), (-1, -1), 6),
    ]
    made = Table([[each] for each in content], colWidths=[width_mm * mm], style=style, hAlign="LEFT")
    made.spaceBefore, made.spaceAfter = 4, 5
    return made


def gap(mm_high: float) -> Any:
    """Return empty space."""
    from reportlab.lib.units import mm
    from reportlab.platypus import Spacer

    return Spacer(1, mm_high * mm)


def section(title: str, content: Iterable[Any], *, room_mm: float = 45.0, style: str = "head") -> list[Any]:
    """Return a heading with what follows; both go to the next page if less than ``room_mm`` is left."""
    return [room(room_mm), text(title, style), *content]


def room(mm_high: float) -> Any:
    """Return a break to a new page that is taken only if less room is left."""
    from reportlab.lib.units import mm
    from reportlab.platypus import CondPageBreak

    return CondPageBreak(mm_high * mm)


def together(content: Iterable[Any]) -> Any:
    """Return content that stays on one page."""
    from reportlab.platypus import KeepTogether

    return KeepTogether(list(content))


def new_page() -> Any:
    """Return the start of a new page."""
    from reportlab.platypus import PageBreak

    return PageBreak()


def bookmark(title: str, key: str) -> Any:
    """Return an invisible mark that the reader's list of contents shows."""
    from reportlab.platypus import Flowable

    mark = Flowable()
    mark.width = mark.height = 0

    def draw() -> None:
        mark.canv.bookmarkPage(key)
        mark.canv.addOutlineEntry(printable(title), key)

    mark.draw = draw
    return mark


def as_pdf(story: Sequence[Any], paper: Paper, *, wall: bool = False) -> bytes:
    """Return the paper as PDF, with title, language and author, and page x of y on every page.

    It is A4, or for a ``wall`` A3 on its side.
    """
    from reportlab.lib.pagesizes import A3, A4, landscape
    from reportlab.lib.units import mm
    from reportlab.platypus import SimpleDocTemplate

    _styles()
    out = io.BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize=landscape(A3) if wall else A4,
        leftMargin=MARGIN_MM * mm,
        rightMargin=MARGIN_MM * mm,
        topMargin=12 * mm,
        bottomMargin=17 * mm,
        title=printable(paper.title),
        author=AUTHOR,
        creator=AUTHOR,
        subject="Training and assessment record",
        lang="en-GB",
        invariant=1,
    )
    # a frame has 6 pt of padding of its own: the margins above are ours
    document.leftMargin -= 6
    document.rightMargin -= 6
    document.build(list(story), canvasmaker=_canvas_for(paper))
    return out.getvalue()


def _long(cell: Any) -> bool:
    """Return whether a cell may be taller than a page, so that its row has to be split."""
    return sum(len(getattr(part, "text", "")) for part in getattr(cell, "frags", ())) > LONG_CELL


def _cell(cell: Any, style: str) -> Any:
    return text(cell, style) if isinstance(cell, str) else cell


def _canvas_for(paper: Paper) -> Callable[..., Any]:
    """Return a canvas that keeps its pages until it knows how many there are, then adds the foot."""
    from reportlab.pdfgen.canvas import Canvas

    class Counted(Canvas):  # type: ignore[misc]  # the library publishes no types
        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self._pages: list[dict[str, Any]] = []
            stamp, now = self._doc._timeStamp, paper.now.astimezone(UTC)
            stamp.t, stamp.lt, stamp.YMDhms = now.timestamp(), now.timetuple(), tuple(now.timetuple())[:6]

        def showPage(self) -> None:
            self._pages.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, page in enumerate(self._pages, start=1):
                self.__dict__.update(page)
                _foot(self, paper, f"page {number} of {len(self._pages)}")
                super().showPage()
            super().save()

    return Counted


def _foot(canvas: Any, paper: Paper, page: str) -> None:
    from reportlab.lib.units import mm

    left, right = MARGIN_MM * mm, canvas._pagesize[0] - MARGIN_MM * mm
    canvas.setLineWidth(0.5)
    canvas.line(left, 14 * mm, right, 14 * mm)
    canvas.setFont("Sans", 6.8)
    canvas.drawString(left, 10.6 * mm, printable(paper.title))
    canvas.drawRightString(right, 10.6 * mm, page)
    canvas.setFillGray(_GREY)
    canvas.drawString(left, 7.4 * mm, printable(paper.foot))
    canvas.setFillGray(0)


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
def _styles() -> dict[str, Any]:
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

    _styles()
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
