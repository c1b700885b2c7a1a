"""Words and choices of lesson 8's whole-batch game: the stages, what is set, put right, given as reason.

Data only. What a fault is called stands in `kit.process.faults`, and no word here repeats it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Any

from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.exercises.lesson_08.batch_limits import PACKS

DECISIONS = {
    "carry on": "Carry on",
    "correct": "Put it right",
    "hold": "Hold and report",
    "reject": "Reject",
}
"""What an apprentice may decide at each point, as the page shows it."""
RECOMMENDATIONS = {"go on": "Fit to go on", "hold": "Hold and report", "reject": "Reject"}
"""What an apprentice may recommend at the end."""

MOST_CURE_H = 24.0
"""Longer than the longest card asks for. [h]"""

FINE, USUAL = "fine", "usual"

HARMS = {
    "lower": "A target is never lowered to fit what was reached. That bends the record.",
    "bag and ice": "Fish is never packed warm. In the bag it stays wet, without air, and what lived grows.",
}
"""Ways to put it right that nobody may choose, each with its reason: they cost every point."""


@dataclass(frozen=True)
class Dial:
    """Something the apprentice sets: a number in a range, or one of ``options`` (value, label)."""

    key: str
    label: str
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    step: float = 1.0
    start: Any = 0.0
    options: tuple[tuple[str, str], ...] = ()

    def settle(self, value: Any) -> float | str:
        """Return the value as checked.

        Raises
        ------
        BadData, OutOfRange, UnknownName
            If it is no number, out of range, or not one of the options.

        Examples
        --------
        >>> Dial("dry_h", "Hours in moving air", "h", 1, 16, 1, 2).settle(10)
        10.0
        """
        if self.options:
            if value not in dict(self.options):
                raise UnknownName(self.label, str(value), dict(self.options))
            return str(value)
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
            raise BadData(self.label, "it is not a number", f"a number of {self.unit}")
        if not self.low <= value <= self.high:
            raise OutOfRange(self.label, value, f"from {self.low:g} to {self.high:g} {self.unit}")
        return float(value)


@dataclass(frozen=True)
class StageFinding:
    """Something that the evidence of a stage can show, as a reason to pick, and what it calls for.

    ``safety`` says that a limit is missed or not proven: nobody may carry on past it. ``stands`` says that it
    is past, and that no remedy takes it back.
    """

    key: str
    stage: str
    reason: str
    why: str
    safety: bool = False
    stands: bool = False


@dataclass(frozen=True)
class Stage:
    """One stage of the batch: what it asks, what is set, and the things that may be done to mend it."""

    key: str
    title: str
    intro: str
    dials: tuple[Dial, ...]
    fixes: tuple[tuple[str, str], ...]


_FINDINGS = (
    StageFinding(
        "bones",
        "intake",
        "More bones are left than the card allows",
        "The second look found more bones than the card allows. Feel every fillet again.",
    ),
    StageFinding(
        "little salt",
        "cure",
        "The fish lay in the salt for too few hours",
        "The hours were far below the card. Salt goes in by the hour, and the pack counts on it.",
        safety=True,
    ),
    StageFinding(
        "much salt",
        "cure",
        "The fish lay in the salt for far too long",
        "The hours were far above the card. Only water takes salt out again.",
    ),
    StageFinding(
        "warm salt",
        "cure",
        "The fish stood warmer than the cold limit",
        "The air was above the cold limit for hours. No cold takes those hours back.",
        safety=True,
        stands=True,
    ),
    StageFinding(
        "no skin",
        "dry",
        "The face of the fish is still wet",
        "The fish hardly lost weight, and its face is wet. It needs moving air and time.",
    ),
    StageFinding(
        "warm drying",
        "dry",
        "The fish stood warm for too long",
        "The fish was above the cold limit for more than 2 h. That cannot be undone.",
        safety=True,
        stands=True,
    ),
    StageFinding(
        "refused wood",
        "smoke",
        "The wood on the label is one to refuse",
        "The label names a wood that is on the list to refuse. The smoke is on the fish now.",
        safety=True,
        stands=True,
    ),
    StageFinding(
        "late smoke",
        "smoke",
        "The smoke came far later than the card says",
        "The heater first had to boil water out of the chips. Other chips mend that.",
    ),
    StageFinding(
        "wet face",
        "smoke",
        "The fish hangs wet in the smoke",
        "Smoke runs off a wet face, and a wet face stays cool. It must drip off and dry.",
    ),
    StageFinding(
        "dry air",
        "smoke",
        "The air in the cabinet is far too dry",
        "The dial showed far less than the card. Dry air cools a face and takes weight.",
    ),
    StageFinding(
        "core",
        "cook",
        "The core limit is not proven in the thickest piece",
        "Probe 2 did not prove the limit. The fish was still in the heat, so it could cook on.",
        safety=True,
    ),
    StageFinding(
        "slow cold",
        "chill",
        "At this pace the fish is cold too late",
        "At this pace the limit would be missed. There was still time to cool faster.",
    ),
    StageFinding(
        "missed cold",
        "pack",
        "The chilling limit was missed or is not proven",
        "The whole record shows that the chilling limit was not met. Nothing mends that now.",
        safety=True,
        stands=True,
    ),
    StageFinding(
        "store",
        "pack",
        "The store is warmer than its limit",
        "The air in the store was above its limit. Cold fish must move to a cold place at once.",
        safety=True,
    ),
    StageFinding(
        "life",
        "pack",
        "The label gives more days than the rule",
        "The label gave more days than the rule allows. A new label mends it.",
        safety=True,
    ),
    StageFinding(
        "salt",
        "pack",
        "The salt that this pack asks for is missed or not proven",
        "No figure of the laboratory proved the salt of this pack. Hours in the salt are no figure.",
        safety=True,
    ),
    StageFinding(
        "other pack",
        "pack",
        "The pack is not the one on the card",
        "The card named another pack. Each pack has a salt limit of its own.",
    ),
)
FINDINGS = {each.key: each for each in _FINDINGS}
"""Every finding by key."""

REASONS = {
    FINE: "No limit is missed, and nothing calls for a change",
    USUAL: "It looks and smells as it always does",
    **{each.key: each.reason for each in _FINDINGS},
}
"""Every reason by key, as the page shows it."""

LAST_REASONS = {
    FINE: "Every limit is met, and the record proves it",
    "missed": "A limit was missed or is not proven",
    USUAL: "It looks and smells as it always does",
    "hurry": "The shop is waiting for it",
}
"""The reasons for the recommendation at the end."""

_WOODS = (
    ("alder", "Alder, from the smokehouse sack"),
    ("beech", "Beech, from the smokehouse sack"),
    ("apple", "Apple, from the orchard, dried"),
    ("spruce", "Spruce, from the joiner next door"),
)
_CHILLERS = (
    ("blast", "Blast chiller, open racks"),
    ("walk-in", "Walk-in fridge, open racks"),
    ("stacked trays", "Walk-in fridge, trays stacked"),
)

LABORATORY = (
    ("none", "Go by the hours in the salt"),
    ("sent", "Send loins to the laboratory, and wait for its figure"),
)
"""How the salt of the finished fish is known."""

STAGES = (
    Stage(
        "intake",
        "Order and intake",
        "Order the raw fillets. Then the delivery comes, and you look it over.",
        (Dial("order_kg", "Raw fillets to order", "kg", 6, 20, 0.5, 8),),
        (
            ("feel again", "Feel every fillet again and pull what is left"),
            ("pick out", "Pull the bones you felt, and leave the other fillets"),
            ("more ice", "Put more ice on the fillets"),
        ),
    ),
    Stage(
        "cure",
        "Cure",
        "Set the hours in dry salt. Salt goes in slowly: a thick piece needs far more time.",
        (Dial("cure_h", "Hours in dry salt", "h", 1, MOST_CURE_H, 1, 2),),
        (
            ("back in salt", "Back into the salt for the hours that are missing"),
            ("to the cold", "Move the trays to the cold room and go on"),
            ("soak", "Lay the fish in cold water for 1 h"),
        ),
    ),
    Stage(
        "dry",
        "Dry",
        "Set the hours in moving air. You want a dull skin on the flesh before any smoke.",
        (
            Dial("dry_h", "Hours in moving air", "h", 1, 16, 1, 2),
            Dial("speed_m_s", "Speed of the air", "m/s", 0.5, 3, 0.5, 2),
        ),
        (
            ("dry on", "See that the air moves, and dry for the hours of the card"),
            ("hurry", "Warm the room to 24 °C, so that it dries faster"),
            ("dab", "Dab the faces with paper"),
        ),
    ),
    Stage(
        "smoke",
        "Smoke",
        "Choose the wood and the minutes of smoke. The fish goes into the cabinet now.",
        (
            Dial("wood_name", "Wood", start="alder", options=_WOODS),
            Dial("smoke_min", "Minutes of smoke", "min", 5, 60, 5, 10),
        ),
        (
            ("new chips", "Change the chips for those of the card"),
            ("drip and dry", "Take the fish out, let it drip, and dry it again"),
            ("vents", "Set the vents by the card"),
        ),
    ),
    Stage(
        "cook",
        "Cook",
        "Set the cook. Probe 1 sits in the piece you chose, and it ends the cook. Probe 2 sits in the middle "
        "of the thickest piece that you found. You see the record before the door is opened.",
        (
            Dial("cabinet_c", "Cabinet", "°C", 70, 95, 1, 76),
            Dial("core_target_c", "Probe 1 reading that starts the hold", "°C", 58, 80, 0.5, 66),
            Dial("hold_min", "Minutes of hold", "min", 0, 60, 1, 0),
        ),
        (
            ("longer", "Leave it in until probe 2 has met the card"),
            ("hotter", "Vents by the card, cabinet 6 °C above the card, and cook on"),
            ("lower", "Write down a lower target, the one that was reached"),
        ),
    ),
    Stage(
        "chill",
        "Chill",
        "Say how it is chilled and how soon. You look in before it is cold, while you can still act.",
        (
            Dial("chiller", "Way to chill", start="walk-in", options=_CHILLERS),
            Dial("wait_min", "Minutes from the heat to the chiller", "min", 5, 120, 5, 60),
        ),
        (
            ("blast", "Into an empty blast chiller now, on open racks"),
            ("bag and ice", "Into bags and melting ice now"),
            ("stack", "Stack the trays to save room"),
        ),
    ),
    Stage(
        "pack",
        "Pack and store",
        "Choose the pack, write the label, set the store, and read the whole record once more.",
        (
            Dial("store_c", "Store is set to", "°C", 0, 6, 0.5, 4),
            Dial("life_days", "Days of life on the label", "days", 1, 10, 1, 7),
            Dial("pack", "Pack", start="vacuum", options=tuple(PACKS.items())),
            Dial("lab", "Salt in the loin", start="none", options=LABORATORY),
        ),
        (
            ("other store", "Move it to the other cold store, set by the card"),
            ("new label", "Write a new label with the days of the card"),
            ("laboratory", "Hold the batch, and send loins to the laboratory for their salt"),
            ("repack", "Pack it as the card says"),
            ("put apart", "Put the thickest pieces apart for Chef, labelled, and pack the others"),
            ("chill again", "Chill it once more, so that it is colder"),
        ),
    ),
)
"""The stages in order."""


def stage(key: str) -> Stage:
    """Return the stage of that key.

    Raises
    ------
    UnknownName
        If there is none.

    Examples
    --------
    >>> stage("dry").title
    'Dry'
    """
    for each in STAGES:
        if each.key == key:
            return each
    raise UnknownName("stage", key, (each.key for each in STAGES))


def reasons(key: str) -> dict[str, str]:
    """Return the reasons to pick from at a stage: what it can show, that all is well, and a poor one.

    Examples
    --------
    >>> list(reasons("intake"))
    ['fine', 'usual', 'bones']
    """
    here = (FINE, USUAL, *(each.key for each in _FINDINGS if each.stage == key))
    return {each: REASONS[each] for each in here}


def lower(words: str) -> str:
    """Return words with a small first letter, to go on a sentence with.

    Examples
    --------
    >>> lower("Vents by the card, cabinet at 94 °C")
    'vents by the card, cabinet at 94 °C'
    """
    return words[:1].lower() + words[1:]
