"""What a rule, a profile of rules and a verdict are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Annotated, Any, Literal, NamedTuple

from msgspec import Meta

from kit.basics.data_files import Number, Text
from kit.basics.errors import UnknownName

Form = Literal["value", "hold", "window", "lethality", "words"]
Answer = Literal["met", "not met", "cannot tell"]

FROM_MEMORY = "from memory: confirm"
HoldRows = Annotated[tuple["HoldRow", ...], Meta(description="pairs such as [[60, 45], [70, 2]]")]

STEPS = MappingProxyType(
    {
        "intake": "Intake",
        "trim": "Trim and pin-bone",
        "cure": "Cure",
        "smoke": "Smoke",
        "cook": "Cook",
        "chill": "Chill",
        "pack": "Pack",
        "store": "Store",
        "label": "Label",
        "serve": "Serve",
        "product": "Finished product",
        "tools": "Thermometers",
        "air": "Air at work",
    }
)
"""The step a rule belongs to, and its plain title."""


class PointOfDay(NamedTuple):
    """A point of the day that a rule can answer: the form of such a rule, and the bound it must set.

    A rule in words may stand for it too where ``form`` is given. A house rule that names no point answers
    this one if its step, its form and its quantity are these.
    """

    form: str = ""
    bound: str = ""
    step: str = ""
    quantities: tuple[str, ...] = ()


POINTS = MappingProxyType(
    {
        "cook": PointOfDay("hold", "", "cook", ("core_temp_c",)),
        "chill": PointOfDay("window", "", "chill", ("core_temp_c", "chill_start_min")),
        "store": PointOfDay("value", "maximum", "store", ("store_temp_c",)),
        "life": PointOfDay("value", "maximum", "store", ("shelf_life_days",)),
        "serve": PointOfDay("value", "minimum", "serve", ("reheat_temp_c", "hot_hold_temp_c")),
        "cold": PointOfDay("", "maximum"),
        "salt": PointOfDay("value", "minimum"),
        "salt-air": PointOfDay("value", "minimum"),
        "air-8h": PointOfDay("value", "maximum"),
        "air-15min": PointOfDay("value", "maximum"),
        "probe-ice": PointOfDay("value", "maximum"),
        "probe-boil": PointOfDay("value", "maximum"),
    }
)
"""What a batch of hot-smoked fish is judged by, point by point.

