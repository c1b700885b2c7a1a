"""A certificate on paper: one page of words, and square codes that hold the certificate's file itself.

Who scans the codes has the whole signed file and needs nothing of us to check it. The words on the page are
read from the file: the paper cannot say more than the file does.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Any

from kit.files.certificate import CertificateReading
from kit.records.people.named_acts import day_words
from kit.records.reports import pdf_style
from kit.records.reports.pdf_text import marked, say, text

SIGNS_A_CODE = 2_200
"""The most signs in one square code, so that each stays coarse enough for a telephone's camera."""
_CODE_MM = 84.0
_CAUTION = (
    "This page says what was shown on the days before it was given. It releases no batch: "
    "in each kitchen the person in charge decides who works alone."
)


def certificate_pdf(reading: CertificateReading, token: str, now: datetime | None = None) -> bytes:
    """Return a certificate to print on A4.

    Parameters
    ----------
    reading : CertificateReading
        What was read in the file, after its signature was checked.
    token : str
        The file's text.
    now : datetime, optional
        When the paper is made, with a zone. Default: the clock.

    Examples
    --------
    >>> start = datetime(2026, 3, 2, tzinfo=UTC)
    >>> reading = CertificateReading(
    ...     "urn:uuid:1", "Tam Ferris", "Skerry Smokehouse", "Cook", "", start, None, "ab" * 8, True, None
    ... )
    >>> certificate_pdf(reading, "e30.e30.AA", start)[:5]
    b'%PDF-'
    """
    moment = now or datetime.now(UTC)
    until = "with no end" if reading.valid_until is None else f"until {day_words(reading.valid_until.date())}"
    parts = code_texts(token)
    story = [
        text(reading.issuer_name, "certificate kitchen"),
        text("Certificate", "title"),
        pdf_style.gap(4),
        text(reading.person_name or "Nobody named", "certificate name"),
        text(f"is competent in {_what(reading)} of hot smoking fish.", "certificate"),
        text(f"Given on {day_words(reading.valid_from.date())}. It holds {until}.", "certificate"),
        *pdf_style.section("What was shown", [text(each, "certificate line") for each in _lines(reading)]),
        *pdf_style.section("How to check it", [*_how(reading, len(parts)), pdf_style.gap(2)]),
        _codes(parts),
        text(_CAUTION, "certificate small"),
    ]
    return pdf_style.as_pdf(story, pdf_style.Paper("Certificate", moment, f"{reading.id}, {reading.says}"))


def code_texts(token: str) -> list[str]:
    """Return the file's text cut into as few parts as the square codes need, of nearly equal length.

    Examples
    --------
    >>> [len(each) for each in code_texts("a" * 2_200)], [len(each) for each in code_texts("a" * 2_201)]
    ([2200], [1101, 1100])
    """
    count = -(-len(token) // SIGNS_A_CODE)
    size = -(-len(token) // count)
    return [token[start : start + size] for start in range(0, len(token), size)]


def _what(reading: CertificateReading) -> str:
    """Return the step or unit; of a certificate of another system only its name."""
    return f"the {reading.kind} “{reading.achievement}”" if reading.kind else f"“{reading.achievement}”"


def _lines(reading: CertificateReading) -> list[str]:
    """Return what was shown, a criterion a line where it is written as this kit writes it."""
    return re.split(r" (?=[A-Z]{3}-[A-Z]\d\d: )", reading.narrative)


def _how(reading: CertificateReading, codes: int) -> list[Any]:
    joined = (
        "Scan the square code."
        if codes == 1
        else f"Scan the {codes} square codes, from left to right, and join their texts without a space."
    )
    return [
        marked(
            f"{joined} Check the text with the page of one file that {say(reading.issuer_name)} can give "
            "you, or with any program that reads Open Badges 3.0 as VC-JWT (RFC 7515). Ask the kitchen for "
            "its key by another way than this paper. "
            f"The short name of the key is <b>{say(reading.key_id)}</b>.",
            "certificate small",
        )
    ]


def _codes(parts: list[str]) -> Any:
    from reportlab.graphics.barcode.qr import QrCodeWidget
    from reportlab.graphics.shapes import Drawing
    from reportlab.lib.units import mm
    from reportlab.platypus import Table

    size, cells = _CODE_MM * mm, []
    for place, part in enumerate(parts, start=1):
        drawing = Drawing(size, size)
        drawing.add(QrCodeWidget(part, barLevel="L", barWidth=size, barHeight=size))
        cells.append([drawing, text(f"{place} of {len(parts)}", "certificate small")])
    rows = [cells[first : first + 2] for first in range(0, len(cells), 2)]
    table = Table([[*row, *[""] * (2 - len(row))] for row in rows], colWidths=[(_CODE_MM + 4) * mm] * 2)
    table.hAlign = "LEFT"
    table.setStyle([("LEFTPADDING", (0, 0), (-1, -1), 0), ("BOTTOMPADDING", (0, 0), (-1, 0), 0)])
    return table
