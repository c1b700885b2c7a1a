"""Lesson 10, trying out a kiln: what its first measurements say, before any fish goes in."""

from kit.exercises.engine import exercise
from kit.marking.authored import Joined
from kit.marking.build import match
from kit.marking.draw import Draw
from kit.marking.model import Question

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
