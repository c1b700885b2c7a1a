"""What a guest or a cook finds on a finished piece, and the one setting of the day that made it.

Each fault is made by the same day run, with one setting wrong. What a piece looks like is trade knowledge;
what the records then show comes out of the run. Blood comes with the fish: no setting of the day makes it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from kit.basics.errors import UnknownName
from kit.process import day
from kit.process.day import BatchCard, BatchDay
from kit.process.physics.draught import Draught


@dataclass(frozen=True)
class PieceRecord:
    """The figures of one day by which faults of the piece are told apart.

    Parameters
    ----------
    door_c : float
        Core of the raw fish when it came in. [°C]
    state : str
        ``fresh`` or ``thawed``.
    salt_wps_pct : float
        Salt in the water of the flesh before the smoke. [%]
    drying_pct : float
        Weight lost in the drying. [%]
    glow_c : float
        How hot the chips smouldered. [°C]
    face_c : float
        The hottest that the flesh face became. [°C]
    juice_pct : float
        Juice cooked out. [% of what went into the cabinet]
    """

    door_c: float
    state: str
    salt_wps_pct: float
    drying_pct: float
    glow_c: float
    face_c: float
    juice_pct: float


def piece_record(record: BatchDay) -> PieceRecord:
    """Return the figures of a day by which faults of the piece are told apart.

    Examples
    --------
    >>> found = piece_record(day.run(BatchCard(core_target_c=64, chill_target_c=3)))
    >>> found.state, found.door_c, 2 < found.salt_wps_pct < 3
    ('fresh', 3.0, True)
    """
    surface = record.cook.trace.surface_c
    return PieceRecord(
        record.done.fish_c,
        record.done.state,
        record.rest.fillet.mean_wps_pct,
        record.dry.loss_pct,
        record.done.smoulder_c,
        float("nan") if surface is None else float(np.nanmax(surface)),
        record.cook.cook_out_pct,
    )


@dataclass(frozen=True)
class ProductFault:
    """A fault of a finished piece.

    Parameters
    ----------
    name : str
        What the trade calls it.
    looks, told : str
        What is seen on it; how somebody who eats or cuts it says it.
    cause : str
        What was done otherwise than the card.
    mend : str
        What to change the next time.
    change : callable
        Card to what is really done; it changes one setting, or none where the fish brought it.
    shows : callable
        Whether the figures of a day carry its mark, held against those of the card.
    source : str
        Where the link of look and cause is from.
    """

    name: str
    looks: str
    told: str
    cause: str
    mend: str
    change: Callable[[BatchCard], BatchCard]
    shows: Callable[[PieceRecord, PieceRecord], bool]
    source: str = "common practice, no source"


DOOR_C, HOTTER_FACE_C, GLOW_C = 5.0, 3.0, 450.0
"""Warmer fish at the door, a face so much hotter than the card's, hotter chips; ours, no source. [°C]"""

_ALL = (
    ProductFault(
        "gaping",
        "The flakes stand apart, with open slits between them",
        "It falls to pieces when it is sliced",
        "It had been frozen, and was thawed",
        "Buy it fresh, or thaw it slowly in the cold, and lift it flat",
        lambda card: card.replace(state="thawed"),
        lambda found, _: found.state == "thawed",
    ),
    ProductFault(
        "soft belly",
        "The belly is soft and torn, and its lining comes away",
        "The thin part tears, and ribs show through",
        "It came in too warm",
        "Probe at the door, and refuse fish that is too warm",
        lambda card: card.replace(fish_c=14.0),
        lambda found, _: found.door_c > DOOR_C,
    ),
    ProductFault(
        "salt burn",
        "The face is hard, with white salt on it, and tastes of salt",
        "A guest asks for water after one bite",
        "It lay in the salt three times too long",
        "Set a timer for the cure, and weigh the salt",
        lambda card: card.replace(cure_h=card.cure_h * 3),
        lambda found, card: found.salt_wps_pct > 1.5 * card.salt_wps_pct,
        "fao-torry-14",
    ),
    ProductFault(
        "streaks",
        "Dark runs and pale drips cross the face",
        "It looks as if rain had run down it",
        "The fans stood still: it went in wet",
        "Dry to a set pellicle, and check the weight loss first",
        lambda card: card.replace(draught=_still(card.draught)),
        lambda found, card: found.drying_pct < 0.5 * card.drying_pct,
    ),
    ProductFault(
        "crust",
        "A hard, dark skin lies on flesh that is wet below",
        "The knife cracks the top, and water runs out",
        "The drying air was too warm and too dry",
        "Cooler, moister air in the drying, and stop at the weight loss of the card",
        lambda card: card.replace(draught=Draught(12.0, 35.0, 3.0)),
        lambda found, card: found.drying_pct > 2.5 * card.drying_pct,
    ),
    ProductFault(
        "tarry smoke",
        "It is near black, and tastes bitter and of tar",
        "It bites on the tongue, and the taste stays",
        "The chips glowed too hot",
        "Less air to the tray, and a look at the glow",
        lambda card: card.replace(smoulder_c=495.0),
        lambda found, _: found.glow_c > GLOW_C,
    ),
    ProductFault(
        "white albumin",
        "White beads and a white film have set on the face",
        "It looks as if egg white had set on it",
        "The cabinet was too hot",
        "Lower the cabinet, and climb in steps",
        lambda card: card.replace(cabinet_c=98.0),
        lambda found, card: found.face_c > card.face_c + HOTTER_FACE_C,
    ),
    ProductFault(
        "blood spots",
        "Dark red spots sit in the flesh and along the backbone",
        "Red marks stay when all the rest is cooked",
        "Bruised, badly bled or poorly washed out",
        "Wash out the blood along the backbone, cut spots away, tell the supplier",
        lambda card: card,
        lambda _found, _card: False,
        "fao-torry-14",
    ),
)

PRODUCT_FAULTS: Mapping[str, ProductFault] = MappingProxyType({each.name: each for each in _ALL})
"""Every fault of a finished piece by name."""


def _still(air: Draught) -> Draught:
    return Draught(air.air_c, min(97.0, air.rh_pct + 22), 0.1, air.length_m, 1.0, air.rack)


def product_fault(name: str) -> ProductFault:
    """Return the fault of that name.

    Raises
    ------
    UnknownName
        If there is none.

    Examples
    --------
    >>> product_fault("streaks").cause
    'The fans stood still: it went in wet'
    """
    if name not in PRODUCT_FAULTS:
        raise UnknownName("fault of a piece", name, PRODUCT_FAULTS)
    return PRODUCT_FAULTS[name]


def made_with(card: BatchCard, name: str = "") -> BatchDay:
    """Return the day of a card with the one setting wrong that makes this fault; without a name, as meant.

    Examples
    --------
    >>> card = BatchCard(core_target_c=64, chill_target_c=3)
    >>> bad = piece_record(made_with(card, "crust"))
    >>> causes_found(bad, piece_record(made_with(card)))
    ('crust',)
    """
    return day.run(card, product_fault(name).change(card) if name else card)


def causes_found(found: PieceRecord, card: PieceRecord) -> tuple[str, ...]:
    """Return the faults whose cause the figures of a day carry; none where all is as on the card.

    Parameters
    ----------
    found, card : PieceRecord
        The day as it went, and the same day as it was meant.

    Examples
    --------
    >>> meant = piece_record(made_with(BatchCard(core_target_c=64, chill_target_c=3)))
    >>> causes_found(meant, meant)
    ()
    """
    return tuple(name for name, each in PRODUCT_FAULTS.items() if each.shows(found, card))
