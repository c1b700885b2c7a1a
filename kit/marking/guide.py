"""When a hint is shown, and when the worked answer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kit.marking.model import Question, Verdict

TRIES_BEFORE_WORKED = 3


@dataclass(frozen=True)
class Help:
    """What may be shown now: the hints opened so far, whether more remain, the worked answer or nothing."""

    hints: tuple[str, ...]
    more_hints: bool
    worked: str


def tries(verdicts: Iterable[Verdict]) -> tuple[int, bool]:
    """Return how many tries were wrong so far, and whether one was right.

    An answer that was not read is no try. A partly right one is: there is more to find.

    Examples
    --------
    >>> tries(["not read", "not yet", "partly"])
    (2, False)
    """
    seen = list(verdicts)
    return sum(each in ("not yet", "partly") for each in seen), "right" in seen


def help_for(question: Question, verdicts: Iterable[Verdict]) -> Help:
    """Return what may be shown after the verdicts so far, oldest first.

    One hint opens with each wrong try. The worked answer opens after a right answer, or with the third wrong
    try: struggling first teaches more, but nobody is left stuck. An explanation has no worked answer
    before it is kept.

    Examples
    --------
    >>> from kit.marking.model import Number
    >>> question = Question("salt", 1, 0, "?", Number("g"), 5.0, worked="200 × 0.025", hints=("A", "B"))
    >>> help_for(question, ["not yet"]).hints, help_for(question, ["not yet", "right"]).worked
    (('A',), '200 × 0.025')
    """
    seen = list(verdicts)
    wrong, right = tries(seen)
    opened = question.hints[:wrong]
    done = right or wrong >= TRIES_BEFORE_WORKED or "kept" in seen
    return Help(opened, len(opened) < len(question.hints), question.worked if done else "")
