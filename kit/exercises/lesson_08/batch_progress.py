"""A batch of lesson 8's whole-batch game on its way: where it stands, and what a remedy does to it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from kit.exercises.lesson_08.batch_run import (
    LOOK_MIN,
    WET,
    Changes,
    DrawnBatch,
    Readings,
    done_card,
    findings,
    read,
    run,
)
from kit.exercises.lesson_08.batch_story import FINDINGS, HARMS, STAGES, Stage
from kit.process import day as days
from kit.process.day import BatchCard, BatchDay
from kit.process.physics.draught import Draught

MOST_REMEDIES = 2
"""How often a stage may be put right before it must be decided."""


@dataclass(frozen=True)
class StageMark:
    """One decision: what was decided and why, what the evidence called for, and what it earned.

    ``found`` is what the evidence showed, as keys of `batch_08_story.FINDINGS`; ``own`` is what of it came of
    the apprentice's settings and remedies. ``unsafe`` says that a limit missed or not proven was passed, or a
    record bent. ``for_reason`` is what of the points the reason earned.
    """

    stage: str
    title: str
    decided: str
    called_for: str
    points: float
    of: float
    why: str
    found: tuple[str, ...] = ()
    own: tuple[str, ...] = ()
    unsafe: bool = False
    decision: str = ""
    for_reason: float = 0.0


@dataclass(frozen=True)
class Play:
    """A batch on its way. Every function below returns a new one.

    ``phase`` is ``set``, ``decide``, ``recommend`` or ``end``. ``tried`` counts the remedies at this stage.
    ``lost_min`` is time that a remedy threw away and that the day itself does not count. ``stopped`` is the
    finding for which Chef ended the batch, if it was ended. ``plan`` holds the forecasts, if there are any.
    ``before`` is the batch as it stood at each decision, in the order of ``marks``.
    """

    batch: DrawnBatch
    number: int = 0
    phase: str = "set"
    settings: tuple[tuple[str, Any], ...] = ()
    remedies: tuple[tuple[str, Any], ...] = ()
    tried: int = 0
    lost_min: float = 0.0
    marks: tuple[StageMark, ...] = ()
    news: tuple[str, ...] = ()
    stopped: str = ""
    chef: str = ""
    plan: tuple[tuple[str, float | str], ...] = ()
    before: tuple[Play, ...] = field(default=(), compare=False, repr=False)

    @property
    def stage(self) -> Stage:
        """The stage it is at; the last one once it is over."""
        return STAGES[min(self.number, len(STAGES) - 1)]

    @property
    def set_to(self) -> dict[str, Any]:
        """The settings so far, with the card's for the stages to come."""
        card = {"life_days": self.batch.life_days, "pack": self.batch.pack, "lab": "sent"}
        return {"order_kg": 8.0, **card, **dict(self.settings)}

    @property
    def done(self) -> BatchCard:
        """What is really done, as far as it is settled."""
        return done_card(self.batch, dict(self.settings), self.remedies)

    @property
    def day(self) -> BatchDay:
        """The day as it goes with the settings so far."""
        return run(self.batch.meant, self.done)

    @property
    def seen(self) -> Readings:
        """The readings of this stage."""
        return read(self.batch, self.day, self.stage.key, self.set_to, self.tried)

    @property
    def found(self) -> tuple[str, ...]:
        """What these readings show, the worst first."""
        return findings(self.batch, self.stage.key, self.seen)


def own_doing(play: Play) -> tuple[str, ...]:
    """Return what of the findings at a stage came of the apprentice's own settings and remedies.

    A finding that the card's settings would not have shown, or that was not there before a remedy.
    """
    by_card = replace(play, settings=()).found
    before = next((each.found for each in reversed(play.marks) if each.stage == play.stage.key), None)
    new = () if before is None or not play.tried else tuple(key for key in play.found if key not in before)
    return tuple(key for key in play.found if key not in by_card or key in new)


def worst_of(found: tuple[str, ...]) -> str:
    """Return the worst of some findings: a safety point first; an empty string if there is none.

    Examples
    --------
    >>> worst_of(("no skin", "warm drying")), worst_of(())
    ('warm drying', '')
    """
    return next((key for key in found if FINDINGS[key].safety), found[0] if found else "")


