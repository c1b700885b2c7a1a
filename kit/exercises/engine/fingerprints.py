"""A question's fingerprint: so that no old answer is marked by other numbers unnoticed."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from hashlib import sha256
from typing import Any

from kit.marking.model import Number, Question


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
        "kind": _rounded({**asdict(kind), "name": question.kind_name}, 12),
        "answer": _rounded(question.answer, 12 if exact else 4),
        "of": question.of,
        "profile": question.profile.id if question.profile else "",
        "facts": _rounded(question.facts, 4),
        "picture": None if picture is None else [picture.name, picture.text, _rounded(picture.data, 4)],
    }
    text = json.dumps(parts, sort_keys=True, ensure_ascii=True, separators=(",", ":"), default=str)
    return sha256(text.encode("ascii")).hexdigest()[:16]


def _rounded(value: Any, digits: int) -> Any:
    if isinstance(value, bool) or value is None or isinstance(value, str | int):
        return value
    if isinstance(value, Mapping):
        return {str(key): _rounded(each, digits) for key, each in value.items()}
    if isinstance(value, Sequence):
        return [_rounded(each, digits) for each in value]
    if hasattr(value, "tolist"):
        return _rounded(value.tolist(), digits)
    if isinstance(value, float):
        return f"{value:.{digits}g}"
    return str(value)
