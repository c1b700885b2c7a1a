"""Lesson 10, trying out a kiln: what its first measurements say, before any fish goes in."""

from kit.exercises.engine import exercise
from kit.exercises.engine.cache import simulated
from kit.marking.authored import Joined
from kit.marking.build import match, number
from kit.marking.draw import Draw
from kit.marking.model import Question, Slip
from kit.process.steps import fillet, kiln

_RUN = "As it should be: write it down"
_MEND = "Put right and measured again, before any fish"
_STOP = "No fire and nobody near: stop, tell Chef"

_FOUND = {
    _RUN: (
        "Set to 70 °C, nine places show 68 to 72 °C; the card allows 3 °C",
        "With full racks, nine places show 69 to 71 °C; the card allows 3 °C",
        "The alarm sounds in its test gas, within the time of its card",
        "A strip of paper is held fast all round the shut door",
        "With the vent a third open, all smoke goes up the flue",
        "The display shows 70.0 °C, the reference beside it 70.4 °C; allowed: 1 °C",
        "The emergency stop cuts fan, heat and lighter at once",
        "Two full loads of water trays heat up within 4 min of each other; allowed: 10 min",
    ),
    _MEND: (
        "Set to 70 °C, nine places show 63 to 74 °C; the card allows 3 °C",
        "With full racks, the back corner stays 6 °C cooler; the card allows 3 °C",
        "The display shows 70 °C, the reference beside it 65 °C; allowed: 1 °C",
        "The map was made with empty racks; nobody has measured a full load",
        "The racks touch the back wall, so no air passes behind them",
        "Nobody wrote down where the nine probes stood",
        "The door thermometer has never been held against a reference",
        "With full racks, the fan moves no air over the lowest one",
    ),
    _STOP: (
        "The alarm stays silent in its test gas",
        "Smoke comes out into the room while the door is shut",
        "The flue is blocked with tar, and smoke hangs under the ceiling",
        "The burner smells of gas before it is lit",
        "The emergency stop does not cut the heat",
        "The alarm beside the kiln shows 60 ppm of carbon monoxide, and rises",
        "The hood's fan turns the wrong way and pushes smoke into the kitchen",
        "The cable of the lighter is bare where hands reach it",
    ),
}
_SAYS = {
    (_RUN, _MEND): "This meets its card, or does what it must. Nothing is to be put right: write it down.",
    (_RUN, _STOP): "Nobody is in danger here. Stop for gas, smoke, fire and bare cables.",
    (_MEND, _RUN): "This misses its card, or nobody knows it. Fish on that rack may stay undercooked.",
    (_MEND, _STOP): "There is no gas, smoke or bare cable here. Put it right and measure again.",
    (_STOP, _RUN): "This can kill people. No fire until a competent person has put it right.",
    (_STOP, _MEND): "People come first: stop, out, tell Chef. A competent person puts this right, not you.",
}


@exercise("Before its first fish", criteria=["HAS-K02"])
def before_the_first_fish(draw: Draw) -> Question:
    """Join what was found on a new kiln with what follows from it."""
    kinds = draw.shuffle([_RUN, _MEND, _STOP, _STOP, draw.pick([_RUN, _MEND])])
    pairs: dict[str, str] = {}
    for kind in kinds:
        pairs[draw.pick([one for one in _FOUND[kind] if one not in pairs])] = kind
    return match(
        draw,
        "A new kiln is tried out, with no fish in it. Join each finding with what follows.",
        pairs,
        [
            Joined(found, wrong, _SAYS[kind, wrong], f"{place}: {wrong}")
            for place, (found, kind) in enumerate(pairs.items(), start=1)
            for wrong in _FOUND
            if wrong != kind
        ],
        must=[found for found, kind in pairs.items() if kind == _STOP],
        hints=[
            "Could somebody be poisoned, burnt or shocked by it?",
            "If not: is there a number, and does it meet its card?",
        ],
        worked=" ".join(f"{found}: {kind[0].lower()}{kind[1:]}." for found, kind in pairs.items())
        + " Whoever fitted the kiln, and a competent person, say that it may run.",
    )


