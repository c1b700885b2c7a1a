"""Which hint comes next: one that speaks of the mistake just made, else the next in the author's order."""

import re
from collections.abc import Sequence

from kit.marking.model import Question

_WORD = re.compile(r"[^\W\d_]{4,}")
_STEM = 5  # letters by which two forms of one word are taken for the same: salt, salted; minute, minutes


def next_hint(question: Question, shown: Sequence[str] = (), slip: str = "") -> str:
    """Return the hint to show after those shown, or an empty text when none is left.

    ``slip`` names the mistake of the last answer; empty for none, or for one without a name. The hint that
    shares most words with what that slip says comes first; words of the question itself tell nothing. Where
    no hint does, or two alike, the author's order holds.

    Examples
    --------
    >>> from kit.marking.model import Number, Slip
    >>> question = Question("drip", 1, 0, "How much water left?", Number("g", rel_tol=0.02), 5.0,
    ...     slips=(Slip("rounded", 4.0, "You rounded down before the end."),),
    ...     hints=("Weigh it before and after.", "Round at the very end, never before."))
    >>> next_hint(question), next_hint(question, slip="rounded")
    ('Weigh it before and after.', 'Round at the very end, never before.')
    >>> next_hint(question, shown=question.hints)
    ''
    """
    left = [hint for hint in question.hints if hint not in shown]
    says = " ".join(one.says for one in question.slips if one.name == slip)
    about = _stems(f"{slip} {says}") - _stems(question.text)
    return max(left, key=lambda hint: len(about & _stems(hint)), default="")


def _stems(text: str) -> set[str]:
    return {word[:_STEM] for word in _WORD.findall(text.lower())}
