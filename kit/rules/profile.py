"""What a profile is: the rules of one jurisdiction, and which of them answers what."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from datetime import date
from functools import cached_property
from typing import Any

from kit.basics.errors import UnknownName
from kit.rules.model import Rule, Source, today
from kit.rules.points import POINTS, STEPS
from kit.rules.purposes import check_asked


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

    def answering(
        self, point: str, *, plate: bool = False, pack: str = "", on: date | None = None
    ) -> tuple[Rule, ...]:
        """Return the rules that answer a point of the day for fish that is kept, the house's own last.

        With ``plate`` come those for food eaten at once, too: who misses them misses every other. With
        ``pack`` come only those for fish packed like that. ``on`` is the day whose law counts, today if it is
        not said: what was replaced by then, or has not begun, is left out.

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
        check_asked("", pack)
        return tuple(
            rule
            for rule in self.rules
            if point in rule.point
            and rule.fits(pack)
            and (plate or rule.purpose != "plate")
            and rule.in_force(on or today())
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
