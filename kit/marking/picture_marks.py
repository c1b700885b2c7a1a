"""Marking places on a picture, and a simulated batch."""

import math
from collections.abc import Mapping
from dataclasses import replace
from numbers import Real
from typing import Any

from kit.basics.errors import KitError
from kit.marking.batch_runs import run_named
from kit.marking.model import Control, Controls, Outcome, Places, Question, Region
from kit.marking.outcomes import right, scored, unread, with_slips

Point = tuple[float, float]
NEAR = 0.1
"""A mark this close to a place is told which way to go; in parts of the picture's width or height; ours."""
ELSEWHERE = "elsewhere"
"""The slip of a mark that hit neither a place nor a trap, where the question has one."""


def mark_places(question: Question, kind: Places, raw: Any) -> Outcome:
    """Return the outcome of places marked on a picture."""
    noun = "place" if kind.count == 1 else "places"
    points = _points(raw, kind.count)
    if points is None:
        return unread(question, f"Mark {kind.count} {noun} on the picture.")
    hits = _most_pairs([[_inside(point, each, kind.slack) for each in kind.targets] for point in points])
    read_as = "; ".join(f"{x:.0%} across, {y:.0%} down" for x, y in points)
    if hits == kind.count:
        return right(question, read_as)
    caught = {trap.name for trap in kind.traps for point in points if _inside(point, trap, 0.0)}
    beside = [point for point in points if not any(_inside(point, each, 0.0) for each in kind.traps)]
    if _free(beside, kind):
        caught.add(ELSEWHERE)
    shown = [slip for slip in question.slips if (slip.shows or slip.name) in caught]
    shown.sort(key=lambda slip: slip.shows == ELSEWHERE)
    lead = (
        "Not yet." if kind.count == 1 else f"{'Partly' if hits else 'Not yet'}. {hits} of {kind.count} found."
    )
    if all(slip.shows == ELSEWHERE for slip in shown):
        lead += " " + _outside(points, kind, bool(shown))
    message, name = with_slips(lead, shown)
    return scored(question, hits / kind.count, message, name, read_as)


def _outside(points: list[Point], kind: Places, reasoned: bool) -> str:
    """Say of the first mark that hit nothing which way it missed the nearest place, if it came near.

    ``reasoned`` says that a reason follows, so nothing more need be said of a mark far off.
    """
    free = _free(points, kind)
    if not free:
        return "A place is still missing."
    pairs = [(point, target) for point in free for target in kind.targets]
    (x, y), each = min(pairs, key=lambda pair: _far_off(*pair))
    where = f"Your mark at {100 * x:.0f} % across and {100 * y:.0f} % down"
    if _far_off((x, y), each) > NEAR:
        return f"{where} is far from it." + ("" if reasoned else " Read again which place is asked for.")
    across, down = each.x - x, each.y - y
    way = ("right" if across > 0 else "left") if abs(across) > abs(down) else ("down" if down > 0 else "up")
    return f"{where} is near. Go a little {way}."


def _free(points: list[Point], kind: Places) -> list[Point]:
    """Return the marks that hit no place."""
    return [point for point in points if not any(_inside(point, each, kind.slack) for each in kind.targets)]


def a_spot_elsewhere(kind: Places) -> list[float] | None:
    """Return a mark that hits neither a place nor a trap; nothing where the picture is full of them."""
    grid = [((across + 0.5) / 20, (down + 0.5) / 20) for across in range(20) for down in range(20)]
    taken = (*kind.targets, *kind.traps)
    free = [spot for spot in grid if not any(_inside(spot, each, kind.slack) for each in taken)]
    return list(free[0]) if free else None


def _far_off(point: Point, region: Region) -> float:
    """How far a mark lies outside the box around a place; in parts of the picture."""
    across, down = abs(point[0] - region.x) - region.rx, abs(point[1] - region.y) - region.ry
    return math.hypot(max(across, 0.0), max(down, 0.0))


def mark_controls(question: Question, kind: Controls, raw: Any) -> Outcome:
    """Return the outcome of a batch run with the settings given."""
    settings: dict[str, float] = {}
    for control in kind.controls:
        value = raw.get(control.key) if isinstance(raw, Mapping) else None
        if not _finite(value):
            return unread(question, f"Set {control.label} to a number.")
        number = float(value)  # type: ignore[arg-type]  # a real number, checked above
        room = 1e-9 * max(abs(control.low), abs(control.high))
        if not control.low - room <= number <= control.high + room:
            bounds = f"from {control.low:g} to {control.high:g} {control.unit}"
            return unread(question, f"Set {control.label} {bounds}.")
        settings[control.key] = _on_step(control, number)
    if not isinstance(raw, Mapping) or len(raw) > len(kind.controls):
        return unread(question, "There is a setting here that this batch does not have.")
    try:
        run = run_named(kind.run)(settings, question.facts)
    except KitError as problem:
        return unread(question, f"The batch cannot be run like this: {problem}")
    share = run.score / run.of if run.of > 0 else 0.0
    lead = "Right." if share >= 1 else "Partly." if share > 0 else "Not yet."
    message, name = with_slips(lead, (slip for slip in question.slips if run.slip == slip.name))
    shown = "; ".join(f"{each.label} {settings[each.key]:g} {each.unit}".strip() for each in kind.controls)
    outcome = scored(question, share, " ".join([message, *run.says]), name, shown)
    return replace(outcome, picture=run.picture)


def _finite(value: Any) -> bool:
    if isinstance(value, bool) or not isinstance(value, Real):
        return False
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def _on_step(control: Control, value: float) -> float:
    steps = round((value - control.low) / control.step)
    return round(min(control.high, control.low + steps * control.step), 9)


def _points(raw: Any, count: int) -> list[Point] | None:
    if not isinstance(raw, list | tuple) or not 0 < len(raw) <= count:
        return None
    points = []
    for pair in raw:
        if not isinstance(pair, list | tuple) or len(pair) != 2 or not all(map(_finite, pair)):
            return None
        x, y = float(pair[0]), float(pair[1])
        if not (0 <= x <= 1 and 0 <= y <= 1):
            return None
        points.append((x, y))
    return points


def _inside(point: Point, region: Region, slack: float) -> bool:
    across = (point[0] - region.x) / (region.rx + slack)
    down = (point[1] - region.y) / (region.ry + slack)
    return across * across + down * down <= 1 + 1e-9


def _most_pairs(fits: list[list[bool]]) -> int:
    """Return how many points can each have a target of their own (the largest matching)."""
    owner: dict[int, int] = {}

    def settle(point: int, tried: set[int]) -> bool:
        for target, fit in enumerate(fits[point]):
            if fit and target not in tried:
                tried.add(target)
                if target not in owner or settle(owner[target], tried):
                    owner[target] = point
                    return True
        return False

    return sum(settle(point, set()) for point in range(len(fits)))
