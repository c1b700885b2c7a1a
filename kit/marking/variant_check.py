"""Whether a drawn variant would teach well, or must be drawn again."""

import math
import re
from collections.abc import Iterator
from itertools import combinations
from typing import Any

from kit.marking.marker import mark
from kit.marking.model import (
    Controls,
    Explain,
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
from kit.marking.numbers import width

_SILLY = re.compile(r"(?<![A-Za-z])(?:nan|inf)(?![A-Za-z])|[0-9]\.[0-9]{6,}|[0-9]e[+-]?[0-9]{2}")
_IN_TEXT = re.compile(r"(?<![0-9.,])[−-]?[0-9]+(?:\.[0-9]+)?(?![0-9]|[.,][0-9])")


def sound(question: Question) -> list[str]:
    """Return the reasons to draw a question again; an empty list if it is sound.

    A variant teaches badly if a slip leads to the right answer, if two slips cannot be told apart, if the
    answer sits on the edge of a decision, if a number in it is silly, or if its text gives the answer away.

    Returns
    -------
    list of str
        Plain reasons, the same words for the same fault whatever the numbers.

    Examples
    --------
    >>> from kit.marking.model import Slip
    >>> sound(Question("salt", 1, 0, "How much?", Number("g", abs_tol=1), 50.0, (Slip("half", 50.5, "No."),)))
    ["slip 'half' is marked as right"]
    """
    if isinstance(question.kind, Explain):
        return list(_texts(question))
    return [
        *_texts(question),
        *_options(question),
        *(_numbers(question, question.kind) if isinstance(question.kind, Number) else ()),
        *_marks(question),
    ]


def _texts(question: Question) -> Iterator[str]:
    if not question.text.strip():
        yield "the text is empty"
    said = [question.text, question.worked, *question.hints, *(slip.says for slip in question.slips)]
    said += [option.text for option in _all_options(question.kind)]
    if question.picture is not None:
        said.append(question.picture.text)
    if _SILLY.search("\n".join(said)):  # no silly number goes over the end of a line
        yield "a silly number stands in its words"
    if any(not slip.says.strip() or not slip.name.strip() for slip in question.slips):
        yield "a slip has no name or nothing to say"
    if len({slip.name for slip in question.slips}) < len(question.slips):
        yield "two slips have one name"


def _options(question: Question) -> Iterator[str]:
    kind = question.kind
    groups: tuple[tuple[Option, ...], ...] = (kind.left, kind.right) if isinstance(kind, Match) else ()
    groups = groups or (tuple(_all_options(kind)),)
    for group in groups:
        if len({option.text.strip() for option in group}) < len(group):
            yield "two options read the same"
        if any(not option.text.strip() for option in group):
            yield "an option is empty"
    if isinstance(kind, One | Several | Order) and len(kind.options) < 2:
        yield "there is nothing to choose from"
    if isinstance(kind, One | Several | Recommend) and not _all_wrong_explained(question):
        yield "a wrong option is not explained"
    if isinstance(kind, Places):
        yield from _regions(kind)


def _all_wrong_explained(question: Question) -> bool:
    kind, answer = question.kind, question.answer
    match kind:
        case One(options=options):
            wrong = {option.key for option in options} - {answer}
            return wrong <= {slip.value for slip in question.slips}
        case Several(options=options):
            wrong = {option.key for option in options} - set(answer)
            shown = [slip.shows for slip in question.slips if slip.shows]
            return wrong <= {part.get("picked") for part in shown}
        case Recommend(reasons=reasons):
            wrong = {option.key for option in reasons} - {answer["reason"]}
            return wrong <= {slip.value["reason"] for slip in question.slips}
    return True


def _regions(kind: Places) -> Iterator[str]:
    if not 1 <= kind.count <= len(kind.targets):
        yield "fewer targets than marks asked for"
    for region in (*kind.targets, *kind.traps):
        if not (0 <= region.x <= 1 and 0 <= region.y <= 1 and region.rx > 0 and region.ry > 0):
            yield "a region lies off the picture"
            return


def _numbers(question: Question, kind: Number) -> Iterator[str]:
    truth = question.answer
    values = [truth, *(slip.value for slip in question.slips)]
    if not all(isinstance(value, int | float) and math.isfinite(value) for value in values):
        yield "the answer or a slip is not a finite number"
        return
    tolerance = width(kind, truth)
    if not kind.one_sided and tolerance <= 0 and truth != round(truth):
        yield "a fraction has to be met exactly: it needs a tolerance"
    if (
        kind.decimals is not None
        and not kind.one_sided
        and tolerance < 0.5 * 10.0**-kind.decimals * (1 - 1e-9)
    ):
        yield "the tolerance is finer than the decimals asked for"
    if any(abs(truth - edge) <= tolerance + 1e-9 * abs(edge) for edge in kind.edges):
        yield "the answer sits on an edge"
    if kind.plausible is not None and not kind.plausible[0] <= truth <= kind.plausible[1]:
        yield "the answer is not plausible"
    for one, other in combinations(question.slips, 2):
        gap = abs(one.value - other.value)
        if gap <= max(width(kind, one.value), width(kind, other.value), 1e-9 * abs(one.value)):
            yield f"slips {one.name!r} and {other.name!r} cannot be told apart"
    if not (question.number_in_text or kind.one_sided) and _given_away(question.text, truth):
        yield "the text shows the answer's number"


def _given_away(text: str, truth: float) -> bool:
    found = (float(each.replace("−", "-")) for each in _IN_TEXT.findall(text))
    return any(math.isclose(each, truth, rel_tol=1e-9) for each in found)


def _marks(question: Question) -> Iterator[str]:
    full = mark(question, question.answer)
    if full.score != full.of or full.verdict != "right":
        yield "its own answer does not earn full marks"
    for slip in question.slips:
        outcome = mark(question, slip.value)
        if outcome.verdict == "right":
            yield f"slip {slip.name!r} is marked as right"
        elif outcome.verdict == "not read":
            yield f"slip {slip.name!r} has a value that cannot be read"
        elif slip.says not in outcome.message:
            yield f"slip {slip.name!r} is not recognised"


def _all_options(kind: Any) -> tuple[Option, ...]:
    match kind:
        case One(options=options) | Several(options=options) | Order(options=options):
            return options
        case Match(left=left, right=right):
            return (*left, *right)
        case Recommend(reasons=reasons):
            return reasons
        case Controls() | Places() | Number() | Explain():
            return ()
    return ()
