"""Which wrong answers of a question are met with silence: no reason that names their own line.

A learner who is told only "not yet" learns nothing of the line that was wrong. So each single fault that a
page allows is marked here, and the message is held against two things: a slip with a written reason was
found, and the message names the line itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any, NamedTuple

from kit.marking import mark
from kit.marking.model import (
    DECISIONS,
    Controls,
    Match,
    Number,
    One,
    Option,
    Order,
    Places,
    Question,
    Recommend,
    Several,
)
from kit.marking.outcomes import quoted

GRID = 10
"""Marks are tried on so many by so many places of a picture."""


class WrongLine(NamedTuple):
    """One wrong answer: the sort of fault, the line that is wrong, the raw answer, the words it needs."""

    sort: str
    line: str
    raw: Any
    names: tuple[str, ...] = ()


def faults(question: Question) -> Iterator[WrongLine]:
    """Yield each single fault that a page allows to make in a question."""
    kind, answer = question.kind, question.answer
    match kind:
        case One(options=options):
            yield from (WrongLine("option", one.text, one.key) for one in options if one.key != answer)
        case Several(options=options):
            yield from _of_several(options, answer)
        case Order(options=options):
            yield from _of_order(options, list(answer))
        case Match():
            yield from _of_match(kind, answer)
        case Recommend(reasons=reasons):
            for decision, words in DECISIONS.items():
                yield WrongLine("decision", words, {**answer, "decision": decision})
            yield from (WrongLine("reason", one.text, {**answer, "reason": one.key}) for one in reasons)
        case Places(count=count):
            rest = [list(spot) for spot in answer[1:count]]
            spots = [[(x + 0.5) / GRID, (y + 0.5) / GRID] for x in range(GRID) for y in range(GRID)]
            yield from (WrongLine("mark", f"{x:.2f}, {y:.2f}", [[x, y], *rest]) for x, y in spots)
        case Controls(controls=controls):
            for control in controls:
                for end in (control.low, control.high, control.start):
                    yield WrongLine("control", f"{control.label} at {end:g}", {**answer, control.key: end})
        case Number():
            return


def _of_several(options: tuple[Option, ...], answer: list[str]) -> Iterator[WrongLine]:
    for one in options:
        if one.key not in answer:
            yield WrongLine("option", one.text, [*answer, one.key], (quoted(one.text),))
        elif len(answer) > 1:
            yield WrongLine(
                "left out", one.text, [key for key in answer if key != one.key], (quoted(one.text),)
            )


def _of_order(options: tuple[Option, ...], answer: list[str]) -> Iterator[WrongLine]:
    texts = {one.key: one.text for one in options}
    for place, (early, late) in enumerate(pairwise(answer)):
        raw = [*answer[:place], late, early, *answer[place + 2 :]]
        names = (quoted(texts[early]), quoted(texts[late]))
        yield WrongLine("swap", f"{texts[late]} | {texts[early]}", raw, names)


def _of_match(kind: Match, answer: dict[str, str]) -> Iterator[WrongLine]:
    rights = {one.key: one.text for one in kind.right}
    for left in kind.left:
        for key, text in rights.items():
            if answer[left.key] != key:
                raw = {**answer, left.key: key}
                yield WrongLine("join", f"{left.text} → {text}", raw, (quoted(left.text),))


def silent(question: Question) -> list[WrongLine]:
    """Return the faults of a question that are met with silence.

    A fault is silent if no slip with a reason is found in it, or if the message does not name its line.
    A fault that is right after all, or that the page does not take, is none.

    Examples
    --------
    >>> from kit.marking.model import Slip
    >>> two = (Option("a", "Rinse it"), Option("b", "Smoke it"))
    >>> asked = Question("x", 1, 0, "What is next?", One(two), "b")
    >>> [fault.line for fault in silent(asked)]
    ['Rinse it']
    """
    found = []
    for fault in faults(question):
        outcome = mark(question, fault.raw)
        if outcome.verdict in ("right", "not read"):
            continue
        says = next((slip.says for slip in question.slips if slip.name == outcome.slip), "")
        reason = outcome.slip and says in outcome.message
        if not reason or not all(name.casefold() in outcome.message.casefold() for name in fault.names):
            found.append(fault)
    return found
