"""Marking an answer: one pure function from a question and a raw answer to an outcome."""

from typing import Any

from kit.marking.choices import mark_match, mark_one, mark_order, mark_recommend, mark_several
from kit.marking.model import (
    Controls,
    Explain,
    Match,
    Number,
    One,
    Order,
    Outcome,
    Places,
    Question,
    Recommend,
    Several,
)
from kit.marking.numbers import mark_number
from kit.marking.outcomes import unread
from kit.marking.picture_marks import mark_controls, mark_places

LONGEST_EXPLANATION = 20_000
"""Longest explanation kept. [characters]"""


def mark(question: Question, raw: Any) -> Outcome:
    """Return the outcome of a raw answer: points, verdict, message, the slip found, and how it was read.

    A cook learns from being told at once what went wrong. The tutor's side calls this same function on the
    same raw answer, so nobody need believe a mark that a file claims.

    Parameters
    ----------
    question : Question
        As drawn.
    raw : object
        Whatever came from the page or the file; it need not make sense. By kind: number and chart, text or a
        number; one, a key; several and order, a list of keys; match, left keys to right keys; places, a list
        of [x, y] in fractions of the picture; controls, control keys to numbers; recommend, ``decision`` and
        ``reason``; explain, text.

    Returns
    -------
    Outcome
        Always, whatever the raw answer is. Score from 0 to ``of``. Nothing is saved.

    Notes
    -----
    The scheme, as shares of full marks:

    - number, chart: 1 within the tolerance. A safety limit is one-sided and exact. Half for a right value
      rounded too far (by up to 5 %), unless that is a known slip. A missing unit or too many decimals costs
      nothing and is said.
    - one: 1 or 0.
    - several: the share of the right ones picked, less the share of the wrong ones picked; at least 0. So
      picking all, or none, earns nothing. 0 without every safety conclusion, or with an unsafe one.
    - order: of all pairs that must stand one way, the share that do, less the share that do not; at least 0.
      0 if two steps are turned round that matter for safety. Steps left as they were shown are no try.
    - match: the share of left items joined rightly. 0 if one that matters for safety is not.
    - places: the share of the marks asked for that fall in a target of their own.
    - controls: what the batch run earns.
    - recommend: 0 for a decision that is too bold, a quarter for one that is too careful; half for a right
      one with a wrong reason.
    - explain: kept for the tutor, 0 of 0.

    An answer that cannot be read has the verdict "not read", scores 0, and is not counted as a try.

    Examples
    --------
    >>> from kit.marking.model import Slip
    >>> question = Question(
    ...     "salt", 1, 0, "How much salt for 2000 g at 2.5 %?", Number("g", rel_tol=0.02), 50.0,
    ...     slips=(Slip("of the total", 51.28, "Salt goes on the weight of the fish alone."),))
    >>> mark(question, "50 g").verdict, mark(question, "0,05 kg").read_as
    ('right', '0.05 kg, that is 50 g')
    >>> mark(question, "51.3").message
    'Not yet. Salt goes on the weight of the fish alone.'
    """
    kind = question.kind
    match kind:
        case Number():
            return mark_number(question, kind, raw)
        case One():
            return mark_one(question, kind, raw)
        case Several():
            return mark_several(question, kind, raw)
        case Order():
            return mark_order(question, kind, raw)
        case Match():
            return mark_match(question, kind, raw)
        case Places():
            return mark_places(question, kind, raw)
        case Controls():
            return mark_controls(question, kind, raw)
        case Recommend():
            return mark_recommend(question, kind, raw)
        case Explain():
            return _keep(question, raw)


def _keep(question: Question, raw: Any) -> Outcome:
    if not isinstance(raw, str) or not raw.strip():
        return unread(question, "Write a sentence or two in your own words.")
    if len(raw) > LONGEST_EXPLANATION:
        return unread(question, f"This is too long: {len(raw)} characters. Keep it under 20000.")
    if any("\ud800" <= character <= "\udfff" for character in raw):
        return unread(question, "The text holds a character that is not text. Write it again.")
    words = len(raw.split())
    return Outcome(0.0, 0.0, "kept", "Kept for your tutor to read.", "", f"{words} words")
