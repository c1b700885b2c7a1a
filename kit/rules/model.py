"""What a rule, a profile of rules and a verdict are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from datetime import date
from functools import cached_property
from types import MappingProxyType
from typing import Annotated, Any, Literal, NamedTuple

from msgspec import Meta

from kit.basics.data_files import Number, Text
from kit.basics.errors import UnknownName
from kit.rules.points import POINTS, STEPS

Form = Literal["value", "hold", "window", "lethality", "words"]
Purpose = Literal["", "plate", "kept", "parasites", "cooling", "keeping"]
Pack = Literal["air", "vacuum", "modified air", "frozen"]
PACKS: Mapping[Pack, str] = MappingProxyType(
    {
        "air": "packed in air",
        "vacuum": "packed in vacuum",
        "modified air": "packed in modified air",
        "frozen": "packed frozen",
    }
)
"""How fish may be packed, in words."""
Answer = Literal["met", "not met", "cannot tell"]

FROM_MEMORY = "from memory: confirm"
HoldRows = Annotated[tuple["HoldRow", ...], Meta(description="pairs such as [[60, 45], [70, 2]]")]


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
    ``purpose`` says what it proves: ``plate`` for food that is eaten at once, ``kept`` for fish kept ready to
    eat, ``parasites`` for those alone, ``cooling`` and ``keeping`` for the way to the cold and the time
    there. A rule proves nothing beyond its purpose. ``pack`` names the packs of ``PACKS`` that it is for;
    empty is any. ``territory`` says where a limit holds, if not in all of the profile's. ``in_force_from``
    and ``in_force_until`` are its first and last day, where they are known.
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
    purpose: Purpose = ""
    pack: tuple[Pack, ...] = ()
    territory: str = ""
    in_force_from: date | None = None
    in_force_until: date | None = None
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
    def scope(self) -> str:
        """What narrows the rule down, in words: its purpose, pack, place and days; empty if nothing does.

        Examples
        --------
        >>> from kit import rules
        >>> rules.load("ie")["eu-listeria-absent"].scope
        'in force until 2026-06-30'
        """
        parts = (
            {"plate": "for food eaten at once", "parasites": "against parasites only"}.get(self.purpose, ""),
            " or ".join(PACKS[pack] for pack in self.pack),
            f"in {self.territory}" if self.territory else "",
            f"in force from {self.in_force_from}" if self.in_force_from else "",
            f"in force until {self.in_force_until}" if self.in_force_until else "",
        )
        return "; ".join(part for part in parts if part)

    def fits(self, pack: str) -> bool:
        """Return whether the rule is for fish in that pack. An empty text is any: nobody has said yet."""
        return not pack or not self.pack or pack in self.pack

    def in_force(self, on: date) -> bool:
        """Return whether the rule is in force on a day."""
        return (self.in_force_from or date.min) <= on <= (self.in_force_until or date.max)

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

    def answering(self, point: str, *, plate: bool = False, pack: str = "") -> tuple[Rule, ...]:
        """Return the rules that answer a point of the day for fish that is kept, the house's own last.

        With ``plate`` come those for food eaten at once, too: who misses them misses every other. With
        ``pack`` come only those for fish packed like that.

        Raises
        ------
        UnknownName
            If there is no such point or pack.

        Examples
        --------
        >>> from kit import rules
        >>> [rule.id for rule in rules.load("uk").answering("chill")]
        ['uk-chill-start-30', 'uk-chill-90']
        >>> [rule.id for rule in rules.load("uk").answering("life", pack="vacuum")]
        ['uk-vacuum-10-days']
        >>> house = rules.on_top("ie", [{"rule": "ie-store-3", "maximum": 2.5}], where="here")
        >>> house.answering("store")[0].limit
        '2.5 °C or less'
        """
        if point not in POINTS:
            raise UnknownName("point", point, POINTS)
        if pack and pack not in PACKS:
            raise UnknownName("pack", pack, PACKS)
        return tuple(
            rule
            for rule in self.rules
            if point in rule.point and rule.fits(pack) and (plate or rule.purpose != "plate")
        )

    def __hash__(self) -> int:
        return hash(self.fingerprint)

    @cached_property
    def fingerprint(self) -> str:
        """A short hash of everything that judging depends on, the same on every machine.

        It changes when a limit, a time, a clock or an id changes; not when wording or a source does, nor for
        words that hold in a part of the land alone: they decide no verdict. Nor for a pack or a purpose other
        than ``plate``: they say when a rule is asked, and change no limit.
        """
        from hashlib import sha256
        from json import dumps

        told = sorted(self.rules, key=lambda rule: rule.id)
        parts = [_judged_part(rule) for rule in told if rule.has_number or not rule.territory]
        return sha256(dumps([self.id, parts], sort_keys=True).encode()).hexdigest()[:16]


_LATER = ("territory", "in_force_from", "in_force_until")  # a rule without them keeps its old fingerprint


def _judged_part(rule: Rule) -> dict[str, Any]:
    names = (
        "id", "step", "form", "quantity", "unit", "minimum", "maximum", "minutes", "from_c", "clock", "until",
    )  # fmt: skip
    part: dict[str, Any] = {name: getattr(rule, name) for name in names}
    part["applies"] = dict(rule.applies)
    if rule.has_number:
        part |= {name: str(value) for name in _LATER if (value := getattr(rule, name))}
        part |= {"purpose": rule.purpose} if rule.purpose == "plate" else {}
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
