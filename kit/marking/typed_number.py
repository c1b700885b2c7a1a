"""Reading what a learner typed as a number with a unit, and saying how it was read.

The policy, in one place:

- ``12.5`` and ``12,5`` are both twelve and a half. A point is always the decimal mark.
- ``1,250`` is refused: it is 1250 to some and 1.25 to others. So is any text with both marks, or one mark
  twice. ``0,250`` and ``1,25`` have one meaning and are read.
- A space, a narrow space or an apostrophe between groups of three digits is read: ``1 250`` is 1250, since no
  country writes a decimal mark that way. ``12 50`` is refused.
- A minus may be a hyphen, a dash or the Unicode minus. Digits of any script count.
- No unit: read in the question's unit. Another unit of the same quantity is converted. °C, °F and K convert
  with their offsets, unless the question asks for a difference. ``1 h 30 min`` is added up, and where a time
  is asked ``1 h 30`` and ``1:30`` are the same.
- Anything else is not read, with a message that says why. Nothing is ever evaluated.
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from numbers import Real
from typing import Any

from kit.marking.units import UNITS, convert, find_unit, quantity_of

LONGEST = 200
"""Longest text read as a number. [characters]"""

_DASHES = dict.fromkeys(map(ord, "‐‑‒–—―−﹘﹣"), "-")
_ALIKE = {ord("º"): "°", ord("˚"): "°", ord("℃"): "°C", ord("℉"): "°F", ord("μ"): "µ", ord("⁄"): "/"}
_ALIKE |= {ord("’"): "'", ord("٫"): ".", ord("٬"): "'", **_DASHES}
_NUMBER = re.compile(
    r"([+-]?) ?((?:[.,]?[0-9])(?:[0-9.,' ]*[0-9])?)\.?(?:[eE]([+-]?[0-9]{1,3}))?(?![0-9]) ?(.*)"
)
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:[ '][0-9]{3})+(?:[.,][0-9]+)?")
_LOOKS_GROUPED = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_PIECE = re.compile(r"([0-9]+(?:[.,][0-9]+)?) ?([A-Za-z]+)(?: ?(?:and|,))? ?")
_SUMS = ("a time", "a mass")
_CLOCK = re.compile(r"([0-9]{1,3}) ?(?::|h|hr|hrs|hours?) ?([0-5]?[0-9])", re.IGNORECASE)


@dataclass(frozen=True)
class ReadNumber:
    """A number as it was read.

    ``value`` is in ``unit``, the question's; NaN if it was not read. ``echo`` shows it to the learner.
    ``problem`` says why it was not read. ``had_unit`` says whether a unit was written, ``decimals`` how many
    decimals, and ``last_place`` is half a unit of the last digit written, in the question's unit.
    """

    value: float
    unit: str
    echo: str
    problem: str = ""
    had_unit: bool = False
    decimals: int = 0
    last_place: float = 0.0

    @property
    def ok(self) -> bool:
        """Whether it was read."""
        return not self.problem


class _NotRead(Exception):
    """Carries the message of a problem; never leaves this module."""


def read_number(raw: Any, unit: str, *, difference: bool = False) -> ReadNumber:
    """Return a learner's number, read in the question's unit.

    A cook writes 12,5 or 145 °F; the kit shows how it understood that before any mark is given.

    Parameters
    ----------
    raw : object
        Text or a number. Anything else comes back as not read.
    unit : str
        The question's unit: a symbol of :data:`kit.marking.units.UNITS`, or any word such as ``fillets``.
    difference : bool
        Whether the number is a difference between two temperatures.

    Returns
    -------
    ReadNumber
        It never raises; see ``problem``.

    Examples
    --------
    >>> read_number("62,5", "°C").value, read_number("1,250 g", "g").ok
    (62.5, False)
    >>> read_number("145 °F", "°C").echo
    '145 °F, that is 62.7778 °C'
    >>> print(read_number("40 min", "°C").problem)
    You gave a time in min. The question wants a temperature in °C.
    """
    try:
        if isinstance(raw, str | bytes):
            return _read_text(_clean(raw), unit, difference)
        return ReadNumber(_plain(raw), unit, _with_unit(_plain(raw), unit))
    except _NotRead as problem:
        return ReadNumber(math.nan, unit, "", str(problem))


def shown(value: float, digits: int = 6) -> str:
    """Return a number as text to show: no exponent where one can be spared, and a real minus sign.

    Examples
    --------
    >>> shown(1250.0), shown(-0.5), shown(62.7777777)
    ('1250', '−0.5', '62.7778')
    """
    text = f"{value:.{digits}g}" if abs(value) < 10**digits else f"{value:.12g}"
    return text.replace("-", "−", 1) if text.startswith("-") else text


def _plain(raw: Any) -> float:
    if raw is None:
        raise _NotRead("There is no answer yet. Write a number.")
    if isinstance(raw, bool) or not isinstance(raw, Real):
        names = {bool: "yes or no", list: "a list", tuple: "a list", dict: "a set of pairs"}
        raise _NotRead(f"This needs one number, not {names.get(type(raw), 'something else')}.")
    try:
        value = float(raw)
    except (OverflowError, ValueError):
        value = math.inf
    if not math.isfinite(value):
        raise _NotRead("This is not a finite number. Write digits, such as 62.5.")
    return value


def _clean(raw: str | bytes) -> str:
    if len(raw) > LONGEST:
        raise _NotRead(f"The answer is too long: {len(raw)} characters. Write just a number and its unit.")
    if isinstance(raw, bytes):
        try:
            raw = raw.decode("utf-8")
        except UnicodeDecodeError:
            raise _NotRead("The answer is not readable text. Write it again.") from None
    kept = []
    for character in raw.translate(_ALIKE):
        sort = unicodedata.category(character)
        if sort == "Nd":
            kept.append(str(unicodedata.decimal(character)))
        elif character.isspace():
            kept.append(" ")
        elif 0xFF01 <= ord(character) <= 0xFF5E:
            kept.append(chr(ord(character) - 0xFEE0))
        elif sort in ("Cc", "Cs", "Co", "Cn"):
            raise _NotRead("The answer holds a character that is not text. Write it again.")
        elif sort != "Cf":
            kept.append(character)
    return " ".join("".join(kept).split())


def _read_text(text: str, unit: str, difference: bool) -> ReadNumber:
    if not text:
        raise _NotRead("There is no answer yet. Write a number.")
    if quantity_of(unit) == "a time" and (clock := _CLOCK.fullmatch(text)):
        text = f"{clock[1]} h {clock[2]} min"
    found = _NUMBER.fullmatch(text)
    if not found:
        raise _NotRead(_no_number(text, unit))
    sign, body, power, rest = found.groups()
    digits = _digits(body)
    value = float(f"{sign}{digits}e{power or 0}")
    if not math.isfinite(value):
        raise _NotRead("This number is far too large. Check the digits.")
    decimals = len(digits.partition(".")[2])
    given = find_unit(rest, unit)
    if given is None:
        return _sum_of(text, rest, unit)
    half = 0.5 * 10.0 ** (min(int(power or 0), 300) - decimals)
    if not given or given == unit:
        return ReadNumber(value, unit, _with_unit(value, unit), "", bool(given), decimals, half)
    converted = _converted(value, given, unit, difference)
    slope = abs(_converted(value + half, given, unit, difference) - converted)
    echo = f"{_with_unit(value, given)}, that is {_with_unit(converted, unit)}"
    return ReadNumber(converted, unit, echo, "", True, decimals, slope)


def _digits(body: str) -> str:
    """Return the digits of a number with a point as decimal mark, or say why that cannot be told."""
    if " " in body or "'" in body:
        if not _GROUPED.fullmatch(body):
            raise _NotRead("This looks like more than one number. Write just one, such as 1250 or 62.5.")
        return body.replace(" ", "").replace("'", "").replace(",", ".")
    if body.count(",") + body.count(".") > 1:
        raise _NotRead(
            f"{body} can be read in more than one way. Write it without a mark between thousands, "
            "such as 1250 or 1250.5."
        )
    if _LOOKS_GROUPED.fullmatch(body):
        raise _NotRead(
            f"{body} can be read in two ways: {body.replace(',', '')} or {body.replace(',', '.')}. "
            "Write the one you mean."
        )
    return body.replace(",", ".")


def _converted(value: float, given: str, unit: str, difference: bool) -> float:
    wanted = quantity_of(unit, difference=difference)
    if unit not in UNITS or UNITS[given].quantity != UNITS[unit].quantity:
        raise _NotRead(_wrong_kind(UNITS[given].quantity, given, wanted, unit))
    converted = convert(value, given, unit, difference=difference)
    if not math.isfinite(converted):
        raise _NotRead("This number is far too large. Check the digits.")
    return converted


def _wrong_kind(gave: str, given: str, wanted: str, unit: str) -> str:
    tail = f" in {unit}" if unit in UNITS and unit != "1" else ""
    tail = " as a plain number" if unit == "1" else tail
    return f"You gave {gave} in {given}. The question wants {wanted}{tail}."


def _sum_of(text: str, rest: str, unit: str) -> ReadNumber:
    """Read ``1 h 30 min``: pieces of one quantity, from the largest unit down."""
    pieces = _PIECE.findall(text)
    if len(pieces) < 2 or _PIECE.sub("", text):
        raise _NotRead(_unknown(rest, unit))
    units = [find_unit(name, unit) for _, name in pieces]
    known = [UNITS[each] for each in units if each in UNITS]
    if len(known) != len(pieces) or len({each.quantity for each in known}) != 1:
        raise _NotRead(_unknown(rest, unit))
    quantity, smallest = known[0].quantity, known[-1].symbol
    if unit not in UNITS or UNITS[unit].quantity != quantity:
        wanted = quantity_of(unit)
        raise _NotRead(_wrong_kind(quantity, smallest, wanted, unit))
    sizes = [convert(1.0, each.symbol, smallest) for each in known]
    if quantity not in _SUMS or sizes != sorted(sizes, reverse=True) or len(set(sizes)) < len(sizes):
        raise _NotRead("This looks like more than one number. Write just one, with its unit.")
    parts = [float(_digits(digits)) for digits, _ in pieces]
    value = sum(convert(part, each.symbol, unit) for part, each in zip(parts, known, strict=True))
    named = " ".join(f"{shown(part)} {each.symbol}" for part, each in zip(parts, known, strict=True))
    last = 0.5 * 10.0 ** -len(re.split("[.,]", pieces[-1][0] + ".")[1])
    half = convert(last, smallest, unit)
    return ReadNumber(value, unit, f"{named}, that is {_with_unit(value, unit)}", "", True, 0, half)


def _no_number(text: str, unit: str) -> str:
    example = _with_unit(12.5, unit)
    if re.search(r"[0-9]", text):
        return f"Write one number and its unit, with nothing before it: for example {example}."
    return f"There is no number in this. Write digits and the unit: for example {example}."


def _unknown(rest: str, unit: str) -> str:
    if re.search(r"[0-9]", rest):
        return "This looks like more than one number, or a sum. Work it out and write just the result."
    name = rest if len(rest) <= 20 else rest[:20] + "…"
    wanted = "Write just the number." if unit in ("", "1") else f"Write the answer in {unit}."
    return f"The workbook does not know “{name}” as a unit. {wanted}"


def _with_unit(value: float, unit: str) -> str:
    return shown(value) if unit in ("", "1") else f"{shown(value)} {unit}"
