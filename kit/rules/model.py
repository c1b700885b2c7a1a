"""What a rule and a verdict are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, Any, Literal, NamedTuple

from msgspec import Meta

from kit.basics.data_files import Number, Text
from kit.basics.errors import NotInForce
from kit.rules.purposes import CHILLED, PURPOSES, Pack, Purpose, packs_words

Form = Literal["value", "hold", "window", "lethality", "words"]
Answer = Literal["met", "not met", "cannot tell"]

FROM_MEMORY = "from memory: confirm"
HoldRows = Annotated[tuple["HoldRow", ...], Meta(description="pairs such as [[60, 45], [70, 2]]")]


@dataclass(frozen=True)
class Source:
    """A text that limits are taken from. ``seen``: the text, or a public copy of it, was read.

    ``address`` is the page on which it was read, where we kept it.
    """

    key: str
    title: str
    issuer: str
    edition: str
    seen: bool
    note: str = ""
    address: str = ""


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
    ``purpose`` says what it proves, of ``PURPOSES``: ``plate`` for food that is eaten at once, ``kept`` for
    fish kept ready to eat, ``parasites`` for those alone, ``cooling`` and ``keeping`` for the way to the cold
    and the time there. A rule proves nothing beyond its purpose. ``pack`` names the packs of ``PACKS`` that
    it is for; empty is any. ``territory`` says where a limit holds, if not in all of the profile's.
    ``in_force_from`` and ``in_force_until`` are its first and last day, where they are known;
    ``replaced_by`` is the id of the rule that then took its place.
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
    replaced_by: str = ""
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
            PURPOSES[self.purpose] if self.purpose in ("plate", "parasites") else "",
            packs_words(self.pack),
            f"in {self.territory}" if self.territory else "",
            f"in force from {self.in_force_from}" if self.in_force_from else "",
            f"in force until {self.in_force_until}" if self.in_force_until else "",
        )
        return "; ".join(part for part in parts if part)

    def fits(self, pack: str) -> bool:
        """Return whether the rule is for fish in that pack. An empty text is any: nobody has said yet."""
        return not pack or not self.pack or pack in self.pack

    @property
    def needs_pack(self) -> bool:
        """Whether it says nothing until somebody names the pack. One for all that is kept cold needs none."""
        return bool(self.pack) and not set(self.pack) >= CHILLED

    def in_force(self, on: date) -> bool:
        """Return whether the rule is in force on a day."""
        return (self.in_force_from or date.min) <= on <= (self.in_force_until or date.max)

    def check_in_force(self, on: date) -> None:
        """Raise NotInForce unless the rule is in force on a day."""
        if not self.in_force(on):
            days = (self.in_force_from, self.in_force_until)
            raise NotInForce(self.id, on, *days, replaced_by=self.replaced_by)

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


def today() -> date:
    """Return the day whose law counts where nobody names another: the kitchen's own."""
    return date.today()  # noqa: DTZ011  # the kitchen's own day, not that of another clock


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
