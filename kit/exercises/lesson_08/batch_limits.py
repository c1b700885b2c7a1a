"""The limits that lesson 8's whole batch is held to, as a kitchen's rules give them."""

from __future__ import annotations

from dataclasses import dataclass

from kit.basics.errors import BadData
from kit.exercises.engine.kitchen_rules import SHORT_MIN, numbered
from kit.rules import HoldRow, Profile, Rule


@dataclass(frozen=True)
class Limits:
    """The rules that the batch is judged by, each with a number. ``life`` is empty where there is none."""

    cook: tuple[Rule, ...]
    chill: tuple[Rule, ...]
    store: tuple[Rule, ...]
    life: tuple[Rule, ...]
    cold_c: float

    @property
    def row(self) -> HoldRow:
        """The core temperature and time on the card: of a list of rows, the shortest that a log can show."""
        rows = [
            max((row for row in rule.holds if row.minutes >= SHORT_MIN), default=rule.holds[0])
            for rule in self.cook
        ]
        return HoldRow(max(row.temp_c for row in rows), max(row.minutes for row in rows))

    @property
    def store_c(self) -> float:
        """The warmest that the store may be. [°C]"""
        return lowest(self.store)

    def all(self) -> tuple[Rule, ...]:
        """Return every rule, in the order of the day."""
        return (*self.cook, *self.chill, *self.store, *self.life)


def lacking(profile: Profile) -> tuple[str, ...]:
    """Return the points of the day for which a profile has no number, so that no card can be written.

    Examples
    --------
    >>> from kit import rules
    >>> lacking(rules.load("uk")), lacking(rules.load("codex"))
    ((), ('cook', 'chill', 'store'))
    """
    return tuple(point for point in ("cook", "chill", "store") if not any(map(_reaches, _of(profile, point))))


def limits(profile: Profile) -> Limits:
    """Return the limits of a profile, or of a kitchen on top of one.

    Raises
    ------
    BadData
        If the profile has no number for a point that the card needs.

    Examples
    --------
    >>> from kit import rules
    >>> limits(rules.load("ie")).row.words, limits(rules.load("ie")).store_c
    ('75 °C or more', 3.0)
    """
    if missing := lacking(profile):
        raise BadData(profile.title, f"cannot tell: no number for {', '.join(missing)}", "a rule with one")
    cook, chill, store, life, cold = (
        _of(profile, point) for point in ("cook", "chill", "store", "life", "cold")
    )
    return Limits(cook, chill, store, life, float((cold or store)[0].maximum or 0.0))


def _of(profile: Profile, point: str) -> tuple[Rule, ...]:
    """Return the rules with a number at a point; a frozen store is none of this batch."""
    return tuple(
        rule for rule in numbered(profile.answering(point)) if rule.quantity != "frozen_store_temp_c"
    )


def _reaches(rule: Rule) -> bool:
    """Tell whether a rule sets a temperature, beside one that sets only a time."""
    return bool(rule.holds) or rule.maximum is not None


def lowest(among: tuple[Rule, ...]) -> float:
    """Return the lowest maximum among rules."""
    return min(rule.maximum for rule in among if rule.maximum is not None)
