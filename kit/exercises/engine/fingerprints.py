"""What tells one question from another: its fingerprint, so that no old answer is marked by other numbers
unnoticed; and its content print, which says what is asked whatever the order of the options.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from hashlib import sha256
from typing import Any

from kit.marking.model import Match, Number, Option, Order, Question

_AS_IT_IS = frozenset({str, int, bool, type(None)})


def fingerprint(question: Question) -> str:
    """Return a short hash of what a question asks and of what would be right.

    It covers the exercise, text, kind with its options, tolerances and regions, picture, facts, marks, rule
    profile, and the truth. It leaves out slips, hints and the worked answer: better words there change
    no mark.

    Returns
    -------
    str
        16 hexadecimal digits.

    Notes
    -----
    Simulated numbers are rounded to 4 significant digits first, so that the last digits of another machine's
    solver do not count. A truth with no tolerance, such as a safety limit, is kept to 12.
    """
    kind = question.kind
    exact = isinstance(kind, Number) and (bool(kind.one_sided) or not (kind.rel_tol or kind.abs_tol))
    picture = question.picture
    parts = {
        "exercise": question.exercise,
        "text": question.text,
        "kind": {**_rounded(kind, 12), "name": question.kind_name},
        "answer": _rounded(question.answer, 12 if exact else 4),
        "of": question.of,
        "profile": question.profile.id if question.profile else "",
        "facts": _rounded(question.facts, 4),
        "picture": None if picture is None else [picture.name, picture.text, _rounded(picture.data, 4)],
    }
    return _short_hash(parts)


def content_print(question: Question) -> str:
    """Return a short hash of what a question asks: the same for the same options in another order.

    It covers the exercise, text, the words of the options, picture, facts, rule profile, and the truth in
    words. So a question that was only shuffled anew is no new question.

    Returns
    -------
    str
        16 hexadecimal digits.
    """
    picture = question.picture
    return _short_hash(
        {
            "exercise": question.exercise,
            "text": question.text,
            "options": sorted(texts_of(question).values()),
            "truth": truth_of(question),
            "profile": question.profile.id if question.profile else "",
            "facts": _rounded(question.facts, 4),
            "picture": None if picture is None else [picture.name, _rounded(picture.data, 4)],
        }
    )


def texts_of(question: Question) -> dict[str, str]:
    """Return the words of everything that can be picked, by key; left and right of a match are told apart."""
    kind = question.kind
    if isinstance(kind, Match):
        left = {f"left {one.key}": one.text for one in kind.left}
        return left | {f"right {one.key}": one.text for one in kind.right}
    options: tuple[Option, ...] = getattr(kind, "options", getattr(kind, "reasons", ()))
    return {one.key: one.text for one in options}


def truth_of(question: Question) -> str:
    """Return what is right, in words or rounded numbers and whatever the order of the options.

    Two questions with one truth are answered alike by who remembers only the answer.
    """
    words, answer = texts_of(question), question.answer
    if isinstance(question.kind, Match):
        joins = sorted((words[f"left {a}"], words[f"right {b}"]) for a, b in answer.items())
        return json.dumps(joins, ensure_ascii=True)
    if isinstance(question.kind, Order):
        return json.dumps([words[key] for key in answer], ensure_ascii=True)
    if isinstance(answer, Mapping) and "reason" in answer:
        return json.dumps([answer["decision"], words[answer["reason"]]], ensure_ascii=True)
    if isinstance(answer, str):
        return words.get(answer, answer)
    if isinstance(answer, list | tuple) and all(isinstance(each, str) for each in answer):
        return json.dumps(sorted(words.get(each, each) for each in answer), ensure_ascii=True)
    return json.dumps(_rounded(answer, 4), sort_keys=True, default=str)


def _short_hash(parts: Mapping[str, Any]) -> str:
    text = json.dumps(parts, sort_keys=True, ensure_ascii=True, separators=(",", ":"), default=str)
    return sha256(text.encode("ascii")).hexdigest()[:16]


def _rounded(value: Any, digits: int) -> Any:
    kind = type(value)
    if kind in _AS_IT_IS:
        return value
    if kind is float:
        return f"{value:.{digits}g}"
    if kind is tuple or kind is list:
        return [_rounded(each, digits) for each in value]
    return _rounded_slowly(value, digits)


def _rounded_slowly(value: Any, digits: int) -> Any:
    """Round what is none of the plain types, which are most."""
    if isinstance(value, bool | str | int):
        return value
    if is_dataclass(value):
        return {each.name: _rounded(getattr(value, each.name), digits) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _rounded(each, digits) for key, each in value.items()}
    if isinstance(value, Sequence):
        return [_rounded(each, digits) for each in value]
    if hasattr(value, "tolist"):
        return _rounded(value.tolist(), digits)
    if isinstance(value, float):
        return f"{value:.{digits}g}"
    return str(value)