``serve`` is for food that is heated again or kept hot. ``cold`` is the general limit of a cold place: its
``maximum`` says how warm is too warm for fish that waits. ``salt`` is that of a vacuum pack,
``salt-air`` that of a pack with air in it.
"""


@dataclass(frozen=True)
class Source:
    """A text that limits are taken from. ``seen``: the text, or a public copy of it, was read."""

    key: str
    title: str
    issuer: str
    edition: str
    seen: bool
    note: str = ""


class HoldRow(NamedTuple):
    """A core temperature and how long to hold it. ``cold`` turns "or more" into "or less"."""

    temp_c: Number
    minutes: Number
    cold: bool = False

    @property
    def words(self) -> str:
        """The row as a cook would say it.

        Examples
        --------
        >>> HoldRow(62.8, 30).words
        '62.8 °C or more for 30 min'
        """
        side = "less" if self.cold else "more"
        if self.minutes == 0:
            return f"{self.temp_c:g} °C or {side}"
        return f"{self.temp_c:g} °C or {side} for {minutes_words(self.minutes)}"


@dataclass(frozen=True)
class LethalityLimit:
    """A kill of one organism: the logs asked for, and the treatment at ``ref_c`` that gives them.

    ``minutes`` at ``ref_c`` give ``logs``; ``z_c`` is the rise that makes the kill ten times faster. Below
    ``table_from_c`` the published table stops, and any credit is extrapolated.
    """

    organism: Text
    logs: Number
    ref_c: Number
    z_c: Number
    minutes: Number
    table_from_c: Number


@dataclass(frozen=True)
class Rule:
    """One limit, with where it comes from.

    ``form`` says how it is judged: ``value`` (a number within bounds), ``hold`` (a temperature kept for some
    time without a break), ``window`` (a temperature reached within some time), ``lethality`` (a kill added up
    over the record) or ``words`` (no number: only a person can judge it). ``point`` names the points of the
    day that it answers, from ``POINTS``: a profile holds many rules, and these are the kitchen's own.
    """

    id: Text
    title: Text
    step: Text
    form: Form
    source: Text
    locator: Text
    seen: bool
    grade: Literal["primary", "copy", "secondary", "memory", "house"]
    says: Text
    point: tuple[str, ...] = ()
    applies: Mapping[str, Any] = field(default_factory=dict)
    quantity: str = ""
    unit: str = ""
    minimum: Number | None = None
    maximum: Number | None = None
    minutes: Number | None = None
    rows: HoldRows = ()
    from_c: Number | None = None
    clock: Literal["", "temperature", "door", "chiller"] = ""
    until: Literal["temperature", "chiller"] = "temperature"
    kill: LethalityLimit | None = None
    equal: LethalityLimit | None = None
    example: Mapping[str, Any] = field(default_factory=dict)
    note: str = ""
    tightened: str = ""

    @property
    def has_number(self) -> bool:
        """False for a rule in words alone."""
        return self.form != "words"

    @property
    def holds(self) -> tuple[HoldRow, ...]:
        """The temperatures and times of a ``hold`` rule; meeting one of them meets the rule."""
        if self.rows:
            return self.rows
        if self.form != "hold" or self.minutes is None:
            return ()
        if self.minimum is not None:
            return (HoldRow(self.minimum, self.minutes),)
        if self.maximum is not None:
            return (HoldRow(self.maximum, self.minutes, cold=True),)
        return ()

    @property
    def limit(self) -> str:
        """The limit as a cook would say it, or "no number".

        Examples
        --------
        >>> from kit import rules
        >>> rules.load("us-processor")["us-processor-cook-hold"].limit
        '62.8 °C or more for 30 min'
        >>> rules.load("us-retail")["us-retail-cool-57-21"].limit
        'from 57 to 21 °C within 120 min'
        """
        if self.form == "hold":
            words = ", or ".join(row.words for row in self.holds)
            return f"{words}, or an equal treatment" if self.equal else words
        if self.form == "window":
            return _window_words(self)
        if self.form == "lethality" and self.kill is not None:
            return kill_words(self.kill)
        return _value_words(self) if self.form == "value" else "no number"

    @property
    def label(self) -> str:
        """Where the limit was read: empty if seen, else the warning to show beside it."""
        return "" if self.seen else FROM_MEMORY


@dataclass(frozen=True)
class Profile:
    """The rules of one jurisdiction, perhaps with a house file on top; ``base`` is then the profile under it.

    Examples
    --------
    >>> from kit import rules
    >>> profile = rules.load("ie")
    >>> profile.title
    'Ireland'
    >>> profile["ie-store-3"].maximum
    3.0
    """

    id: str
    title: str
    about: str
    rules: tuple[Rule, ...]
    sources: Mapping[str, Source] = field(repr=False)
    house: str = ""
    base: Profile | None = field(default=None, repr=False)

    def __getitem__(self, rule_id: str) -> Rule:
        """Return the rule of that id, or raise UnknownName."""
        for rule in self.rules:
            if rule.id == rule_id:
                return rule
        raise UnknownName("rule", rule_id, (rule.id for rule in self.rules))

    def __iter__(self) -> Iterator[Rule]:
        return iter(self.rules)

    def __len__(self) -> int:
        return len(self.rules)

    def at(self, step: str) -> tuple[Rule, ...]:
        """Return the rules of one step, such as ``cook`` or ``chill``."""
        if step not in STEPS:
            raise UnknownName("step", step, STEPS)
        return tuple(rule for rule in self.rules if rule.step == step)

    def answering(self, point: str) -> tuple[Rule, ...]:
        """Return the rules that answer a point of the day, the house's own last.

        Raises
        ------
        UnknownName
            If there is no such point.

        Examples
        --------
        >>> from kit import rules
        >>> [rule.id for rule in rules.load("uk").answering("chill")]
        ['uk-chill-start-30', 'uk-chill-90']
        >>> house = rules.on_top("ie", [{"rule": "ie-store-3", "maximum": 2.5}], where="here")
        >>> house.answering("store")[0].limit
        '2.5 °C or less'
        """
        if point not in POINTS:
            raise UnknownName("point", point, POINTS)
        return tuple(rule for rule in self.rules if point in rule.point)

    def __hash__(self) -> int:
        return hash(self.fingerprint)

    @cached_property
    def fingerprint(self) -> str:
        """A short hash of everything that judging depends on, the same on every machine.

        It changes when a limit, a time, a clock or an id changes; not when wording or a source does.
        """
        from hashlib import sha256
        from json import dumps

        parts = [_judged_part(rule) for rule in sorted(self.rules, key=lambda rule: rule.id)]
        return sha256(dumps([self.id, parts], sort_keys=True).encode()).hexdigest()[:16]


def _judged_part(rule: Rule) -> dict[str, Any]:
    names = (
        "id",
        "step",
        "form",
        "quantity",
        "unit",
        "minimum",
        "maximum",
        "minutes",
        "from_c",
        "clock",
        "until",
    )
    part: dict[str, Any] = {name: getattr(rule, name) for name in names}
    part["applies"] = dict(rule.applies)
    part["rows"] = [row._asdict() for row in rule.rows]
    part["kill"] = asdict(rule.kill) if rule.kill else None
    part["equal"] = asdict(rule.equal) if rule.equal else None
    return part


@dataclass(frozen=True)
class Verdict:
    """What the record shows about one rule. It speaks of the rule, never of the batch.

    ``rule`` is the rule's id. ``measured`` and ``limit`` are in ``unit`` (minutes for a hold or a window,
    log10 for a kill); either is None where there is none. ``extrapolated`` says that the kill was credited
    below the published table. ``why`` is a few plain sentences. ``from_min`` and ``to_min`` mark the stretch
    of the record that the verdict rests on.
    """

    rule: str
    outcome: Answer
    measured: float | None
    limit: float | None
    unit: str
    source: str
    seen: bool
    extrapolated: bool
    why: str
    title: str = ""
    limit_words: str = ""
    locator: str = ""
    form: Form = "value"
    from_min: float | None = None
    to_min: float | None = None
    highest_c: float | None = None

    @property
    def label(self) -> str:
        """The warning to show beside a limit from memory; empty if the limit was read in its source."""
        return "" if self.seen else FROM_MEMORY

    @property
    def for_person(self) -> bool:
        """True for a rule in words alone, which only a competent person can judge."""
        return self.form == "words"


def minutes_words(minutes: float) -> str:
    """Return a length of time as a cook would say it.

    Examples
    --------
    >>> [minutes_words(m) for m in (0.25, 30, 90, 360, 10080)]
    ['15 s', '30 min', '90 min', '6 h', '7 days']
    """
    if minutes < 1:
        return f"{minutes * 60:g} s"
    if minutes >= 2880 and minutes % 1440 == 0:
        return f"{minutes / 1440:g} days"
    if minutes >= 180 and minutes % 60 == 0:
        return f"{minutes / 60:g} h"
    return f"{minutes:g} min"


def kill_words(kill: LethalityLimit) -> str:
    """Return a kill in words, with organism, z and reference.

    Examples
    --------
    >>> kill_words(LethalityLimit("listeria", 6, 70, 7.5, 2, 63))
    '6-log kill of Listeria, as 2 min at 70 °C (z = 7.5 °C)'
    """
    name = kill.organism.split("_")[0].capitalize()
    return (
        f"{kill.logs:g}-log kill of {name}, as {minutes_words(kill.minutes)} at {kill.ref_c:g} °C "
        f"(z = {kill.z_c:g} °C)"
    )


def _window_words(rule: Rule) -> str:
    within = minutes_words(rule.minutes or 0)
    if rule.until == "chiller":
        return f"in the chiller within {within} of leaving the heat"
    if rule.clock == "temperature":
        return f"from {rule.from_c:g} to {rule.maximum:g} °C within {within}"
    start = "of leaving the heat" if rule.clock == "door" else "of entering the chiller"
    return f"{rule.maximum:g} °C or less within {within} {start}"


def _value_words(rule: Rule) -> str:
    unit = "" if rule.unit == "1" else f" {rule.unit}"
    if rule.minimum is not None and rule.maximum is not None:
        return f"from {rule.minimum:g} to {rule.maximum:g}{unit}"
    if rule.minimum is not None:
        return f"{rule.minimum:g}{unit} or more"
    return f"{rule.maximum:g}{unit} or less"
