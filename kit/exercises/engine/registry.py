"""The register of exercises: who they are, which criteria they serve, and how a question is drawn."""

from __future__ import annotations

import inspect
import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.exercises.engine.reasons import reasons_of
from kit.marking.draw import Draw, sub_seed
from kit.marking.model import Explain, Question
from kit.marking.reasons import with_reasons

if TYPE_CHECKING:
    from kit.rules import Profile

Author = Callable[..., Question]

REDRAWS = 60
"""How many times a variant that is not sound is drawn again before the exercise is called broken."""


@dataclass(frozen=True)
class Info:
    """What is known of an exercise without drawing it."""

    id: str
    lesson: int
    title: str
    criteria: tuple[str, ...]
    prepares_for: tuple[str, ...]
    version: int
    marked_by: Literal["kit", "tutor"]
    model: bool = False


@dataclass(frozen=True)
class _Entry:
    info: Info
    author: Author
    takes_profile: bool


_ENTRIES: dict[str, _Entry] = {}


def exercise(
    title: str,
    *,
    criteria: Sequence[str] = (),
    prepares_for: Sequence[str] = (),
    version: int = 1,
    marked_by: Literal["kit", "tutor"] = "kit",
    id: str = "",
    lesson: int | None = None,
    model: bool = False,
) -> Callable[[Author], Author]:
    """Return a decorator that registers a function as an exercise.

    The function takes a :class:`~kit.marking.draw.Draw` and, if it needs limits, a rule profile. It returns
    a :class:`~kit.marking.model.Question`, made with ``kit.marking.build``. It is pure: the same draw and
    profile give the same question.

    Parameters
    ----------
    title : str
        A few plain words for lists.
    criteria : sequence of str
        Knowledge criteria that a right answer is evidence for; at least one.
    prepares_for : sequence of str
        Performance criteria it prepares for. An exercise never proves one.
    version : int
        From 1. Raise it whenever the same seed would give another question.
    marked_by : str
        ``tutor`` for an explanation, which the kit never marks.
    id : str
        Lower-case words joined by hyphens; unique in the bank. Answers are stored under it. Without it: the
        function's name, so ``salt_for_brine`` is ``salt-for-brine``.
    lesson : int, optional
        The lesson it belongs to. Without it: the number of the package, such as ``lesson_02``.
    model : bool
        Whether its numbers come from a model, not from a measurement or a text; the page says so.

    Raises
    ------
    BadData
        If the id is taken or badly formed, a criterion is of the wrong sort, or the version is below 1.
    UnknownName
        If a criterion does not exist.
    """

    def register(author: Author) -> Author:
        info = Info(
            id or author.__name__.replace("_", "-"),
            _lesson_of(author) if lesson is None else lesson,
            title,
            tuple(criteria),
            tuple(prepares_for),
            version,
            marked_by,
            model,
        )
        _check(info)
        known = _ENTRIES.get(info.id)
        if known is not None and _home(known.author) != _home(author):
            raise BadData(f"exercise {info.id!r}", f"the id is taken by {_home(known.author)}", "another id")
        takes_profile = len(inspect.signature(author).parameters) > 1
        _ENTRIES[info.id] = _Entry(info, author, takes_profile)
        return author

    return register


def ids(lesson: int | None = None) -> tuple[str, ...]:
    """Return the ids of the exercises the kit marks, of one lesson or of all, in the order of the lessons."""
    return _listed("kit", lesson)


def explain_ids(lesson: int | None = None) -> tuple[str, ...]:
    """Return the ids of the explanations, which the tutor marks."""
    return _listed("tutor", lesson)


def info(id: str) -> Info:
    """Return what is known of an exercise without drawing it.

    Raises
    ------
    UnknownName
        If the bank has no such exercise.
    """
    return _entry(id).info


