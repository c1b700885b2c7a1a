"""The whole-batch game of lesson 8: set a stage, read its evidence, decide, go on.

Everything here is pure: a batch is fixed by its seed, and the same seed with the same settings and decisions
gives the same end. An apprentice never releases a batch: at the end they recommend, and Chef, the competent
person of the story, decides.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from kit.basics.errors import BadData, UnknownName
from kit.exercises.lesson_08.batch_plan import plan
from kit.exercises.lesson_08.batch_progress import (
    MOST_REMEDIES,
    Play,
    StageMark,
    clearing,
    mended,
    own_doing,
    worst_of,
)
from kit.exercises.lesson_08.batch_run import USUAL_RULES, Readings, draw_batch, findings, read
from kit.exercises.lesson_08.batch_story import (
    DECISIONS,
    FINDINGS,
    FINE,
    HARMS,
    LAST_REASONS,
    RECOMMENDATIONS,
    STAGES,
    lower,
    reasons,
)
from kit.marking.draw import Draw, seed_for
from kit.process.day import BatchDay
from kit.rules import Profile

MOST_SEED = 999_999
"""Batches have numbers up to this, so that one can be read out and typed in."""


def start(seed: int, profile: Profile = USUAL_RULES) -> Play:
    """Return the batch of a seed before its first stage.

    Examples
    --------
    >>> start(7).stage.key, start(7).phase
    ('intake', 'set')
    """
    return Play(draw_batch(seed, profile))


def set_dials(play: Play, values: Mapping[str, Any]) -> Play:
    """Return the batch with this stage set and run, ready to decide on.

    Raises
    ------
    BadData, OutOfRange, UnknownName
        If it is not the turn for it, or a value is missing or not allowed.

    Examples
    --------
    >>> set_dials(start(7), {"order_kg": 9}).phase
    'decide'
    """
    _turn(play, "set")
    if not isinstance(values, Mapping):
        raise BadData("settings", "they are not a list of settings", "one value for each control")
    own = tuple((dial.key, dial.settle(values.get(dial.key))) for dial in play.stage.dials)
    ready = replace(play, settings=(*play.settings, *own), phase="decide", tried=0, news=())
    _ = ready.day  # a day that cannot be run is said now, and the setting can be changed
    return ready


def decide(play: Play, decision: str, reason: str, remedy: str = "") -> Play:
    """Return the batch after a decision on the evidence of its stage.

    Parameters
    ----------
    play : Play
        A batch that waits for a decision.
    decision : str
        A key of `batch_08_story.DECISIONS`.
    reason : str
        A key of the stage's reasons.
    remedy : str
        With "correct": a key of the stage's three remedies.

    Raises
    ------
    BadData, UnknownName
        If it is not the turn for it, or something is missing or not on the list.

    Examples
    --------
    >>> play = set_dials(start(7), {"order_kg": 9})
    >>> decide(play, "carry on", "fine").stage.key
    'cure'
    """
    _turn(play, "decide")
    if decision not in DECISIONS:
        raise UnknownName("decision", str(decision), DECISIONS)
    if reason not in reasons(play.stage.key):
        raise UnknownName("reason", str(reason), reasons(play.stage.key))
    if decision == "correct":
        if remedy not in dict(play.stage.fixes):
            raise UnknownName("way to put it right", str(remedy), dict(play.stage.fixes))
        if play.tried >= MOST_REMEDIES:
            raise BadData("decision", "this stage was put right twice", "another decision")
    own = mark(play, decision, reason, remedy)
    marked = replace(play, marks=(*play.marks, own), before=(*play.before, play))
    if decision == "carry on":
        return _next(replace(marked, news=("You carried on.",)))
    if decision == "correct":
        told = f"You did this: {dict(play.stage.fixes)[remedy]}. Read the new evidence."
        return replace(mended(marked, remedy), news=(told,))
    return _to_chef(marked)


def take(play: Play, step: Mapping[str, Any]) -> Play:
    """Return the batch after one step as a page sends it: plan, set, decide or recommend.

    Raises
    ------
    BadData, OutOfRange, UnknownName
        If it is no step, or not one for now.

    Examples
    --------
    >>> take(start(7), {"do": "set", "settings": {"order_kg": 9}}).phase
    'decide'
    """
    what = step.get("do")
    decision, reason, remedy = (str(step.get(each) or "") for each in ("decision", "reason", "remedy"))
    if what == "plan":
        return plan(play, step.get("settings") or {})
    if what == "set":
        return set_dials(play, step.get("settings") or {})
    if what == "decide":
        return decide(play, decision, reason, remedy)
    if what == "recommend":
        return recommend(play, decision, reason)
    raise BadData("step", f"{what!r} is no step of a batch", "plan, set, decide or recommend")


def seed_of_day(day: date, kitchen: str = "") -> int:
    """Return the number of a day's batch: the same for everybody of a kitchen.

    Examples
    --------
    >>> seed_of_day(date(2026, 3, 2)) == seed_of_day(date(2026, 3, 2)) != seed_of_day(date(2026, 3, 3))
    True
    """
    return Draw(seed_for(kitchen, "the-whole-batch", 1, day.toordinal())).whole(1, MOST_SEED)


def seed_with_fault(names: Collection[str], seeds: Iterable[int], profile: Profile = USUAL_RULES) -> int:
    """Return the first of some numbers whose batch has one of these faults; the last one if none has.

    Raises
    ------
    BadData
        If there are no numbers.
    """
    seed = None
    for seed in seeds:
        if not names or set(names).intersection(draw_batch(seed, profile).wrong):
            return seed
    if seed is None:
        raise BadData("batch", "no number was given", "one number or more")
    return seed


def recommend(play: Play, decision: str, reason: str) -> Play:
    """Return the batch at its end: recommended, and decided by Chef.

    Raises
    ------
    BadData, UnknownName
        If it is not the turn for it, or something is not on the list.
    """
    _turn(play, "recommend")
    if decision not in RECOMMENDATIONS:
        raise UnknownName("recommendation", str(decision), RECOMMENDATIONS)
    if reason not in LAST_REASONS:
        raise UnknownName("reason", str(reason), LAST_REASONS)
    bad = standing(play)
    wanted = ("hold", "reject") if bad else ("go on",)
    right, because = decision in wanted, reason == ("missed" if bad else FINE)
    points = (1.0 + because) if right else 0.5 * (decision == "hold")
    missed = " ".join(f"{FINDINGS[key].reason}." for key in bad)
    chef = (
        f"Chef read the whole record, and rejected the batch. {missed}"
        if bad
        else "Chef read the whole record. Every limit is met and proven. Chef let the batch go to the shop."
    )
    why = missed or "Every limit is met, and the record proves it."
    last = StageMark(
        "end",
        "Your recommendation",
        f"{RECOMMENDATIONS[decision]}: {lower(LAST_REASONS[reason])}",
        "Hold and report, or reject" if bad else RECOMMENDATIONS["go on"],
        points,
        2.0,
        why if right and because else f"{why} {_wrong(right)}",
        bad,
        unsafe=bool(bad) and decision == "go on",
        decision=decision,
        for_reason=float(right and because),
    )
    return replace(play, phase="end", marks=(*play.marks, last), chef=chef, news=())


def _wrong(right: bool) -> str:
    return "Your reason was another one." if right else "Your recommendation did not fit that."


def standing(play: Play) -> tuple[str, ...]:
    """Return the limits that the whole record shows missed or not proven: keys of `FINDINGS`."""
    record, shown = play.day, [each.key for each in STAGES if each.key != "chill"]
    every = [key for each in shown for key in findings(play.batch, each, _read(play, record, each))]
    return tuple(key for key in every if FINDINGS[key].safety)


def _read(play: Play, record: BatchDay, stage: str) -> Readings:
    return read(play.batch, record, stage, play.set_to)


def mark(play: Play, decision: str, reason: str, remedy: str = "") -> StageMark:
    """Return what a decision earns: 1 point for the decision and 1 for its reason.

    To hold where you need not, or to do something harmless to what was sound, earns half a point for the
    decision: it is never unsafe.
    A reason earns nothing beside a wrong decision.
    """
    found = play.found
    worst, fixes = worst_of(found), clearing(play, found)
    wants = _wants(worst, fixes)
    safety = bool(worst) and FINDINGS[worst].safety
    harm = HARMS.get(remedy, "") if decision == "correct" else ""
    share = _share(decision, remedy, wants, fixes)
    if decision == "correct" and wants == "carry on" and not harm:
        share = 0.5 if set(mended(play, remedy).found) <= set(found) else 0.0
    fits = reason in found and (FINDINGS[reason].safety or not safety) if found else reason == FINE
    for_reason = 1.0 if fits and share and (share == 1 or wants == "correct") else 0.0
    titles = dict(play.stage.fixes)
    what = {"carry on": "Carry on", "stop": "Hold and report, or reject"}.get(wants, "")
    asked = what or "Put it right: " + ", or ".join(lower(titles[fix]) for fix in fixes)
    did = titles[remedy] if decision == "correct" else DECISIONS[decision]
    return StageMark(
        play.stage.key,
        play.stage.title,
        f"{did}: {lower(reasons(play.stage.key)[reason])}",
        asked,
        share + for_reason,
        2.0,
        harm or _why(worst, share, fits, wants),
        found,
        own_doing(play),
        unsafe=bool(harm) or (decision == "carry on" and safety),
        decision=decision,
        for_reason=for_reason,
    )


def _wants(worst: str, fixes: tuple[str, ...]) -> str:
    if not worst:
        return "carry on"
    if fixes:
        return "correct"
    return "stop" if FINDINGS[worst].safety else "carry on"


def _share(decision: str, remedy: str, wants: str, fixes: tuple[str, ...]) -> float:
    if wants == "stop":
        return 1.0 if decision in ("hold", "reject") else 0.0
    if wants == "correct":
        if decision == "correct":
            return 1.0 if remedy in fixes else 0.0
        return 0.5 if decision == "hold" else 0.0
    if decision == "carry on":
        return 1.0
    return 0.5 if decision == "hold" else 0.0


def _why(worst: str, share: float, fits: bool, wants: str) -> str:
    """Return what the evidence says, and why each part of the points was lost."""
    told = FINDINGS[worst].why if worst else "No limit was missed, and nothing called for a change."
    if share == 0.5 and wants == "carry on":
        return f"{told} You did more than you had to. That is never unsafe."
    if share == 0:
        return f"{told} Your decision did not fit that, and beside it no reason earns a point."
    held = " To hold is safe. But it could be put right at once." if share < 1 else ""
    return told + held + ("" if fits else " Your reason was another one.")


def _to_chef(play: Play) -> Play:
    """Let Chef decide: mend what can be mended and go on, or end the batch."""
    told: list[str] = []
    while fixes := clearing(play, play.found):
        does = dict(play.stage.fixes)[fixes[0]]
        told.append(f"Chef read the evidence. This was done: {lower(does)}. It helped.")
        play = mended(play, fixes[0])
    worst = worst_of(play.found)
    if worst and FINDINGS[worst].safety:
        chef = f"Chef read the evidence and rejected the batch. {FINDINGS[worst].reason}."
        return replace(play, phase="end", stopped=worst, chef=chef, news=())
    told = told or ["Chef read the evidence with you. The batch may go on."]
    return _next(replace(play, news=tuple(told)))


def _next(play: Play) -> Play:
    last = play.number == len(STAGES) - 1
    return replace(play, number=play.number + 1, phase="recommend" if last else "set", tried=0)


def _turn(play: Play, phase: str) -> None:
    if play.phase != phase:
        raise BadData("turn", f"the batch waits for something else ({play.phase})", "the step on the page")