_PLACES = ("top", "second", "third", "bottom")
_EMPTY_KG = 0.01


@simulated
def air_map(set_c: float, load_kg: float, circulation_m3_h: float) -> tuple[tuple[float, ...], ...]:
    """Return the air on four racks, from the top down, after 10, 15 and 20 min in the heat. [°C]"""
    cabinet = kiln.Kiln(racks=len(_PLACES), circulation_m3_h=circulation_m3_h, heater_w=9000.0)
    piece = fillet.raw("salmon, farmed", 26.0, 200.0, 4.0)
    found = kiln.run(cabinet, piece, load_kg, [kiln.KilnStage("cook", set_c, 20.0)])
    return tuple(tuple(round(float(each), 1) for each in found.at(minute)[0]) for minute in _MAP_MIN)


_MAP_MIN = (10, 15, 20)


@exercise("The air at the coolest rack", criteria=["REC-K07"], prepares_for=["REC-P04"], model=True)
def air_at_the_coolest_rack(draw: Draw) -> Question:
    """Read a map of a full kiln, take off what the loggers show too much, and find the coolest place."""
    set_c, load_kg = draw.pick([70.0, 75.0, 80.0]), draw.pick([20.0, 25.0, 30.0])
    fan, moment = draw.pick([700.0, 1000.0, 1400.0]), draw.pick(range(len(_MAP_MIN)))
    high = draw.pick([-1, 1]) * draw.step(0.3, 0.9, 0.1)
    full, empty = (
        [round(each + high, 1) for each in air_map(set_c, kg, fan)[moment]] for kg in (load_kg, _EMPTY_KG)
    )
    truth = round(set_c - (min(full) - high), 1)
    return number(
        f"A new kiln is tried out, set to {set_c:g} °C. The same loggers lay on its four racks twice, first "
        f"with no fish, then with {load_kg:g} kg of salmon. After {_MAP_MIN[moment]} min they showed, with "
        f"no fish: {_told(empty)}; with fish: {_told(full)}. A check says that they all show "
        f"{abs(high):.1f} °C too {'much' if high > 0 else 'little'}. By how many °C is the air at "
        "the coolest rack below the setting, once the kiln is full?",
        truth,
        "°C",
        abs_tol=0.06,
        difference=True,
        decimals=1,
        slips=[
            Slip(
                "read the empty map",
                round(set_c - (min(empty) - high), 1),
                "You read the kiln with no fish. Cold fish takes heat from the air: a full load shows it.",
            ),
            Slip(
                "left out the error",
                round(set_c - min(full), 1),
                f"The loggers show {abs(high):.1f} °C too {'much' if high > 0 else 'little'}. Put their "
                "readings right first.",
            ),
            Slip(
                "corrected the wrong way",
                round(set_c - (min(full) + high), 1),
                "You moved the readings the wrong way. What shows too much is brought down; what shows too "
                "little is brought up.",
            ),
            Slip(
                "from rack to rack",
                round(max(full) - min(full), 1),
                "That is how far the racks lie apart. The card sets its limit from the setting.",
            ),
            Slip(
                "the warmest rack",
                round(set_c - (max(full) - high), 1),
                "That is the warmest rack. The coolest one decides: there the fish is cooked last.",
            ),
        ],
        hints=[
            "Which line is the full kiln, and which rack in it is the coolest?",
            "Put its reading right first. Then take it off the setting.",
        ],
        worked=f"Full, the coolest rack shows {min(full):.1f} °C, so it is at {min(full) - high:.1f} °C. "
        f"{set_c:g} − {min(full) - high:.1f} = {truth:.1f} °C. There the core is probed, and a competent "
        "person says whether the kiln may run so.",
    )


def _told(readings: list[float]) -> str:
    return ", ".join(f"{place} {each:.1f}" for place, each in zip(_PLACES, readings, strict=True))
