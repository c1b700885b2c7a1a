"""A question with one fixed set of numbers, as another system can hold it: asked, answered and told why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from kit.marking.model import Match, Number, One, Option, Order, Question, Several, Slip
from kit.marking.numbers import bounds, width

PackedKind = Literal["number", "one", "several", "order", "match"]
KINDS: tuple[PackedKind, ...] = get_args(PackedKind)


@dataclass(frozen=True)
class PackedFeedback:
    """What to say to one wrong answer. ``value`` is that answer, as ``PackedQuestion.accepts`` puts it."""

    name: str
    value: tuple[str, ...]
    says: str


@dataclass(frozen=True)
class PackedQuestion:
    """One variant with its numbers fixed.

    ``options`` and ``right`` are keys with their words. ``answer`` is a number, one or more keys, or pairs of
    keys (``a c``). ``accepts`` is what earns full marks: of a number the lowest and the highest, else the
    answer. Marks here are all or nothing.
    """

    exercise: str
    version: int
    seed: int
    title: str
    text: str
    kind: PackedKind
    criteria: tuple[str, ...]
    answer: tuple[str, ...]
    accepts: tuple[str, ...]
    options: tuple[tuple[str, str], ...] = ()
    right: tuple[tuple[str, str], ...] = ()
    unit: str = ""
    feedback: tuple[PackedFeedback, ...] = ()
    worked: str = ""

    @property
    def id(self) -> str:
        """Exercise, version and seed: one variant, and no other."""
        return f"{self.exercise}-v{self.version}-{self.seed}"


def why_not(question: Question) -> str:
    """Return why a question cannot be packed; an empty text if it can.

    Examples
    --------
    >>> why_not(Question("salt", 1, 0, "How much?", Number("g"), 50.0))
    ''
    """
    if question.picture is not None:
        return "it has a picture"
    if not isinstance(question.kind, Number | One | Several | Order | Match):
        return f"its kind is {question.kind.name!r}"
    if isinstance(question.kind, Order) and question.kind.free:
        return "more than one order is right"
    return ""


def packed(question: Question, title: str) -> PackedQuestion:
    """Return a question as a variant with its numbers fixed.

    Raises
    ------
    ValueError
        If it cannot be packed: see ``why_not``.

    Examples
    --------
    >>> kind = Number("g", rel_tol=0.02)
    >>> one = packed(Question("salt", 1, 7, "How much?", kind, 50.0, worked="50 g."), "Salt")
    >>> one.id, one.answer, one.accepts
    ('salt-v1-7', ('50.0',), ('49.0', '51.0'))
    """
    if reason := why_not(question):
        raise ValueError(f"{question.exercise}: {reason}")
    left, right = _lists(question)
    kind = question.kind
    accepts = _value(question.answer)
    if isinstance(kind, Number):
        accepts = _pair(bounds(kind, float(question.answer)))
    return PackedQuestion(
        exercise=question.exercise,
        version=question.version,
        seed=question.seed,
        title=title,
        text=question.text,
        kind=next(name for name in KINDS if name == kind.name),
        criteria=question.criteria or question.prepares_for,
        answer=_value(question.answer),
        accepts=accepts,
        options=left,
        right=right,
        unit="" if not isinstance(kind, Number) or kind.unit == "1" else kind.unit,
        feedback=tuple(PackedFeedback(each.name, _shown(kind, each), each.says) for each in question.slips),
        worked=question.worked,
    )


def _lists(question: Question) -> tuple[tuple[tuple[str, str], ...], tuple[tuple[str, str], ...]]:
    match question.kind:
        case One(options=options) | Several(options=options) | Order(options=options):
            return _keyed(options), ()
        case Match(left=left, right=right):
            return _keyed(left), _keyed(right)
    return (), ()


def _keyed(options: tuple[Option, ...]) -> tuple[tuple[str, str], ...]:
    return tuple((each.key, each.text) for each in options)


def _shown(kind: object, slip: Slip) -> tuple[str, ...]:
    if isinstance(kind, Number):
        room = width(kind, float(slip.value))
        return _pair((float(slip.value) - room, float(slip.value) + room))
    return _value(slip.value)


def _pair(two: tuple[float, float]) -> tuple[str, ...]:
    return tuple(repr(float(each)) for each in two)


def _value(raw: Any) -> tuple[str, ...]:
    """Return a raw answer as words: a number, a key, keys, or pairs of keys."""
    match raw:
        case str():
            return (raw,)
        case Mapping():
            return tuple(f"{left} {right}" for left, right in raw.items())
        case list() | tuple() | set() | frozenset():
            return tuple(map(str, raw))
    return (repr(float(raw)),)
