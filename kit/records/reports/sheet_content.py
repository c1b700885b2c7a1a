"""The observation sheet of one step: what to look for, boxes to tick, room to write, two signatures.

It is printed before the work and filled in by hand. What it says is entered afterwards, signed, and the
paper is kept: the sheet itself decides nothing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from kit import __version__
from kit.basics.data_files import shipped
from kit.records.competence.observations import METHODS
from kit.rules import FROM_MEMORY

if TYPE_CHECKING:
    from kit.criteria import Criterion
    from kit.rules import Profile

Form = Literal["pdf", "html"]
FORMS: tuple[Form, ...] = ("pdf", "html")
SUPPORTS = ("read aloud", "interpreter", "extra time")
OUTCOMES = ("met", "not met", "not seen")
DECLARATION = (
    "This was my own work. I was told beforehand what would be looked at, and I may dispute a decision."
)
OBSERVED = (
    "I saw this myself on the day above, and ticked only what I saw. This sheet decides nothing by itself."
)
PLAIN_WORDS = (
    "What to look for and the oral questions: common practice, no source. They, the safety-critical set and "
    "the number of days are ours, tutor to confirm. Limits stand on the kitchen’s card and in its rules."
)
_RULE_STEPS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "intake": ("intake",),
        "trim_pinbone": ("trim",),
        "cure": ("cure",),
        "wood_smoke": ("smoke", "air"),
        "cook": ("cook",),
        "chill": ("chill",),
        "pack_label_store": ("pack", "store", "label"),
        "records_haccp": ("tools",),
        "health_safety": ("air",),
    }
)
"""The steps of the rules whose limits belong on the sheet of a step."""


@dataclass(frozen=True)
class SheetCriterion:
    """One criterion on the sheet, with what to look for.

    Parameters
    ----------
    criterion : Criterion
        The criterion.
    points : tuple of str
        What to look for.
    """

    criterion: Criterion
    points: tuple[str, ...]

    @property
    def small(self) -> str:
        """What stands beside it in small letters."""
        parts = []
        if self.criterion.observations_needed:
            parts.append(f"{self.criterion.observations_needed} days needed")
        if not self.criterion.seen:
            parts.append(f"criterion {FROM_MEMORY}")
        return "; ".join(parts)


@dataclass(frozen=True)
class Ask:
    """An oral question, and what a good answer holds."""

    ask: str
    good: str


@dataclass(frozen=True)
class _StepAsks:
    caution: str
    question: tuple[Ask, ...]


@dataclass(frozen=True)
class Limit:
    """A limit of the rules in force, with its source."""

    title: str
    words: str
    source: str


@dataclass(frozen=True)
class ObservationSheet:
    """Everything that stands on the sheet of one step."""

    step: str
    title: str
    person: str
    kitchen: str
    caution: str
    doing: tuple[SheetCriterion, ...]
    knowing: tuple[SheetCriterion, ...]
    asks: tuple[Ask, ...]
    limits: tuple[Limit, ...]
    rules_title: str
    kit_version: str

    @property
    def methods(self) -> Mapping[str, str]:
        """The ways of observing, with what each means."""
        return METHODS


def sheet_of(
    step: str, person: str = "", kitchen: str = "", profile: Profile | None = None
) -> ObservationSheet:
    """Return what stands on the sheet of a step.

    Raises
    ------
    UnknownName
        If there is no such step.
    """
    from kit import criteria

    known = criteria.at(step)
    asked = _asked()[step]
    return ObservationSheet(
        step,
        criteria.steps()[step].title,
        person,
        kitchen,
        asked.caution,
        tuple(_look(c) for c in known if c.kind == "performance"),
        tuple(_look(c) for c in known if c.kind == "knowledge"),
        asked.question,
        () if profile is None else limits_of(step, profile),
        "" if profile is None else profile.title,
        __version__,
    )


def points_of(words: str) -> tuple[str, ...]:
    """Return the parts of a criterion's text that can each be looked for or asked.

    Examples
    --------
    >>> points_of("Say which kinds of fish can form histamine, and why early chilling holds it back.")
    ('Say which kinds of fish can form histamine', 'why early chilling holds it back')
    """
    return tuple(re.split(r", (?:and|then) |; ", words.rstrip(".")))


def limits_of(step: str, profile: Profile) -> tuple[Limit, ...]:
    """Return the limits with a number that a profile sets for a step, each with its source."""
    wanted = _RULE_STEPS.get(step, ())
    found = []
    for rule in profile.rules:
        if rule.step in wanted and rule.has_number:
            source = profile.sources[rule.source]
            label = "" if rule.seen and source.seen else f" ({FROM_MEMORY})"
            where = f"{source.issuer}: {source.title}, {rule.locator}{label}"
            house = f". Tighter in this kitchen; the source says {rule.tightened}" if rule.tightened else ""
            found.append(Limit(rule.title, rule.limit, where + house))
    return tuple(found)


def _look(criterion: Criterion) -> SheetCriterion:
    said = _looked_for().get(criterion.id)
    return SheetCriterion(criterion, (said.rstrip("."),) if said else points_of(criterion.text))


@cache
def _looked_for() -> dict[str, str]:
    return shipped("kit.records.reports", "look_for.toml", dict[str, str])


@cache
def _asked() -> dict[str, _StepAsks]:
    return shipped("kit.records.reports", "oral_questions.toml", dict[str, _StepAsks])
