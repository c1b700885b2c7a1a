"""What a page may carry of a question: all that is needed to ask it, and nothing that gives it away."""

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from kit.marking.explanation import asked_for
from kit.marking.model import (
    DECISIONS,
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


def page_form(question: Question) -> dict[str, Any]:
    """Return a question as plain JSON data for the page.

    The page source is open to anyone who looks. So this holds no answer, tolerance, slip, target, trap, hint,
    worked answer, safety key or seed, and not the data of its picture, which a view draws. It is built from
    what is named here, never by leaving things out.

    Returns
    -------
    dict
        ``exercise``, ``version``, ``kind``, ``text``, ``of``, and by kind: ``unit`` and ``decimals``;
        ``options``; ``left`` and ``right``; ``count``; ``controls``; ``decisions`` and ``reasons``; ``words``
        and ``least``.

    Examples
    --------
    >>> question = Question("salt", 1, 0, "How much salt?", Number("g", rel_tol=0.02), 50.0)
    >>> sorted(page_form(question))
    ['decimals', 'exercise', 'kind', 'of', 'text', 'unit', 'version']
    """
    return {
        "exercise": question.exercise,
        "version": question.version,
        "kind": question.kind_name,
        "text": question.text,
        "of": question.of,
        **_by_kind(question),
    }


def _by_kind(question: Question) -> dict[str, Any]:
    match question.kind:
        case Number(unit=unit, decimals=decimals):
            return {"unit": "" if unit == "1" else unit, "decimals": decimals}
        case One(options=options) | Several(options=options) | Order(options=options):
            return {"options": _options(options)}
        case Match(left=left, right=right):
            return {"left": _options(left), "right": _options(right)}
        case Places(count=count):
            return {"count": count}
        case Controls(controls=controls):
            return {"controls": [asdict(control) for control in controls]}
        case Recommend(reasons=reasons):
            decisions = [{"key": key, "text": text} for key, text in DECISIONS.items()]
            return {"decisions": decisions, "reasons": _options(reasons)}
        case Explain():
            return asked_for(question.text)


def _options(options: Iterable[Option]) -> list[dict[str, str]]:
    return [{"key": option.key, "text": option.text} for option in options]
