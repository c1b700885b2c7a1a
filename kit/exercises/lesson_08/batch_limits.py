"""The limits that lesson 8's whole batch is held to, as a kitchen's rules give them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kit.basics.errors import BadData
from kit.exercises.engine.kitchen_rules import SHORT_MIN, numbered
from kit.rules import HoldRow, Profile, Rule, Verdict, judge_rule

PACKS = {"air": "On a tray under film, with air", "vacuum": "In a vacuum pack"}
"""How the fish may be packed."""
LAB_ERROR_PCT = 0.2
"""What few samples and the method leave open in a laboratory's figure; common practice, no source. [%]"""
SALT_TO_SPARE_PCT = 1.4
"""So much above the limit is too salty to sell; ours, no source. [%]"""
_CARD = {"step": "pack", "source": "card", "locator": "the pack", "seen": True, "grade": "house"}
CARD_SALT = Rule(
    id="card-salt-air",
    title="Salt in a pack with air: the card's own limit",
    form="value",
    quantity="water_phase_salt_pct",
    unit="%",
    minimum=2.5,
    says="The card asks for 2.5 % salt or more in the water phase of the loin; common practice, no source.",
    **_CARD,  # type: ignore[arg-type]  # literals, as the class wants them
)
NO_VACUUM_RULE = Rule(
    id="card-no-vacuum",
    title="Salt in a vacuum pack: these rules give no number",
    form="words",
    says="These rules give no salt limit for a vacuum pack: the competent person decides.",
    **_CARD,  # type: ignore[arg-type]  # literals, as the class wants them
)


@dataclass(frozen=True)
class Limits:
    """The rules that the batch is judged by, each with a number.

    ``life`` gives those of each pack of ``PACKS``, none where the profile has no number for it. ``salt``
    gives the limit of each pack. Where the profile has none for a pack with air, the card has its own; where
    it has none for a vacuum pack, there is no number, and the record cannot tell.
    """

    cook: tuple[Rule, ...]
    chill: tuple[Rule, ...]
    store: tuple[Rule, ...]
    life: Mapping[str, tuple[Rule, ...]]
    salt: Mapping[str, Rule]
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

    @property
    def packs(self) -> tuple[str, ...]:
        """The packs that a card may ask for: those whose salt has a number."""
        return tuple(pack for pack in PACKS if self.salt[pack].has_number)


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
    cook, chill, store, cold = (_of(profile, point) for point in ("cook", "chill", "store", "cold"))
    life = {pack: _of(profile, "life", pack) for pack in PACKS}
    return Limits(cook, chill, store, life, _salt(profile), float((cold or store)[0].maximum or 0.0))


def _salt(profile: Profile) -> dict[str, Rule]:
    """Return the strictest salt limit of each pack; one for a longer life alone is none of this batch."""

    def strictest(point: str, otherwise: Rule) -> Rule:
        here = [rule for rule in _of(profile, point) if "control" not in rule.applies]
        return max(here, key=lambda rule: rule.minimum or 0.0, default=otherwise)

    return {"air": strictest("salt-air", CARD_SALT), "vacuum": strictest("salt", NO_VACUUM_RULE)}


def salt_verdict(rule: Rule, figure_pct: float | None) -> Verdict:
    """Return the verdict on the salt of a pack by the laboratory's figure; without one nothing is proven.

    Examples
    --------
    >>> [salt_verdict(CARD_SALT, figure).outcome for figure in (None, 2.3, 2.6, 2.7)]
    ['cannot tell', 'not met', 'cannot tell', 'met']
    """
    known = {} if figure_pct is None else {"water_phase_salt_pct": figure_pct}
    return judge_rule(known, rule, figure_error=LAB_ERROR_PCT)


def _of(profile: Profile, point: str, pack: str = "") -> tuple[Rule, ...]:
    """Return the rules with a number at a point; a frozen store is none of this batch."""
    told = numbered(profile.answering(point, pack=pack))
    return tuple(rule for rule in told if rule.quantity != "frozen_store_temp_c")


def _reaches(rule: Rule) -> bool:
    """Tell whether a rule sets a temperature, beside one that sets only a time."""
    return bool(rule.holds) or rule.maximum is not None


def lowest(among: tuple[Rule, ...]) -> float:
    """Return the lowest maximum among rules."""
    return min(rule.maximum for rule in among if rule.maximum is not None)