def clearing(play: Play, found: tuple[str, ...]) -> tuple[str, ...]:
    """Return the remedies that, tried out on the run, clear the worst finding and bring no other."""
    if not found or play.tried >= MOST_REMEDIES or FINDINGS[worst_of(found)].stands:
        return ()
    worst, good = worst_of(found), []
    for fix in (key for key, _ in play.stage.fixes if key not in HARMS):
        after = mended(play, fix).found
        if worst not in after and set(after) <= set(found):
            good.append(fix)
    return tuple(good)


def mended(play: Play, fix: str) -> Play:
    """Return the batch with one remedy carried out and the day run again."""
    changes, lost_min = _changes(play, fix)
    noted = {key: value for key, value in changes.items() if not hasattr(play.batch.meant, key)}
    own = tuple((key, noted.get(key, value)) for key, value in play.settings)
    return replace(
        play,
        settings=own,
        remedies=(*play.remedies, *changes.items()),
        tried=play.tried + 1,
        lost_min=play.lost_min + lost_min,
    )


def _changes(play: Play, fix: str) -> tuple[Changes, float]:
    """Return what a remedy changes in the card as done, and the minutes it throws away.

    Fish moved while it chills counts as if it had stood in the room until then: the careful side.
    """
    done, meant = play.done, play.batch.meant
    now = {"wait_min": LOOK_MIN * (play.tried + 1), "chill_load_kg": 0.0, "chill_power_w": 0.0}
    still = done.draught != meant.draught
    warm = done.draught.air_c > play.batch.limits.cold_c  # hours in the warm stand: no drying takes them back
    again: Changes = {} if warm else {"draught": meant.draught, "dry_h": max(done.dry_h, meant.dry_h)}
    simple: dict[str, tuple[Changes, float]] = {
        "feel again": ({"looks": 3}, 30.0),
        "back in salt": ({"cure_h": max(done.cure_h, meant.cure_h)}, 0.0),
        "soak": ({"rinse_min": 60.0}, 0.0),
        "dry on": ({**again}, 60 * done.dry_h if still else 0.0),
        "hurry": ({"draught": Draught(24.0, 50.0, 2.0), "dry_h": 4.0}, 60 * done.dry_h),
        "vents": ({"rh_pct": meant.rh_pct}, 5.0),
        "blast": ({"chiller": "blast", **now}, 0.0),
        "bag and ice": ({"chiller": "ice", **now}, 0.0),
        "stack": ({"chiller": "stacked trays"}, 0.0),
        "other store": ({"store_c": meant.store_c}, 0.0),
        "new label": ({"life_days": play.batch.life_days}, 0.0),
        "laboratory": ({"lab": "sent"}, 0.0),
        "repack": ({"pack": play.batch.pack}, 0.0),
        "put apart": ({"others_mm": ()}, 0.0),
    }
    if fix in simple:
        return simple[fix]
    if fix == "new chips":
        wood = done.wood_name if not play.day.wood.usable else meant.wood_name
        return {"chips_moisture_pct": meant.chips_moisture_pct, "wood_name": wood}, 10.0
    if fix == "drip and dry":
        wet = days.wetness(play.day.dry) > WET
        return {"wet_rack": False, **(again if wet else {})}, 60.0 * (1.0 + (done.dry_h if wet else 0.0))
    if fix == "hotter":
        minutes = play.day.cook.phase_min
        return {
            "cabinet_c": max(done.cabinet_c, meant.cabinet_c + 6.0),
            "rh_pct": meant.rh_pct,
            "core_target_c": max(done.core_target_c, meant.core_target_c),
            "hold_min": max(done.hold_min, meant.hold_min),
        }, minutes.get("cook", 0.0)
    return (_longer(play), 0.0) if fix == "longer" else ({}, 0.0)


def _longer(play: Play) -> Changes:
    """Return the hold that proves the limit at probe 2, as far as 90 min more can."""
    done = play.done
    for more in (5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0):
        trial = replace(play, remedies=(*play.remedies, ("hold_min", done.hold_min + more)))
        if not trial.found:
            break
    return {"hold_min": done.hold_min + more}
