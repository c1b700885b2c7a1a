"""How our PDF papers look: boxes, tables, and the foot of every page. It knows no records.

Everything is black on white with one grey, so that a copy of a copy can still be read.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal

from kit.records.reports.pdf_text import printable, styles, text

AUTHOR = "smokehouse kit"
PAGE_W_MM, MARGIN_MM = 210.0, 13.0
WIDTH_MM = PAGE_W_MM - 2 * MARGIN_MM
FOOT_PT = 8.0
LONG_CELL = 1_000  # characters; about half a page in a narrow column
BOX = "\N{BALLOT BOX}"
_GREY = 0.42


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


def form(
    rows: Sequence[Sequence[Any]],
    widths_mm: Sequence[float],
    height_mm: float | None = None,
    look: str = "cell",
) -> Any:
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
        [[_cell(cell, look) for cell in row] for row in rows],
        colWidths=[width * mm for width in widths_mm],
        rowHeights=None if height_mm is None else [height_mm * mm] * len(rows),
        style=style,
        hAlign="LEFT",
    )
    made.spaceAfter = 4
    return made


def table(
    rows: Sequence[Sequence[Any]],
    widths_mm: Sequence[float],
    *,
    head: bool = True,
    title: str = "",
    looks: tuple[str, str] = ("cell", "column"),
) -> Any:
    """Return a table with thin rules between its rows; title and head are repeated on every page.

    ``looks`` are the styles of its cells and of its head.
    """
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
        [_cell(cell, looks[1] if head and place == 0 else looks[0]) for cell in row]
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


def as_pdf(story: Sequence[Any], paper: Paper, *, size: Literal["A4", "A3", "A6"] = "A4") -> bytes:
    """Return the paper as PDF, with title, language and author, and page x of y on every page.

    A sheet of A3 lies on its side.
    """
    from reportlab.lib.pagesizes import A3, A4, A6, landscape
    from reportlab.lib.units import mm
    from reportlab.platypus import SimpleDocTemplate

    styles()
    out = io.BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize={"A3": landscape(A3), "A4": A4, "A6": A6}[size],
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


def _fitting(canvas: Any, words: str, room: float) -> str:
    """Return words cut so that they fit beside the number of the page."""
    if canvas.stringWidth(words, "Sans", FOOT_PT) <= room:
        return words
    while words and canvas.stringWidth(f"{words}…", "Sans", FOOT_PT) > room:
        words = words[:-1]
    return f"{words}…"


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
    canvas.setFont("Sans", FOOT_PT)
    room = right - left - canvas.stringWidth(page, "Sans", FOOT_PT) - 12
    canvas.drawString(left, 10.6 * mm, _fitting(canvas, printable(paper.title), room))
    canvas.drawRightString(right, 10.6 * mm, page)
    canvas.setFillGray(_GREY)
    canvas.drawString(left, 7.4 * mm, _fitting(canvas, printable(paper.foot), right - left))
    canvas.setFillGray(0)
