"""The reasons that belong to the lines of a question: each wrong answer that no slip names gets one of them.

An author writes one sentence a line: why this step waits, what this line is really about. From that every
wrong join, swap, line left out and mark beside all places becomes a slip with its reason.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

from kit.marking.model import Match, Option, Order, Places, Question, Several, Slip
from kit.marking.picture_marks import ELSEWHERE, a_spot_elsewhere


def with_reasons(question: Question, because: Mapping[str, str]) -> Question:
    """Return the question with a slip for each single fault that has a reason and no slip yet.

    Parameters
    ----------
    question : Question
        As its author made it. Slips that the author wrote stay, and come first.
    because : mapping
        The first words of a line, to what to say to who gets it wrong; of several that fit, the longest
        counts. Of an order it is why the line waits for what stands before it. For marks on a picture the
        one line is ``elsewhere``.

    Examples
    --------
    >>> from kit.marking.build import match
    >>> from kit.marking.draw import Draw
    >>> asked = match(Draw(1), "Join.", {"Salt": "holds water", "Cold": "slows germs"})
    >>> [slip.says for slip in with_reasons(asked, {"Salt": "Salt binds the water."}).slips]
    ['Salt binds the water.']
    """
    known = {str(slip.value if slip.shows is None else slip.shows) for slip in question.slips}
    names = {slip.name for slip in question.slips}
    added = [
        slip for slip in _slips(question, because) if str(slip.shows) not in known and slip.name not in names
    ]
    return replace(question, slips=(*question.slips, *added)) if added else question


def _slips(question: Question, because: Mapping[str, str]) -> Iterator[Slip]:
    kind, answer = question.kind, question.answer
    match kind:
        case Match():
            yield from _of_joins(kind, answer, because)
        case Order():
            yield from _of_pairs(kind, answer, because)
        case Several(options=options) if len(answer) > 1:
            for one in options:
                if one.key in answer and (line := line_of(one.text, because)):
                    rest = [key for key in answer if key != one.key]
                    yield Slip(f"left out: {line}", rest, because[line], {"left out": one.key})
        case Places() if ELSEWHERE in because:
            spot = a_spot_elsewhere(kind)
            if spot is not None:
                yield Slip(ELSEWHERE, [spot, *answer[1:]], because[ELSEWHERE], ELSEWHERE)


def _of_joins(kind: Match, answer: Mapping[str, str], because: Mapping[str, str]) -> Iterator[Slip]:
    for left in kind.left:
        if line := line_of(left.text, because):
            for right in kind.right:
                if right.key != answer[left.key]:
                    wrong = {left.key: right.key}
                    yield Slip(f"{line}: {right.text}", {**answer, **wrong}, because[line], wrong)


def _of_pairs(kind: Order, answer: list[str], because: Mapping[str, str]) -> Iterator[Slip]:
    texts = _texts(kind.options)
    for place, (early, late) in enumerate(pairwise(answer)):
        line, other = line_of(texts[late], because), line_of(texts[early], because) or texts[early]
        value: list[Any] = [*answer[:place], late, early, *answer[place + 2 :]]
        if line and (early, late) not in kind.free and value != list(texts):  # as shown, it would be no try
            yield Slip(f"{line} before {other}", value, because[line], [late, early])


def line_of(text: str, because: Mapping[str, str]) -> str:
    """Return the line of the reasons that a text begins with, or nothing.

    Examples
    --------
    >>> line_of("Smoke for 20 min", {"Smoke": "On a dry face.", "Smoke for": "By the clock."})
    'Smoke for'
    """
    return max((start for start in because if text.startswith(start)), key=len, default="")


def _texts(options: tuple[Option, ...]) -> dict[str, str]:
    return {one.key: one.text for one in options}
