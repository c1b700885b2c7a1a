"""Lesson 5, reading a record: may this batch go on?"""

from dataclasses import dataclass
from typing import Any

from kit.exercises.engine import exercise
from kit.exercises.engine.fish import any_fish
from kit.exercises.engine.whose_rule import cook_card
from kit.marking.authored import option
from kit.marking.build import recommend
from kit.marking.draw import Draw
from kit.marking.model import Decision, Picture, Question
from kit.rules import Profile

_MET = "The record shows the limit held for long enough"
_BROKEN = "The hold was broken, and no stretch is long enough"
_GAP = "Readings are missing inside the hold, so it is not proven"
_NEAR = "The core is so near the limit that the probe's error decides"
_SHORT = "The limit was missed, and the fish has stood warm too long to put it right"
_TIME = "The fish was in the cabinet for the usual time"
_LOOK = "The fish looks and smells well cooked"

_WRONG_REASON = {
    _MET: "Look again. Does the record show the limit, without a break, for the whole time?",
    _BROKEN: "Look again. Does the core fall below the dashed line inside the hold?",
    _GAP: "Look again. Is there a reading for every few minutes of the hold?",
    _NEAR: "Look again. How far is the core from the limit, and how much may the probe be off?",
    _SHORT: "Look again at what the record and the note say. Was the limit missed for good?",
    _TIME: "Time in the cabinet proves nothing about the core.",
    _LOOK: "Looks and smell prove nothing about the core.",
}


@dataclass(frozen=True)
class _RecordCase:
    """One kind of record: what is right, why, and what to say to each wrong decision."""

    name: str
    decision: Decision
    reason: str
    wrong: dict[Decision, str]
    note: str = ""


_UNPROVEN = "No proof, no pass. Hold the batch and report it. You never pass an unproven batch."
_NOT_YET_REJECT = (
    "Rejecting is not needed yet. Hold it and report: it may still be put right, and Chef decides."
)
_CASES = (
    _RecordCase(
        "met",
        "go on",
        _MET,
        {
            "hold": "The record does prove the limit. Read the dashed line and the minutes once more.",
            "reject": "The record does prove the limit. There is no reason to throw this batch away.",
        },
    ),
    _RecordCase(
        "broken",
        "hold",
        _BROKEN,
        {"go on": _UNPROVEN, "reject": _NOT_YET_REJECT},
        "It is still in the cabinet.",
    ),
    _RecordCase(
        "gap", "hold", _GAP, {"go on": _UNPROVEN, "reject": _NOT_YET_REJECT}, "It is still in the cabinet."
    ),
    _RecordCase(
        "near", "hold", _NEAR, {"go on": _UNPROVEN, "reject": _NOT_YET_REJECT}, "It is still in the cabinet."
    ),
    _RecordCase(
        "short",
        "reject",
        _SHORT,
        {
            "go on": "The limit was missed. A batch that missed its limit never goes on.",
            "hold": "Holding keeps a batch that may still be put right. This one stood warm for hours: "
            "poisons may be in it, and heat does not remove them. Recommend to reject it.",
        },
        "Then it was taken out and stood on a bench at {bench} °C for {hours} h.",
    ),
)


@exercise("May this batch go on?", criteria=["COK-K04"], prepares_for=["COK-P05"], version=4)
def may_this_batch_go_on(draw: Draw, profile: Profile) -> Question:
    """Read a drawn record against a card of the kitchen's own rules, and recommend."""
    case = draw.pick(_CASES)
    card = cook_card(draw, profile, least_min=8)
    limit_c, need = card.core_c, int(card.minutes)
    fish, kg = any_fish(draw), draw.step(6, 18, 1)
    time, core = _record(draw, case.name, limit_c, need)
    note = case.note.format(bench=draw.step(22, 26, 1), hours=draw.step(4, 6, 1))
    data = {"time_min": time, "core_c": core, "limit_c": limit_c, "y_from_c": limit_c - 10}
    words = _words(time, core, limit_c)
    reasons = [case.reason, *draw.sample([each for each in _WRONG_REASON if each != case.reason], 4)]
    return recommend(
        draw,
        f"{kg} kg of {fish}. The card says: {card.words}. {card.whose} The probe was in the core of the "
        f"thickest piece, and its stated error is 0.5 °C. It logs every 2 min. {note} Read the record. What "
        "do you recommend to Chef, and why?",
        case.decision,
        [option(text, right=text == case.reason, says=_WRONG_REASON[text]) for text in reasons],
        case.wrong,
        picture=Picture("cook-record", data, words),
        hints=[
            "Find the dashed line. How long is the core above it without a break?",
            "Is each minute of the hold proven, and by more than the probe's error?",
        ],
        worked=f"{case.reason}. So the recommendation is: "
        + {"go on": "fit to go on", "hold": "hold and report", "reject": "reject"}[case.decision]
        + ". You recommend. A competent person decides.",
    )


def _record(draw: Draw, case: str, limit_c: float, need: int) -> tuple[list[float], list[float | None]]:
    """Return a record every 2 min: the come-up, and then what this case does around the limit."""
    come_up = draw.step(36, 48, 2)
    hold = need + draw.step(6, 10, 2)
    time = [float(minute) for minute in range(0, come_up + hold + 1, 2)]
    lift, middle = draw.step(1.2, 1.8, 0.1), come_up + 2 * (hold // 4)
    gap_min = draw.step(12, 16, 2)
    core: list[float | None] = []
    for minute in time:
        wobble = draw.step(-0.2, 0.2, 0.1)
        if minute < come_up:
            most = limit_c - (2.2 if case == "short" else 0.8)
            value: Any = min(limit_c - 58 * ((come_up - minute) / come_up) ** 1.5, most)
        elif case == "broken" and abs(minute - middle) <= 4:
            value = limit_c - 1.6 + wobble
        elif case == "gap" and abs(minute - middle) <= gap_min / 2 - 2:
            value = None
        elif case == "near":
            value = limit_c + 0.2 + wobble / 2
        elif case == "short":
            value = limit_c - 2.2 + wobble
        else:
            value = limit_c + lift + wobble
        core.append(None if value is None else round(value, 1))
    return time, core


def _words(time: list[float], core: list[float | None], limit_c: float) -> str:
    told = "; ".join(
        f"{value:g} °C at {minute:g} min" if value is not None else f"no reading at {minute:g} min"
        for minute, value in zip(time, core, strict=True)
        if value is None or value > limit_c - 10
    )
    return f"A core record every 2 min. A dashed line marks {limit_c:g} °C. {told}."
