"""The whole fillet of a day: what salt, air, heat and cold do from place to place, and what is left."""

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kit.basics.errors import BadData
from kit.process.day import BatchCard, BatchDay
from kit.process.physics import species as fish
from kit.process.physics.brine import SATURATED_PCT
from kit.process.physics.faces import Face
from kit.process.physics.outline import Outline, outline
from kit.process.steps import shed, strips
from kit.process.steps.chill import CHILLERS
from kit.process.steps.load import DOOR_C
from kit.process.steps.strips import Strips
from kit.process.steps.weighings import WATER_PER_SALT

Array = NDArray[np.float64]

DRIEST, MOST_JUICE = 0.8, 0.9
"""No strip gives up more of its water to the air, nor more of what is left as juice; ours, no source. [1]"""

NOTE = (
    "A map is of strips that know nothing of each other. Its outline is drawn from memory: measure your own "
    "fish. The thickest place is still the one to probe, and to send to the laboratory."
)


@dataclass(frozen=True, eq=False)
class WholeFillet:
    """What a day did to a whole fillet. Arrays run over the strips, thinnest first.

    Parameters
    ----------
    outline : Outline
        The fillet from above.
    cure_loss_pct, dry_loss_pct, evaporation_pct, juice_pct, chill_loss_pct : float
        Weight lost in cure, rinse and rest, with what drips off by itself [% of the raw fillet]; in the
        drying, by evaporation in the cabinet, as juice, in the chiller [% of what went into that step].
    yield_pct : float
        Weight after chilling. [% of the raw fillet]
    wps_pct, salt_pct, moisture_pct : array of shape (k,)
        Of the finished fish: salt in its water, salt, water. [%]
    dry_loss_by_strip_pct, left_pct : array of shape (k,)
        Lost in the drying [% of what went in]; left in the end [% of raw].
    time_min : array of shape (m,)
        Minutes since the fish went into the cabinet. [min]
    core_c : array of shape (m, k)
        Middle of each strip. [°C]
    """

    outline: Outline
    cure_loss_pct: float
    dry_loss_pct: float
    evaporation_pct: float
    juice_pct: float
    chill_loss_pct: float
    yield_pct: float
    wps_pct: Array
    salt_pct: Array
    moisture_pct: Array
    dry_loss_by_strip_pct: Array
    left_pct: Array
    time_min: Array
    core_c: Array
    note: str = NOTE

    @property
    def cook_loss_pct(self) -> float:
        """Weight lost in the cabinet in all. [% of what went in]"""
        return self.evaporation_pct + self.juice_pct

    @property
    def peak_core_c(self) -> Array:
        """Highest temperature in the middle of each strip. [°C]"""
        return np.asarray(self.core_c.max(axis=0))

    def minutes_at(self, temp_c: float) -> Array:
        """Return how long the middle of each strip was at a temperature or above, in all. [min]"""
        step = np.diff(self.time_min)[:, None]
        return np.asarray((step * (self.core_c[1:] >= temp_c)).sum(axis=0))


def whole_fillet(record: BatchDay) -> WholeFillet:
    """Return what a day did to its whole fillet, strip by strip, all strips at once.

    The loin is the section that the day itself follows. The other strips leave the cabinet and the chiller
    when it does, so thin ones are hotter for longer, saltier, and drier.

    Parameters
    ----------
    record : BatchDay
        The day of the loin.

    Raises
    ------
    BadData
        If the kit knows no outline for this fish.

    Notes
    -----
    Source: ``memory-sizes`` for the outline; ``nofima-drip`` for what drips off; else as the steps. What the
    chiller does to a strip that is cold already is in; what passes sideways is not.

    Examples
    --------
    >>> from kit.process.day import run
    >>> side = whole_fillet(run(BatchCard(64, 3, species="salmon, farmed", thickness_mm=30, mass_g=1400)))
    >>> round(side.outline.area_cm2), bool(side.wps_pct[0] > 2 * side.wps_pct[-1])
    (906, True)
    """
    done = record.done
    shape = fish.species(done.species).shape
    if not shape:
        raise BadData("whole fillet", f"there is no outline of {done.species}", "salmon, trout or char")
    flesh = fish.flesh(done.species, season=done.season, state_name=done.state)
    seen_from_above = outline(shape, done.thickness_mm, done.mass_g, flesh)
    raw = strips.raw_strips(seen_from_above.strips_mm, flesh, done.fish_c, skin_on=done.skin_on)
    dripped = raw.replace(water_g_100g=raw.water_g_100g - fish.state(fish.FRESH).drip_pct)
    rested = _in_the_cold(dripped, done)
    dried = strips.dry(rested, done.dry_h, done.draught)
    return _in_the_heat(record, seen_from_above, rested, dried)


