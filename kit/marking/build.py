"""Helpers to write an exercise: one for each kind of question, from the pieces of ``kit.marking.authored``.

Every helper returns a question without exercise, seed and criteria, which the register of exercises adds.
Options are shuffled first and get their keys afterwards, so a key says nothing. Slips, answers and safety
conclusions are worked out here from what the author wrote as text.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from string import ascii_lowercase
from typing import Any, Literal, TypedDict, Unpack

from kit.basics.errors import BadData
from kit.marking.authored import AuthoredOption, Joined, Turned
from kit.marking.draw import Draw
from kit.marking.model import (
    DECISIONS,
    Control,
    Controls,
    Decision,
    Explain,
    Kind,
    Match,
    Number,
    One,
    Option,
    Order,
    Picture,
    Places,
    Question,
    Recommend,
    Region,
    Several,
    Slip,
)


class Basics(TypedDict, total=False):
    """What every helper also takes: see :class:`kit.marking.model.Question`."""

    worked: str
    hints: Sequence[str]
    of: float
    facts: Mapping[str, Any]
    number_in_text: bool


class Extras(Basics, total=False):
    """The same, and a picture to show."""

    picture: Picture | None


def number(
    text: str,
    answer: float,
    unit: str,
    *,
    slips: Sequence[Slip] = (),
    rel_tol: float = 0.0,
    abs_tol: float = 0.0,
    one_sided: Literal["", "at least", "at most"] = "",
    far: float | None = None,
    difference: bool = False,
    decimals: int | None = None,
    edges: Sequence[float] = (),
    plausible: tuple[float, float] | None = None,
    **extras: Unpack[Extras],
) -> Question:
    """Return a question answered by a number; see :class:`kit.marking.model.Number`.

    Examples
    --------
    >>> number("How much salt for 2000 g at 2.5 %?", 50.0, "g", rel_tol=0.02).kind.unit
    'g'
    """
    kind = Number(unit, rel_tol, abs_tol, one_sided, far, difference, decimals, tuple(edges), plausible)
    return _asked(text, kind, float(answer), slips, extras)


def chart(
    text: str, answer: float, unit: str, picture: Picture, *, slips: Sequence[Slip] = (), **numbers: Any
) -> Question:
    """Return a question whose number is read off a picture; otherwise as :func:`number`."""
    return replace(number(text, answer, unit, slips=slips, picture=picture, **numbers), reads_chart=True)


def one(draw: Draw, text: str, options: Sequence[AuthoredOption], **extras: Unpack[Extras]) -> Question:
    """Return a question with one right option. Every wrong one is a slip.

    Examples
    --------
    >>> from kit.marking.authored import right, wrong
    >>> parts = one(Draw(1), "Where is the core?", [
    ...     right("In the thickest part, at half depth"),
    ...     wrong("Just under the skin", "The skin side is the hottest part."),
    ... ])
    >>> parts.answer in "ab", parts.slips[0].says
    (True, 'The skin side is the hottest part.')
    """
    shuffled = draw.shuffle(options)
    rights = [key for key, each in zip(_letters(shuffled), shuffled, strict=True) if each.right]
    if len(rights) != 1:
        raise BadData(f"question {text[:60]!r}", f"{len(rights)} right options", "exactly 1")
    slips = [
        Slip(each.name, key, each.says)
        for key, each in zip(_letters(shuffled), shuffled, strict=True)
        if not each.right
    ]
    return _asked(text, One(_lettered(each.text for each in shuffled)), rights[0], slips, extras)


def several(draw: Draw, text: str, options: Sequence[AuthoredOption], **extras: Unpack[Extras]) -> Question:
    """Return a question with several right options.

    A wrong option picked is a slip; so is a right one left out if it ``says`` why it belongs.
    """
    shuffled = dict(zip(_letters(options), draw.shuffle(options), strict=True))
    rights = [key for key, each in shuffled.items() if each.right]
    if not rights:
        raise BadData(f"question {text[:60]!r}", "no right option", "1 or more")
    slips = []
    for key, each in shuffled.items():
        if not each.right:
            value = sorted([*rights, key])
            slips.append(Slip(each.name, value, each.says, {"picked": key}))
        elif each.says and len(rights) > 1:
            value = [other for other in rights if other != key]
            slips.append(Slip(f"left out: {each.name}", value, each.says, {"left out": key}))
    kind = Several(
        _lettered(each.text for each in shuffled.values()),
        must=tuple(key for key in rights if shuffled[key].safety),
        never=tuple(key for key, each in shuffled.items() if each.safety and not each.right),
    )
    return _asked(text, kind, rights, slips, extras)


def order(
    draw: Draw,
    text: str,
    steps: Sequence[str],
    turned: Sequence[Turned] = (),
    *,
    free: Sequence[tuple[str, str]] = (),
    **extras: Unpack[Extras],
) -> Question:
    """Return a question to put steps in order. ``steps`` are given in the right order.

    A :class:`Turned` with ``safety`` scores 0. ``free`` are pairs that may stand either way: a careful step
    that does no harm earlier. Each pair goes in the order of ``steps``.

    Raises
    ------
    BadData
        If a pair that is turned comes in that order, or one that is free does not, or must stand by others.

    Examples
    --------
    >>> parts = order(Draw(2), "Put the day in order.", ["Cure", "Rinse", "Dry", "Smoke"],
    ...     [Turned("Smoke", "Dry", "Smoke on a wet surface runs and tastes sour.")])
    >>> shown = {option.key: option.text for option in parts.kind.options}
    >>> [shown[key] for key in parts.answer], [shown[key] for key in parts.slips[0].value]
    (['Cure', 'Rinse', 'Dry', 'Smoke'], ['Cure', 'Rinse', 'Smoke', 'Dry'])
    """
    shuffled = draw.shuffle(steps)
    while len(steps) > 1 and all(
        shuffled.index(early) < shuffled.index(late) or (early, late) in free
        for early, late in combinations(steps, 2)
    ):
        shuffled = draw.shuffle(steps)
    keys = dict(zip(shuffled, _letters(shuffled), strict=True))
    answer = [keys[step] for step in steps]
    slips, must = [], []
    for each in turned:
        early, late = _key(keys, each.early, text), _key(keys, each.late, text)
        if answer.index(early) <= answer.index(late):
            raise BadData(f"question {text[:60]!r}", f"{each.early!r} does come before {each.late!r}")
        value = [key for key in answer if key != early]
        value.insert(value.index(late), early)
        slips.append(Slip(each.name or f"{each.early} before {each.late}", value, each.says, [early, late]))
        if each.safety:
            must.append((late, early))
    either = tuple((_key(keys, early, text), _key(keys, late, text)) for early, late in free)
    _check_free(answer, either, text)
    return _asked(text, Order(_lettered(shuffled), tuple(must), either), answer, slips, extras)


def _check_free(answer: Sequence[str], free: Sequence[tuple[str, str]], text: str) -> None:
    """Refuse a free pair with a step between that must stand after the one and before the other."""
    for early, late in free:
        between = answer[answer.index(early) + 1 : answer.index(late)]
        forced = [key for key in between if (early, key) not in free and (key, late) not in free]
        if answer.index(early) > answer.index(late) or forced:
            raise BadData(f"question {text[:60]!r}", f"the pair {early!r}, {late!r} is not free")


def match(
    draw: Draw,
    text: str,
    pairs: Mapping[str, str],
    joined: Sequence[Joined] = (),
    *,
    extra: Sequence[str] = (),
    must: Sequence[str] = (),
    **extras: Unpack[Extras],
) -> Question:
    """Return a question to join left and right.

    ``pairs`` are the right joins as text. Left items may share a right one. ``extra`` are right items that
    belong to none. Left items in ``must`` are safety conclusions: joined wrongly, the answer scores 0.
    """
    lefts = draw.shuffle(list(pairs))
    rights = draw.shuffle(list(dict.fromkeys([*pairs.values(), *extra])))
    left_keys = {item: str(place) for place, item in enumerate(lefts, start=1)}
    right_keys = dict(zip(rights, _letters(rights), strict=True))
    answer = {left_keys[item]: right_keys[pairs[item]] for item in lefts}
    slips = []
    for each in joined:
        wrong = {_key(left_keys, each.left, text): _key(right_keys, each.right, text)}
        slips.append(Slip(each.name or f"{each.left}: {each.right}", {**answer, **wrong}, each.says, wrong))
    kind = Match(
        tuple(Option(key, item) for item, key in left_keys.items()),
        tuple(Option(key, item) for item, key in right_keys.items()),
        tuple(_key(left_keys, item, text) for item in must),
    )
    return _asked(text, kind, answer, slips, extras)


def places(
    text: str,
    picture: Picture,
    targets: Sequence[Region],
    traps: Sequence[tuple[Region, str]] = (),
    *,
    count: int = 1,
    slack: float = 0.0,
    **basics: Unpack[Basics],
) -> Question:
    """Return a question to mark places on a picture.

    ``traps`` are wrong places with what to say to who marks them. The answer is the middle of the first
    ``count`` targets.
    """
    middles = [[each.x, each.y] for each in targets[:count]]
    slips = [Slip(trap.name, [[trap.x, trap.y], *middles[1:]], says, trap.name) for trap, says in traps]
    kind = Places(tuple(targets), tuple(trap for trap, _ in traps), count, slack)
    return _asked(text, kind, middles, slips, {**basics, "picture": picture})


def controls(
    text: str,
    settings: Sequence[Control],
    run: str,
    answer: Mapping[str, float],
    slips: Sequence[Slip] = (),
    **extras: Unpack[Extras],
) -> Question:
    """Return a question to set the controls and run the batch.

    ``run`` is the name of a function registered with :func:`kit.marking.batch_runs.batch_run`. A slip's value
    is a whole mapping of settings whose run gives that slip's name.
    """
    return _asked(text, Controls(tuple(settings), run), dict(answer), slips, extras)


def recommend(
    draw: Draw,
    text: str,
    decision: Decision,
    reasons: Sequence[AuthoredOption],
    wrong: Mapping[Decision, str],
    *,
    also: Sequence[Decision] = (),
    **extras: Unpack[Extras],
) -> Question:
    """Return a question to recommend what happens to a batch, and why.

    Parameters
    ----------
    decision : str
        ``go on``, ``hold`` or ``reject``.
    reasons : sequence of AuthoredOption
        Exactly one right.
    wrong : mapping
        What to say to each decision that is wrong: all those not in ``decision`` and ``also``.
    also : sequence of str
        Decisions as good as ``decision``: where a limit is missed, to hold and to reject may both be right.

    Raises
    ------
    BadData
        If a wrong decision has nothing to say, or ``go on`` would be as good as another decision.
    """
    where = f"question {text[:60]!r}"
    good = {decision, *also}
    if set(wrong) != set(DECISIONS) - good:
        raise BadData(where, "not every wrong decision has its reason", ", ".join(DECISIONS.keys() - good))
    if "go on" in good and len(good) > 1:
        raise BadData(where, "'go on' is as good as another decision", "one of them")
    shuffled = draw.shuffle(reasons)
    rights = [key for key, each in zip(_letters(shuffled), shuffled, strict=True) if each.right]
    if len(rights) != 1:
        raise BadData(where, f"{len(rights)} right reasons", "exactly 1")
    slips = [
        Slip(f"decision: {each}", {"decision": each, "reason": rights[0]}, says, {"decision": each})
        for each, says in wrong.items()
    ]
    slips += [
        Slip(each.name, {"decision": decision, "reason": key}, each.says, {"reason": key})
        for key, each in zip(_letters(shuffled), shuffled, strict=True)
        if not each.right
    ]
    kind = Recommend(_lettered(each.text for each in shuffled), tuple(also))
    return _asked(text, kind, {"decision": decision, "reason": rights[0]}, slips, extras)


def go_on_if(
    met: bool,
    draw: Draw,
    text: str,
    reasons: Sequence[AuthoredOption],
    *,
    proven: str,
    unproven: str,
    **extras: Unpack[Extras],
) -> Question:
    """Return the parts of a recommendation that hangs on one limit: go on if it is met, else hold or reject.

    ``proven`` is what to say to who holds back a batch that met it, ``unproven`` to who lets another go on.
    """
    if met:
        return recommend(draw, text, "go on", reasons, {"hold": proven, "reject": proven}, **extras)
    return recommend(draw, text, "hold", reasons, {"go on": unproven}, also=("reject",), **extras)


def explain(text: str, look_for: Sequence[str], **extras: Unpack[Extras]) -> Question:
    """Return a question answered in the learner's own words and read by the tutor."""
    return replace(_asked(text, Explain(tuple(look_for)), "", (), extras), of=0.0)


def _asked(text: str, kind: Kind, answer: Any, slips: Sequence[Slip], extras: Mapping[str, Any]) -> Question:
    more = {**extras, "hints": tuple(extras.get("hints", ()))}
    return Question("", 0, 0, text, kind, answer, tuple(slips), **more)


def _letters(items: Sequence[Any]) -> str:
    if len(items) > len(ascii_lowercase):
        raise BadData("a question", f"{len(items)} options", f"{len(ascii_lowercase)} at most")
    return ascii_lowercase[: len(items)]


def _lettered(texts: Iterable[str]) -> tuple[Option, ...]:
    listed = list(texts)
    return tuple(Option(key, text) for key, text in zip(_letters(listed), listed, strict=True))


def _key(keys: Mapping[str, str], item: str, text: str) -> str:
    if item not in keys:
        raise BadData(f"question {text[:60]!r}", f"{item!r} is not one of its items", ", ".join(keys))
    return keys[item]
