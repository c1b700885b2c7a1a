"""A whole batch of lesson 8 played again from one of its decisions, through the same game."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from kit.exercises.lesson_08 import batch as game
from kit.exercises.lesson_08.batch_progress import Play, clearing, worst_of
from kit.exercises.lesson_08.batch_run import DrawnBatch
from kit.exercises.lesson_08.batch_story import FINDINGS, FINE, STAGES

Call = tuple[str, str, str]


def card_settings(batch: DrawnBatch) -> dict[str, Any]:
    """Return what the house would set at every stage, but for the order.

    Examples
    --------
    >>> from kit.exercises.lesson_08.batch_run import draw_batch
    >>> card_settings(draw_batch(7))["chiller"]
    'blast'
    """
    play = Play(batch)
    known = {**play.set_to, "speed_m_s": batch.meant.draught.speed_m_s}
    keys = [dial.key for stage in STAGES for dial in stage.dials]
    return {key: known[key] if key in known else getattr(batch.meant, key) for key in keys}


def own_settings(play: Play) -> dict[str, Any]:
    """Return what was set at each stage, before any remedy; by the card where the batch never came."""
    own = card_settings(play.batch)
    for each in (*play.before, play):
        if not each.tried:
            keys = {dial.key for dial in each.stage.dials}
            own |= {key: value for key, value in each.settings if key in keys}
    return own


def play_on(play: Play, settings: dict[str, Any], call: Callable[[Play], Call]) -> Play:
    """Return the batch gone through to its recommendation, or to where Chef stops it."""
    while play.phase not in ("recommend", "end"):
        if play.phase == "set":
            play = game.set_dials(play, {dial.key: settings[dial.key] for dial in play.stage.dials})
        else:
            play = game.decide(play, *call(play))
    return play


def right_call(play: Play) -> Call:
    """Return what the evidence of a stage calls for, with its reason."""
    if not (worst := worst_of(play.found)):
        return ("carry on", FINE, "")
    if fixes := clearing(play, play.found):
        return ("correct", worst, fixes[0])
    return ("hold" if FINDINGS[worst].safety else "carry on", worst, "")


def carry_on(play: Play) -> Call:
    """Return the call of somebody who never stops."""
    return ("carry on", FINE, "")


def at_best(batch: DrawnBatch) -> Play:
    """Return the batch as it goes with all set by the card and every finding read rightly.

    Examples
    --------
    >>> at_best(game.start(7).batch).stopped
    'warm salt'
    """
    return play_on(game.start(batch.seed, batch.profile), card_settings(batch), right_call)


def lost_anyway(play: Play) -> bool:
    """Return whether Chef would have stopped the batch for the same finding, had all been set and done right.

    Examples
    --------
    >>> lost_anyway(at_best(game.start(7).batch))
    True
    """
    return bool(play.stopped) and at_best(play.batch).stopped == play.stopped


def by_remedies(play: Play) -> tuple[tuple[str, str], ...]:
    """Return each finding that came of an earlier remedy, with the title of its stage.

    It would not be there without the remedies, nor in a batch that was read rightly all the way.
    """
    if not play.remedies:
        return ()
    best = {(mark.stage, key) for mark in at_best(play.batch).marks for key in mark.found}
    told = []
    for each in play.before:
        without = replace(each, remedies=()).found if each.remedies else each.found
        new = [key for key in each.found if key not in without and (each.stage.key, key) not in best]
        told += [(key, each.stage.title) for key in new]
    return tuple(dict.fromkeys(told))


def caused_by(play: Play, fault: str) -> tuple[str, ...]:
    """Return the findings of a stage, as it stood, that would not be there without one fault."""
    others = tuple(name for name in play.batch.wrong if name != fault)
    without = replace(play, batch=replace(play.batch, wrong=others)).found
    return tuple(key for key in play.found if key not in without)
