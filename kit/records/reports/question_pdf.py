"""One question on paper: what is asked, room to answer, what is right, and how to say it aloud."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from typing import Any

from kit.exercises.engine.fingerprints import texts_of
from kit.exercises.engine.kitchen_rules import set_apart
from kit.marking.model import (
    DECISIONS,
    Match,
    Number,
    One,
    Option,
    Order,
    Picture,
    Question,
    Recommend,
    Several,
)
from kit.marking.typed_number import shown
from kit.records.reports import pdf_style
from kit.records.reports.pdf_text import SOLID, marked, say, text

DrawPng = Callable[[Picture], bytes]
QR_MM, WIDE_MM = 24.0, 165.0
RULE_HEAD = "The rule to work by"
_BOX = "☐"
_GAP = 3 * SOLID


def right_words(question: Question) -> str:
    """Return what is right, in the letters and words of the paper.

    Examples
    --------
    >>> right_words(Question("x", 1, 0, "?", One((Option("a", "cold"), Option("b", "warm"))), "a"))
    'a: cold'
    """
    kind, answer, words = question.kind, question.answer, texts_of(question)
    if isinstance(kind, Number):
        return shown(float(answer), 4) + ("" if kind.unit == "1" else f" {kind.unit}")
    if isinstance(kind, Match):
        return "; ".join(f"{left}{right}: {words[f'right {right}']}" for left, right in answer.items())
    if isinstance(kind, Recommend):
        also = "".join(f" (or {DECISIONS[each]})" for each in kind.also if each != answer["decision"])
        return f"{DECISIONS[answer['decision']]}{also}; {answer['reason']}: {words[answer['reason']]}"
    keys = [answer] if isinstance(answer, str) else list(answer)
    return "; ".join(f"{key}: {words[key]}" for key in keys)


def code_square(words: str) -> Any:
    """Return a QR code to print."""
    from reportlab.graphics.barcode.qr import QrCodeWidget
    from reportlab.graphics.shapes import Drawing
    from reportlab.lib.units import mm

    size = QR_MM * mm
    drawing = Drawing(size, size)
    drawing.add(QrCodeWidget(words, barLevel="M", barWidth=size, barHeight=size))
    return drawing


def task_block(place: int, question: Question, draw_png: DrawPng) -> list[Any]:
    """Return a task with its number, the rule that it goes by in a box, its picture, and room to answer."""
    asked, rule = set_apart(question.text, question.profile)
    found: list[Any] = [marked(f"<b>{place}</b>{_GAP}{say(asked)}", "paper")]
    if rule:
        found.append(_rule_box(rule))
    if question.picture is not None:
        png, words = draw_png(question.picture), question.picture.text
        found.append(_image(png) if png else text(f"The picture: {words}", "paper"))
    how = [text(how_to_answer(question), "paper small")] if how_to_answer(question) else []
    return [*found, *how, *_answer_space(question)]


def _rule_box(rule: str) -> Any:
    from reportlab.lib.colors import black
    from reportlab.lib.units import mm
    from reportlab.platypus import Table

    words = marked(f"<b>{RULE_HEAD}.</b> {say(rule)}", "paper small")
    made = Table([[words]], colWidths=[WIDE_MM * mm], spaceBefore=4, spaceAfter=6)
    made.hAlign = "LEFT"
    made.setStyle([("BOX", (0, 0), (-1, -1), 0.7, black), ("VALIGN", (0, 0), (-1, -1), "TOP")])
    return made


def _image(png: bytes) -> Any:
    from PIL import Image as Pixels
    from reportlab.lib.units import mm
    from reportlab.platypus import Image

    with Pixels.open(io.BytesIO(png)) as opened:
        width, height = opened.size
    wide = min(WIDE_MM * mm, width * 72 / 150)
    return Image(io.BytesIO(png), width=wide, height=wide * height / width, hAlign="LEFT")


def _answer_space(question: Question) -> list[Any]:
    kind = question.kind
    if isinstance(kind, Number):
        unit = "" if kind.unit == "1" else f" {kind.unit}"
        return [pdf_style.gap(3), text(f"Answer: ____________{unit}", "paper")]
    if isinstance(kind, One | Several):
        return [text(f"{_BOX} {one.key}{_GAP}{one.text}", "paper option") for one in kind.options]
    if isinstance(kind, Order):
        spaces = _GAP.join("____" for _ in kind.options)
        return [*_lettered(kind.options), text(f"First to last: {spaces}", "paper")]
    if isinstance(kind, Match):
        left = [text(f"{one.key} → ____{_GAP}{one.text}", "paper option") for one in kind.left]
        return [_two_columns(left, _lettered(kind.right))]
    if isinstance(kind, Recommend):
        boxes = (2 * _GAP).join(f"{_BOX} {words}" for words in DECISIONS.values())
        return [text(boxes, "paper option"), text("because", "paper"), *_boxed(kind.reasons)]
    return []


def _lettered(options: Iterable[Option]) -> list[Any]:
    return [text(f"{one.key}{_GAP}{one.text}", "paper option") for one in options]


def _boxed(options: Iterable[Option]) -> list[Any]:
    return [text(f"{_BOX} {one.key}{_GAP}{one.text}", "paper option") for one in options]


def _two_columns(left: list[Any], right: list[Any]) -> Any:
    from reportlab.lib.units import mm
    from reportlab.platypus import Table

    made = Table([[left, right]], colWidths=[WIDE_MM / 2 * mm] * 2)
    made.hAlign = "LEFT"
    made.setStyle([("LEFTPADDING", (0, 0), (-1, -1), 0), ("VALIGN", (0, 0), (-1, -1), "TOP")])
    return made


def how_to_answer(question: Question) -> str:
    """Return in a sentence how a task is answered on paper; "" where the room says it."""
    kind = question.kind
    if isinstance(kind, One):
        return "Tick one."
    if isinstance(kind, Several):
        return "Tick all that belong."
    if isinstance(kind, Order):
        return "Write the letters in their order, first to last."
    if isinstance(kind, Match):
        return "Write beside each number the letter that belongs to it."
    if isinstance(kind, Recommend):
        return "Tick what you recommend to the person in charge, and one reason."
    if question.reads_chart:
        return "Read it off the picture."
    return ""


def spoken(question: Question) -> list[tuple[str, str]]:
    """Return each option with its letter, to read aloud."""
    kind = question.kind
    if isinstance(kind, Match):
        return [(one.key, one.text) for one in (*kind.left, *kind.right)]
    if isinstance(kind, Recommend):
        return [("Recommend", ", or ".join(DECISIONS.values()))] + [(o.key, o.text) for o in kind.reasons]
    return list(texts_of(question).items())
