"""What an apprentice must show, as data: 60 things to do and 49 to know, over the steps of the work."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal

from kit.basics.data_files import shipped
from kit.basics.errors import BadData, UnknownName
from kit.basics.typed_names import fitting, fold

Kind = Literal["performance", "knowledge"]

KINDS: tuple[Kind, ...] = ("performance", "knowledge")
OURS = "ours, tutor to confirm"
"""Said wherever ``safety_critical``, ``observations_needed`` or ``review_months`` is shown."""
_MOST_WORDS = 12  # so many criteria are told with their words in one message


@dataclass(frozen=True)
class Step:
    """A step of the work, with its plain title."""

    id: str
    title: str


@dataclass(frozen=True)
class Criterion:
    """One thing to do (``performance``) or to know (``knowledge``).

    A performance criterion is only ever proved by an observed, signed act; ``observations_needed`` says how
    many. Safety-critical criteria must all be met: nothing averages over them. After ``review_months`` a
    decision is due for review. Those three are ours, and a tutor is to confirm them. ``limit_point`` names
    the point of the day whose limit it claims to be met, such as ``cook``; empty for most. ``builds_on``
    names what is learned before it: the order is ours, a tutor is to confirm it.
    """

    id: str
    step: str
    kind: Kind
    text: str
    source: str
    seen: bool
    safety_critical: bool
    observations_needed: int
    review_months: int
    limit_point: Literal["", "cook", "chill", "store"] = ""
    builds_on: tuple[str, ...] = ()

    @property
    def step_title(self) -> str:
        """The plain title of the step."""
        return steps()[self.step].title


@dataclass(frozen=True)
class _CriteriaFile:
    schema_version: int
    ours: str
    step: tuple[Step, ...]
    criterion: tuple[Criterion, ...]


def load() -> tuple[Criterion, ...]:
    """Return all criteria, in the order of the work.

    Examples
    --------
    >>> len(load())
    109
    """
    return tuple(_by_id().values())


def get(criterion_id: str) -> Criterion:
    """Return one criterion by its id. Ids never change: records point to them.

    Raises
    ------
    UnknownName
        If there is no such criterion.

    Examples
    --------
    >>> get("COK-K03").safety_critical
    True
    """
    try:
        return _by_id()[criterion_id]
    except KeyError:
        raise UnknownName("criterion", criterion_id, _by_id()) from None


def at(step: str) -> tuple[Criterion, ...]:
    """Return the criteria of one step.

    Examples
    --------
    >>> [criterion.id for criterion in at("rinse")]
    ['RIN-P01', 'RIN-P02', 'RIN-P03', 'RIN-K01']
    """
    if step not in steps():
        raise UnknownName("step", step, steps())
    return tuple(criterion for criterion in load() if criterion.step == step)


def of_kind(kind: str) -> tuple[Criterion, ...]:
    """Return the criteria of one kind: ``performance`` or ``knowledge``.

    Examples
    --------
    >>> len(of_kind("knowledge"))
    49
    """
    if kind not in KINDS:
        raise UnknownName("kind of criterion", kind, KINDS)
    return tuple(criterion for criterion in load() if criterion.kind == kind)


def safety_critical() -> tuple[Criterion, ...]:
    """Return the criteria that must all be met before an apprentice works a batch alone.

    Examples
    --------
    >>> len(safety_critical())
    23
    """
    return tuple(criterion for criterion in load() if criterion.safety_critical)


@cache
def steps() -> Mapping[str, Step]:
    """Return the steps of the work by id, in order.

    Examples
    --------
    >>> steps()["cook"].title
    'Cook by temperature'
    """
    return MappingProxyType({step.id: step for step in _file().step})


def step_named(asked: str, known: Iterable[str] = ()) -> str:
    """Return the step that is meant: its id, its name, or a part of its name that no other step has.

    Parameters
    ----------
    asked : str
        What was typed.
    known : iterable of str, optional
        The ids of the steps to choose from. Default: all.

    Raises
    ------
    UnknownName
        If no step, or more than one, answers to it.

    Examples
    --------
    >>> step_named("COOK"), step_named("wood"), step_named("pin-bone"), step_named("cook by temperature")
    ('cook', 'wood_smoke', 'trim_pinbone', 'cook')
    """
    names = tuple(known) or tuple(steps())
    found = _steps(asked, names)
    if len(found) != 1:
        raise UnknownName("step", asked, found or names)
    return found[0]


def criterion_named(asked: str, known: Mapping[str, Criterion]) -> str:
    """Return the criterion that is meant: a code in any case, with or without its hyphen.

    Parameters
    ----------
    asked : str
        What was typed.
    known : mapping
        The criteria to choose from, by id.

    Raises
    ------
    BadData
        If it is a step: it names the criteria of that step with their words, for one to be chosen.
    UnknownName
        If there is no such criterion.

    Examples
    --------
    >>> by_id = {each.id: each for each in load()}
    >>> criterion_named("cok-p01", by_id), criterion_named("RIN K01", by_id)
    ('COK-P01', 'RIN-K01')
    >>> criterion_named("rinse", by_id)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: 'rinse': ... Expected: one of RIN-P01 (Take fish out of the cure on time, ...
    """
    bare = _bare(asked)
    for name in known:
        if _bare(name) == bare:
            return name
    found = _steps(asked, tuple(dict.fromkeys(each.step for each in known.values())))
    if found:
        here = [each for each in known.values() if each.step in found]
        words = "; ".join(f"{each.id} ({each.text.rstrip('.')})" for each in here[:_MOST_WORDS])
        raise BadData(repr(asked), "it is a step of the work, not one criterion", f"one of {words}")
    raise UnknownName("criterion", asked, known)


def _bare(code: str) -> str:
    return "".join(c for c in code.casefold() if c.isalnum())


def _steps(asked: str, names: tuple[str, ...]) -> list[str]:
    """Return the steps of that very id or name, else those whose name holds it."""
    wanted = fold(asked).replace(" ", "_").replace("-", "_")
    if wanted in names:
        return [wanted]
    titles = [steps()[each].title if each in steps() else each for each in names]
    same, near = fitting(titles, asked)
    return [names[n] for n in (same or near)]


@cache
def _by_id() -> Mapping[str, Criterion]:
    return MappingProxyType({criterion.id: criterion for criterion in _file().criterion})


@cache
def _file() -> _CriteriaFile:
    return shipped("kit.criteria", "data/criteria.toml", _CriteriaFile)
