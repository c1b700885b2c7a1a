"""What one cell of a logger's file can be: a stamp, a number, a fault code, nothing, or text."""

import re
from functools import lru_cache
from typing import Literal

Sort = Literal["stamp", "date", "clock", "number", "fault", "blank", "text"]

_CLOCK = (
    r"(?P<hour>\d{1,3}):(?P<minute>\d{2})(?::(?P<second>\d{2})(?:[.,](?P<part>\d{1,6}))?)?"
    r"(?:\s*(?P<half>[AaPp])\.?\s?[Mm]\.?)?(?P<zone>Z|[+-]\d{2}:?\d{2})?"
)
_MONTHS = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"
_DATE = (
    r"(?:(?P<y>\d{4})[-/.](?P<ym>\d{1,2})[-/.](?P<yd>\d{1,2})"
    r"|(?P<a>\d{1,2})(?P<mark>[-/.])(?P<b>\d{1,2})(?P=mark)(?P<year>\d{4}|\d{2})"
    rf"|(?P<nd>\d{{1,2}})[-\s.]+(?P<nm>{_MONTHS})[a-z]*[-\s.,]+(?P<ny>\d{{4}})"
    rf"|(?P<mm>{_MONTHS})[a-z]*[\s.]+(?P<md>\d{{1,2}})[\s,]+(?P<my>\d{{4}}))"
)
DATE = re.compile(_DATE, re.IGNORECASE)
CLOCK = re.compile(_CLOCK)
STAMP = re.compile(rf"{_DATE}(?:T|,?\s+){_CLOCK}", re.IGNORECASE)
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?")
_SUFFIX = re.compile(r"\s*(?:°|º|deg\.?|\ufffd|\?)?\s*([CcFf])$")
_MONTH_NUMBERS = {name.lower(): number for number, name in enumerate(_MONTHS.split("|"), start=1)}

FAULT_WORDS = frozenset(
    (
        "nan",
        "n/a",
        "na",
        "null",
        "none",
        "err",
        "error",
        "fault",
        "fail",
        "ol",
        "o.l",
        "open",
        "short",
        "over",
        "under",
        "ovl",
        "uvl",
        "lo",
        "hi",
        "inf",
        "-inf",
        "+inf",
        "overrange",
        "underrange",
        "no probe",
        "x",
    )
)
FAULT_NUMBERS = frozenset((327.67, 327.68))
"""What a logger writes for a broken probe and could pass for hot air in °F. The other codes, such as 999 and
32767, lie beyond every plausible temperature."""


def month_number(name: str) -> int:
    """Return the number of a month from the first letters of its English name.

    Examples
    --------
    >>> month_number("March")
    3
    """
    return _MONTH_NUMBERS[name[:3].lower()]


def sort_of(cell: str) -> Sort:
    """Return what a cell is.

    Examples
    --------
    >>> [sort_of(c) for c in ("05.03.2025 14:02", "2:05 PM", "62,5", "---", "", "Probe 1")]
    ['stamp', 'clock', 'number', 'fault', 'blank', 'text']
    """
    text = cell.strip()
    if not text:
        return "blank"
    if is_fault_word(text):
        return "fault"
    if number(text) is not None:
        return "number"
    for pattern, name in ((STAMP, "stamp"), (CLOCK, "clock"), (DATE, "date")):
        if pattern.fullmatch(text):
            return name  # type: ignore[return-value]  # one of the sorts
    return "text"


def is_fault_word(text: str) -> bool:
    """Return whether a text stands for a missing or broken probe, such as ``OL`` or ``---``.

    Examples
    --------
    >>> is_fault_word("---"), is_fault_word("OL"), is_fault_word("63.1")
    (True, True, False)
    """
    text = text.strip()
    return bool(text) and (not text.strip("-*?#. ") or text.lower() in FAULT_WORDS)


@lru_cache(maxsize=50_000)
def number(text: str) -> float | None:
    """Return the number in a cell, with a point or a comma, perhaps with a unit behind it; else None.

    Examples
    --------
    >>> number("62,5"), number("−1.5"), number("145.0 °F"), number("6x")
    (62.5, -1.5, 145.0, None)
    """
    text = text.strip().replace("\u2212", "-")
    suffix = _SUFFIX.search(text)
    if suffix:
        text = text[: suffix.start()].rstrip()
    if not _NUMBER.fullmatch(text):
        return None
    return float(text.replace(",", "."))


def unit_of(text: str) -> str | None:
    """Return ``c`` or ``f`` if a heading or a cell names its unit, else None.

    Examples
    --------
    >>> [unit_of(t) for t in ("Core (°C)", "temp_f", "Core [degF]", "Core F", "Core", "Channel C")]
    ['c', 'f', 'f', 'f', None, None]
    """
    found = set()
    if re.search(r"celsius|centigrade", text, re.IGNORECASE):
        found.add("c")
    if re.search(r"fahrenheit", text, re.IGNORECASE):
        found.add("f")
    marked = r"(?:[°º\ufffd?_(\[/]|\bdeg\.?|ï¿½)\s*(?:deg\.?\s*)?([CF])(?![A-Za-z0-9])"
    found |= {letter.lower() for letter in re.findall(marked, text, re.IGNORECASE)}
    ending = re.search(r"\b(?:core|temp|temperature)\s+([CF])$", text, re.IGNORECASE)
    if ending:
        found.add(ending[1].lower())
    return found.pop() if len(found) == 1 else None
