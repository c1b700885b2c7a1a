"""The card of a batch: every setting of its day."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from typing import Any

from kit.basics.errors import UnknownName, check_range
from kit.process.physics import species as fish
from kit.process.physics.draught import Draught
from kit.process.physics.numeric import check_whole
from kit.process.steps.kiln import Kiln


@dataclass(frozen=True)
class BatchCard:
    """What the card of the batch says: every setting of the day. The two targets have no default.

    Parameters
    ----------
    core_target_c, chill_target_c : float
        From the limits the kitchen works to: core in the cook, core after chilling. [°C]
    species, season, state, thickness_mm, mass_g, fish_c, skin_on
        The fish: a name, a season and a state of ``species.flesh``, FULL thickness [mm], mass [g],
        temperature [°C], skin.
    pin_bones, pull, find, looks
        Bones in a fillet, share pulled, chance that a look finds one, number of looks.
    cure_h, cure_c, salt_g
        Hours in dry salt, temperature of the room [°C], salt for one fillet (plenty if None) [g].
    rinse_min, rest_h, rest_c, dry_h, draught
        Rinse [min], rest [h, °C], drying [h] and its air.
    wet_rack : bool
        The fish goes into the cabinet dripping: its surface counts as wet.
    wood_name, chips_moisture_pct, tray_area_cm2, heater_w, smoulder_c
        Wood, its moisture (dry basis) [%], the chip tray [cm²], its heater [W], how hot chips smoulder [°C].
    smoke_min, cabinet_c, hold_min, max_cook_min, cabinet_h_w_m2_k, probe_depth
        As in ``cook.CabinetPlan``.
    rh_pct : float, optional
        Humidity that a steam maker holds. Nobody has one unasked: if not given, the air is that which a plain
        small kiln and its load make, ``kiln.usual_air``. [%]
    vents : float
        How far the vents of that kiln are open in the cook, 0 to 1. [1]
    hold_c : float, optional
        Cabinet while holding [°C]; if not given, turned down to where this fish holds: ``hold.hold_air``.
    kiln, load_kg
        A ``kiln.Kiln`` of your own: then its air is followed with this very fish, and ``rh_pct`` asks
        for steam where it can make some. So many kg of fish are in it, or in the usual one [kg].
    doors : tuple of (start, length)
        Openings in the cook. [min]
    others_mm : tuple of float
        Thickness of other pieces in the load that leave when the probed one does. [mm]
    wait_min, chiller, chill_load_kg, chill_power_w
        Minutes to the chiller; a name of ``chill.CHILLERS``; its load [kg] and power [W].
    store_days, store_c, ph
        Days in the store, its temperature [°C], pH of the fish.
    starts_h : float
        When the cure starts, hours after midnight.
    """

    core_target_c: float
    chill_target_c: float
    species: str = "char, farmed"
    season: str = fish.YEAR
    state: str = fish.FRESH
    thickness_mm: float = 26.0
    mass_g: float = 210.0
    fish_c: float = 3.0
    skin_on: bool = True
    pin_bones: int = 24
    pull: float = 0.97
    find: float = 0.8
    looks: int = 2
    cure_h: float = 6.0
    cure_c: float = 4.0
    salt_g: float | None = None
    rinse_min: float = 2.0
    rest_h: float = 1.5
    rest_c: float = 3.0
    dry_h: float = 10.0
    draught: Draught = field(default_factory=lambda: Draught(3.0, 72.0, 2.0))
    wet_rack: bool = False
    wood_name: str = "alder"
    chips_moisture_pct: float = 12.0
    tray_area_cm2: float = 80.0
    heater_w: float = 500.0
    smoulder_c: float = 400.0
    smoke_min: float = 25.0
    cabinet_c: float = 80.0
    rh_pct: float | None = None
    vents: float = 0.0
    hold_min: float = 32.0
    hold_c: float | None = None
    max_cook_min: float = 180.0
    cabinet_h_w_m2_k: float = 20.0
    probe_depth: float = 0.5
    kiln: Kiln | None = None
    load_kg: float = 20.0
    doors: tuple[tuple[float, float], ...] = ()
    others_mm: tuple[float, ...] = ()
    wait_min: float = 10.0
    chiller: str = "blast"
    chill_load_kg: float = 0.0
    chill_power_w: float = 0.0
    store_days: float = 5.0
    store_c: float = 2.5
    ph: float = 6.1
    starts_h: float = 14.0

    def __post_init__(self) -> None:
        check_range("starts_h", self.starts_h, at_least=0, at_most=24)
        check_range("heater_w", self.heater_w, above=0, at_most=20_000)
        check_range("tray_area_cm2", self.tray_area_cm2, above=0, at_most=100_000)
        check_range("wait_min", self.wait_min, at_least=0, at_most=600)
        check_range("chips_moisture_pct", self.chips_moisture_pct, at_least=0, at_most=150)
        check_range("load_kg", self.load_kg, above=0, at_most=2000)
        check_range("vents", self.vents, at_least=0, at_most=1)
        check_whole("pin_bones", self.pin_bones, at_least=0, at_most=60)
        for thickness in self.others_mm:
            check_range("others_mm", thickness, above=0, at_most=150)

    def replace(self, **changes: Any) -> BatchCard:
        """Return a copy with some settings changed."""
        known = [each.name for each in dataclasses.fields(BatchCard)]
        for name in changes:
            if name not in known:
                raise UnknownName("setting of a day", name, known)
        return dataclasses.replace(self, **changes)
