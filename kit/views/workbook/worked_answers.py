"""The tutor's side of an exercise, as text: worked, marked by the kit, and what each slip reveals.

Used by the notebooks in ``answers/``: ``show("probe-in-the-load")``. Everything is printed, so that the
stored output can be compared word for word.
"""

import textwrap
from collections.abc import Iterable, Mapping
from typing import Any

from kit import exercises
from kit.marking import mark
from kit.marking.model import Controls, Explain, Match, Number, Places, Question, Recommend
from kit.rules import DEFAULT, load

SEEDS = (11, 12, 13)
_WIDTH = 96


def show(exercise: str, *, seeds: tuple[int, ...] = SEEDS, profile: str = DEFAULT) -> None:
    """Print an exercise worked on one seed and marked on all of them, with its slips.

    Parameters
    ----------
    exercise : str
        The id.
    seeds : tuple of int
        The first is worked in full.
    profile : str
        The rule profile its question is drawn under.

    Raises
    ------
    UnknownName
        If there is no such exercise.

    Examples
    --------
    >>> show("explain-low-finish")  # doctest: +ELLIPSIS
    explain-low-finish: ...
    """
    info = exercises.info(exercise)
    rules = load(profile)
    first, *others = [exercises.question(exercise, seed, rules) for seed in seeds]
    _say(f"{exercise}: {info.title}")
    _say(f"for {', '.join(info.criteria)}" + _prepares(info.prepares_for))
    _say("")
    _say(first.text)
    if isinstance(first.kind, Explain):
        _explanation(first)
        return
    if first.picture is not None:
        _say(f"Picture: {first.picture.text}")
    _marked(first)
    _say(f"reason:  {first.worked}")
    for question in others:
        _say("")
        _say(f"Another variant (seed {question.seed}):")
        _marked(question)
    _slips(first)


def in_words(question: Question, answer: Any) -> str:
    """Return an answer as a person would say it: the texts of options, not their letters.

    Examples
    --------
    >>> from kit.marking.model import Number
    >>> in_words(Question("salt", 1, 0, "How much?", Number("g"), 50.0), 50.0)
    '50 g'
    """
    kind = question.kind
    if isinstance(kind, Number):
        unit = "" if kind.unit in ("", "1") else f" {kind.unit}"
        return f"{answer:.10g}{unit}"
    if isinstance(kind, Places):
        return "; ".join(f"{x:.2f} across, {y:.2f} down" for x, y in answer)
    if isinstance(kind, Controls):
        named = {control.key: control for control in kind.controls}
        return "; ".join(f"{named[k].label} {v:g} {named[k].unit}".strip() for k, v in answer.items())
    if isinstance(kind, Match):
        left, right = _texts(kind.left), _texts(kind.right)
        return "; ".join(f"{left[key]} → {right[value]}" for key, value in answer.items())
    if isinstance(kind, Recommend):
        return f"{answer['decision']}, because: {_texts(kind.reasons)[answer['reason']]}"
    options = _texts(getattr(kind, "options", ()))
    if isinstance(answer, str):
        return options.get(answer, answer)
    return "; ".join(options.get(key, str(key)) for key in answer)


def _marked(question: Question) -> None:
    outcome = mark(question, question.answer)
    _say(f"given:   {in_words(question, question.answer)}")
    if outcome.read_as:
        _say(f"read as: {outcome.read_as}")
    _say(f"score:   {outcome.score:g} of {outcome.of:g}, {outcome.verdict}")


def _slips(question: Question) -> None:
    if not question.slips:
        return
    _say("")
    _say("Slips, and what the kit says to them:")
    for slip in question.slips:
        outcome = mark(question, slip.value)
        _say(f"- {slip.name} ({outcome.score:g} of {outcome.of:g}): {slip.says}", indent="  ")


def _explanation(question: Question) -> None:
    kind = question.kind
    assert isinstance(kind, Explain)
    _say("Kept for the tutor, never marked by the kit. Look for:")
    for point in kind.look_for:
        _say(f"- {point}", indent="  ")


def _prepares(criteria: Iterable[str]) -> str:
    named = ", ".join(criteria)
    return f"; prepares for {named}" if named else ""


def _texts(options: Iterable[Any]) -> Mapping[str, str]:
    return {option.key: option.text for option in options}


def _say(text: str, indent: str = "") -> None:
    lines = textwrap.wrap(text, _WIDTH, subsequent_indent=indent) or [""]
    print("\n".join(lines))  # noqa: T201  # printing is what this is for