def _in_the_cold(raw: Strips, done: BatchCard) -> Strips:
    most = None if done.salt_g is None else 100 * done.salt_g / done.mass_g
    held = SATURATED_PCT / 100
    cured = strips.salt(
        raw, done.cure_h, done.cure_c, strength=held, water_per_salt=WATER_PER_SALT, most_g_100g=most
    )
    rinsed = strips.salt(cured, done.rinse_min / 60, 8.0, strength=0.0, water_per_salt=1.0)
    return strips.salt(rinsed, done.rest_h, done.rest_c, strength=None, water_per_salt=WATER_PER_SALT)


def _stays(record: BatchDay) -> Iterator[tuple[float, tuple[Face, Face], bool]]:
    """Yield minutes, the two faces, and whether it is the chiller: the loin's way from cabinet to cold."""
    piece, plan = record.dry.fillet, record.cook.plan
    opened = dataclasses.replace(plan, room_c=DOOR_C, room_h_w_m2_k=plan.h_w_m2_k)
    since = 0.0
    for phase in record.cook.trace.phases:
        if phase.minutes > 0:
            here = opened if phase.name == "door" else plan
            yield (
                phase.minutes,
                here.faces("carry-over" if phase.name == "door" else phase.name, piece, since),
                False,
            )
            since += phase.minutes
    chiller = CHILLERS[record.done.chiller]
    for phase in record.chill.trace.phases:
        if phase.minutes > 0 and phase.name == "chill":
            told = record.chill.trace.during("chill").air_c
            air_c = chiller.air_c if told is None else float(np.mean(told))
            yield phase.minutes, chiller.faces(max(air_c, chiller.air_c)), True
        elif phase.minutes > 0:
            room = Face(20.0, 60.0, 6.0, chiller.wetness)
            yield phase.minutes, (room, dataclasses.replace(room, wetness=0.0)), True


def _in_the_heat(record: BatchDay, above: Outline, rested: Strips, dried: Strips) -> WholeFillet:
    now, at = dried, 0.0
    times, cores = [np.zeros(1)], [dried.temp_c[None, :, dried.temp_c.shape[1] // 2]]
    out_of_cabinet = dried
    for minutes, faces, in_chiller in _stays(record):
        rows = np.append(np.arange(0.0, max(minutes - 0.5, 0.1 * minutes), 2.0), minutes)
        now, core = strips.heat(now, faces, rows)
        times.append(at + rows[1:])
        cores.append(core[1:])
        at += minutes
        out_of_cabinet = out_of_cabinet if in_chiller else now
    return _weighed(
        record, above, (rested, dried, out_of_cabinet, now), np.concatenate(times), np.vstack(cores)
    )


def _weighed(
    record: BatchDay, above: Outline, on_the_way: tuple[Strips, ...], time_min: Array, core_c: Array
) -> WholeFillet:
    rested, dried, cooked, cold = on_the_way
    flesh, share = rested.composition, rested.thickness_mm / rested.thickness_mm.sum()
    left = [flesh.dry_pct + each.mean(each.salt_g_100g + each.water_g_100g) for each in (rested, dried)]
    salt, water = dried.mean(dried.salt_g_100g), dried.mean(dried.water_g_100g)
    air_1, air_2 = (100 * each.lost_g_m2.sum(axis=1) / each.raw_g_m2 for each in (cooked, cold))
    given = record.cook.plan.juice_factor * cooked.mean(shed.juice(cooked.hottest_c)) * left[1] / 100
    air_1 = np.minimum(air_1, DRIEST * water)
    juice = np.minimum(given, MOST_JUICE * (water + salt - air_1))
    strength = salt / np.maximum(salt + water - air_1, 1e-9)
    air_2 = np.minimum(air_2, air_1 + 0.5 * np.maximum(water - air_1 - juice, 0.0))
    salt_end = salt - juice * strength
    water_end = water - juice * (1 - strength) - air_2
    end = left[1] - juice - air_2
    into, at_dry = float(share @ left[1]), float(share @ left[0])
    out = into - float(share @ (air_1 + juice))
    dissolved = np.minimum(salt_end, water_end * SATURATED_PCT / (100 - SATURATED_PCT))
    return WholeFillet(
        outline=above,
        cure_loss_pct=100 - at_dry,
        dry_loss_pct=100 * (1 - into / at_dry),
        evaporation_pct=100 * float(share @ air_1) / into,
        juice_pct=100 * float(share @ juice) / into,
        chill_loss_pct=100 * float(share @ (air_2 - air_1)) / out,
        yield_pct=float(share @ end),
        wps_pct=100 * dissolved / (dissolved + water_end),
        salt_pct=100 * salt_end / end,
        moisture_pct=100 * water_end / end,
        dry_loss_by_strip_pct=100 * (1 - left[1] / left[0]),
        left_pct=end,
        time_min=time_min,
        core_c=core_c,
    )