def question(id: str, seed: int, profile: str | Profile = "") -> Question:
    """Return the question that one seed draws from an exercise, under one rule profile.

    The same id, version, seed and profile always give the same question. A variant that would teach badly
    (see :func:`kit.marking.variant_check.sound`) is drawn again from a seed worked out from the first.

    Parameters
    ----------
    id : str
        The exercise's id.
    seed : int
        0 or more; see :func:`kit.marking.draw.seed_for`.
    profile : str or Profile
        The rules, such as those of a house file, or the id of a profile. By default ``kit.rules.DEFAULT``.

    Raises
    ------
    UnknownName
        If the bank has no such exercise, or there is no such profile.
    BadData
        If no sound variant was found in 60 draws: the exercise is at fault, and the message says how.
    """
    from kit.marking.variant_check import sound

    entry = _entry(id)
    rules = _loaded(profile)
    faults: Counter[str] = Counter()
    for turn in range(REDRAWS):
        drawn = _draw(entry, seed, sub_seed(seed, turn), rules)
        found = sound(drawn)
        if not found:
            return with_reasons(drawn, reasons_of(entry.info.lesson).get(id, {}))
        faults.update(found)
    worst = "; ".join(f"{fault} ({times} times)" for fault, times in faults.most_common(3))
    raise BadData(f"exercise {id!r}, seed {seed}", f"no sound variant in {REDRAWS} draws: {worst}")


def takes_profile(name: str) -> bool:
    """Return whether an exercise is drawn from the rules of a profile.

    Examples
    --------
    >>> takes_profile("own-cold-by"), takes_profile("brine-degrees")
    (True, False)
    """
    return _entry(name).takes_profile


def _draw(entry: _Entry, seed: int, used: int, profile: Profile) -> Question:
    draw = Draw(used)
    drawn = entry.author(draw, profile) if entry.takes_profile else entry.author(draw)
    info = entry.info
    if isinstance(drawn.kind, Explain) != (info.marked_by == "tutor"):
        raise BadData(f"exercise {info.id!r}", f"a {drawn.kind.name!r} marked by {info.marked_by!r}")
    return replace(
        drawn,
        exercise=info.id,
        version=info.version,
        seed=seed,
        criteria=info.criteria,
        prepares_for=info.prepares_for,
        profile=profile,
    )


def _lesson_of(author: Author) -> int:
    found = re.search(r"\blesson_(\d+)\b", author.__module__)
    if found is None:
        raise BadData(f"exercise {author.__name__!r}", "its module is in no lesson", "lesson=, or lesson_NN")
    return int(found[1])


def _check(info: Info) -> None:
    where = f"exercise {info.id!r}"
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", info.id):
        raise BadData(where, "the id is badly formed", "lower-case words joined by hyphens")
    if isinstance(info.version, bool) or not isinstance(info.version, int) or info.version < 1:
        raise OutOfRange(f"{where}, version", info.version, "a whole number from 1")
    if not info.criteria:
        raise BadData(where, "it is evidence for nothing", "a knowledge criterion")
    for criterion in info.criteria:
        _check_criterion(where, criterion, "knowledge", "criteria")
    for criterion in info.prepares_for:
        _check_criterion(where, criterion, "performance", "prepares_for")


def _check_criterion(where: str, criterion: str, sort: str, word: str) -> None:
    from kit.criteria import get

    if get(criterion).kind != sort:
        raise BadData(
            where,
            f"{word} holds {criterion!r}",
            f"{sort} criteria only",
            "An exercise is evidence of knowledge and prepares for a performance; it never proves one.",
        )


def _entry(id: str) -> _Entry:
    if id not in _ENTRIES:
        _load(None)
    try:
        return _ENTRIES[id]
    except KeyError:
        raise UnknownName("exercise", str(id), sorted(_ENTRIES)) from None


def _listed(marked_by: str, lesson: int | None) -> tuple[str, ...]:
    _load(lesson)
    chosen = [
        entry.info
        for entry in _ENTRIES.values()
        if entry.info.marked_by == marked_by and lesson in (None, entry.info.lesson)
    ]
    return tuple(each.id for each in sorted(chosen, key=lambda each: each.lesson))


@cache
def _load(lesson: int | None) -> None:
    """Import the modules of the package ``lesson_NN``: of one lesson, or of all."""
    pattern = "lesson_*/*.py" if lesson is None else f"lesson_{lesson:02d}/*.py"
    for file in sorted(Path(__file__).parents[1].glob(pattern)):
        import_module(f"kit.exercises.{file.parent.name}.{file.stem}")


def _loaded(profile: str | Profile) -> Profile:
    from kit.rules import DEFAULT, load

    return load(profile or DEFAULT) if isinstance(profile, str) else profile


def _home(author: Any) -> str:
    return f"{author.__module__}.{author.__qualname__}"
