"""How a whole batch of lesson 8's game is marked at its end: decisions, rules, quality, and what happened."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from kit import rules
from kit.basics.errors import BadData
from kit.exercises.lesson_08.batch_limits import SALT_TO_SPARE_PCT, salt_verdict
from kit.exercises.lesson_08.batch_progress import Play, StageMark
from kit.exercises.lesson_08.batch_replay import by_remedies, caused_by, lost_anyway
from kit.exercises.lesson_08.batch_run import (
    BONES_IN_10,
    WET,
    DrawnBatch,
    coldest,
    read,
    run,
    stage_of,
)
from kit.exercises.lesson_08.batch_story import FINDINGS, lower, stage
from kit.exercises.lesson_08.days import loin_salt_pct
from kit.process import faults
from kit.process.day import BatchDay
from kit.rules.model import Verdict

MOST_OVER = 1.15  # of the order: more is fish left over; ours, no source
MOST_LATE_H = 12.0  # behind the card's own day, so that one step may be done again; ours, no source [h]
LEAST_SHARE, LEAST_IN_ALL = 0.25, 0.1  # of the points, for one finding not read, and for all; ours, no source
CAREFUL_SHARE, CAREFUL_IN_ALL = 0.5, 0.25  # the same where each was at least held; ours, no source
MOST_DRIED_PCT = 4.0  # yield below what the card gives with today's cook; ours, no source [%]


@dataclass(frozen=True)
class BatchQuality:
    """One quality of the batch: met or not, with its figures in words. Worth 1 point."""

    title: str
    met: bool
    words: str


@dataclass(frozen=True)
class BatchReport:
    """How a batch went. ``points`` is 0 if a safety point was passed, whatever else was done well.

    ``counts_pct`` is what each point counts, by how the findings were read, and ``counts`` says it in words.
    ``unsafe`` says so in words, or is empty. ``bands`` and ``verdicts`` are empty where Chef stopped the
    batch on the way.
    """

    points: float
    of: float
    counts_pct: float
    counts: str
    unsafe: str
    marks: tuple[StageMark, ...]
    verdicts: tuple[Verdict, ...]
    bands: tuple[BatchQuality, ...]
    figures: tuple[str, ...]
    account: tuple[str, ...]
    chef: str


def report(play: Play) -> BatchReport:
    """Return the marks of a batch that is over, and the account of what happened.

    Decisions earn up to 2 points each and each quality band 1. Every finding that was not read rightly then
    takes its share of the whole, so that nobody passes by never looking. A batch that was stopped as it had
    to be is marked on its decisions alone; one that was stopped for what the apprentice set or decided loses
    every band.

    Raises
    ------
    BadData
        If the batch is not over.
    """
    if play.phase != "end":
        raise BadData("report", "the batch is not over", "a recommendation, or a batch that was stopped")
    record, own = play.day, _lost_by_own_doing(play)
    bands = _bands(play, record)
    unsafe = _unsafe(play)
    earned = sum(each.points for each in play.marks)
    possible = sum(each.of for each in play.marks)
    if not play.stopped:
        earned, possible = earned + sum(each.met for each in bands), possible + len(bands)
    elif own:
        possible += len(bands)
    share, counts = _counts(play)
    return BatchReport(
        0.0 if unsafe else round(earned * share, 1),
        possible,
        round(100 * share),
        counts,
        unsafe,
        play.marks,
        () if play.stopped else _verdicts(play, record),
        () if play.stopped else bands,
        _figures(play, record),
        tuple(_account(play, own)),
        play.chef,
    )


def _counts(play: Play) -> tuple[float, str]:
    """Return what each point counts, 0 to 1, and why in words.

    A stage that showed a finding counts by the share of its points that were earned: a half at least where
    something of it was right, as when it was held, and a quarter otherwise. All of them together count a
    quarter at least, or a tenth.
    """
    share, right, careful = 1.0, 0, True
    stages = {each.stage: each.title for each in play.marks if each.found}
    for stage_key in stages:
        marks = [each for each in play.marks if each.stage == stage_key and each.found]
        earned = sum(each.points for each in marks) / sum(each.of for each in marks)
        share *= max(CAREFUL_SHARE if earned else LEAST_SHARE, earned)
        careful = careful and earned > 0
        right += earned == 1
    if not stages:
        return 1.0, "Nothing was there to find."
    found = "1 stage showed" if len(stages) == 1 else f"{len(stages)} stages showed"
    told = f"{found} something. You read {right} of {len(stages)} rightly, and named the reason."
    return max(CAREFUL_IN_ALL if careful else LEAST_IN_ALL, share), told


def _lost_by_own_doing(play: Play) -> bool:
    """Return whether Chef stopped the batch, and would not have, had all been set and decided rightly."""
    return bool(play.stopped) and not lost_anyway(play)


def _unsafe(play: Play) -> str:
    """Return in words where a limit was passed or a record bent; empty if nowhere."""
    places = list(dict.fromkeys(each.title for each in play.marks if each.unsafe))
    if not places:
        return ""
    return (
        "0 points for the whole batch. You went on past a limit that was missed or not proven, bent the "
        "record, or packed fish warm. "
        f"It happened here: {'; '.join(places)}. Nothing else counts then."
    )


def _verdicts(play: Play, record: BatchDay) -> tuple[Verdict, ...]:
    told = play.batch.limits
    store = read(play.batch, record, "pack", play.set_to)
    packed = {"store_temp_c": store["store_c"], "shelf_life_days": store["life_days"]}
    return (
        *(rules.judge_rule(coldest(record), rule) for rule in told.cook),
        *(rules.judge_rule(record.trace, rule) for rule in told.chill),
        *(rules.judge_rule(packed, rule) for rule in (*told.store, *told.life[store["pack"]])),
        salt_verdict(told.salt[store["pack"]], store["lab_pct"]),
    )


def _bands(play: Play, record: BatchDay) -> tuple[BatchQuality, ...]:
    batch, usual = play.batch, run(play.batch.meant, play.batch.meant)
    today = _with_todays_cook(batch)
    wps, bones = loin_salt_pct(record), 10 * record.bones.mean
    least = batch.limits.salt[batch.pack].minimum or 0.0
    most = least + SALT_TO_SPARE_PCT
    smoke = read(batch, record, "smoke", play.set_to)
    late = smoke["delay_min"] > 0.2 + 3 * smoke["card_delay_min"]
    hours, hoped_kg = hours_in_all(play), float(play.set_to["order_kg"]) * usual.yield_pct / 100
    near = abs(record.done.smoke_min - batch.meant.smoke_min) <= 10
    return (
        BatchQuality(
            "Bones",
            round(bones) <= BONES_IN_10,
            f"{f'About {bones:.0f}' if bones >= 1 else 'Hardly any'} left in 10 fillets; 5 at most.",
        ),
        BatchQuality(
            "Salt",
            least <= wps <= most,
            f"{wps:.1f} % salt in truth in the water of the loin; {least:g} to {most:g} % wanted.",
        ),
        BatchQuality(
            "Pellicle",
            record.cook.plan.wetness <= WET,
            f"The face was {'dull and dry' if record.cook.plan.wetness <= WET else 'wet'} in the smoke.",
        ),
        BatchQuality(
            "Smoke",
            smoke["usable"] and not late and near,
            f"{smoke['label'].capitalize()}, {record.done.smoke_min:g} min, first smoke after "
            f"{smoke['delay_min']:g} min.",
        ),
        BatchQuality(
            "Juicy, not dried out",
            record.yield_pct >= today.yield_pct - MOST_DRIED_PCT,
            f"Yield {record.yield_pct:.0f} %; the card, in today's cabinet, gives {today.yield_pct:.0f} %.",
        ),
        BatchQuality(
            "The order",
            batch.shop_kg <= hoped_kg <= MOST_OVER * batch.shop_kg,
            f"{play.set_to['order_kg']:g} kg ordered gives {hoped_kg:.1f} kg by the card; the shop wants "
            f"{batch.shop_kg:g} kg, and little left over.",
        ),
        BatchQuality(
            "In time",
            hours <= usual.hours + MOST_LATE_H,
            f"{hours:.0f} h in all; the card's own day takes {usual.hours:.0f} h.",
        ),
    )


def _with_todays_cook(batch: DrawnBatch) -> BatchDay:
    """Return the card's own day with the fault that struck in the cook, which nobody could see before."""
    struck = [name for name in batch.wrong if stage_of(name) == "cook"]
    return run(batch.meant, faults.with_faults(batch.meant, struck))


def sold_kg(play: Play) -> float:
    """Return what is left to sell of what was ordered. [kg]"""
    return float(play.set_to["order_kg"]) * play.day.yield_pct / 100


def hours_in_all(play: Play) -> float:
    """Return the hours from the salt to the cold, with what the remedies threw away. [h]"""
    return play.day.hours + play.lost_min / 60


def _figures(play: Play, record: BatchDay) -> tuple[str, ...]:
    if play.stopped or play.marks[-1].found:  # of the last mark: what Chef rejected it for
        return ("Nothing of this batch is sold.",)
    return (
        f"Yield: {record.yield_pct:.0f} % of the raw fillets, {sold_kg(play):.1f} kg to sell.",
        f"Time from the salt to the cold: {hours_in_all(play):.0f} h.",
    )


def _account(play: Play, own: bool) -> Iterable[str]:
    """Yield what happened and why: every fault by name, what was made of it, and what was one's own."""
    batch = play.batch
    yield {0: "Nothing went wrong by itself today.", 1: "One thing went wrong by itself today."}.get(
        len(batch.wrong), f"{len(batch.wrong)} things went wrong by themselves today."
    )
    for name in batch.wrong:
        yield _fault_words(play, batch, name)
    for key, where in _of_own(play):
        yield f"{where}, by what you set or did: {lower(FINDINGS[key].reason)}. {FINDINGS[key].why}"
    if own:
        yield "The batch was lost by what was set or decided, not by bad luck. So no quality point is left."
    if play.stopped:
        yield f"It ended at this stage: {lower(play.stage.title)}."
    elif all(each.points == each.of for each in play.marks):
        yield "You read every stage rightly."


def _fault_words(play: Play, batch: DrawnBatch, name: str) -> str:
    told, where = faults.fault(name), stage_of(name)
    lead = f"{stage(where).title}: {lower(told.title)}."
    marks = [each for each in play.marks if each.stage == where]
    if not marks:
        return f"{lead} The batch never came so far."
    shown = [each for each in (*play.before, play) if each.stage.key == where and each.phase == "decide"]
    seen = [key for each in shown for key in caused_by(each, name)]
    if not seen and any(each.found for each in marks):
        return f"{lead} What showed at this stage did not come of it. Write it down, and tell Chef."
    if not seen:
        return f"{lead} It harmed no limit here, so you could carry on. Write it down, and tell Chef."
    if all(each.points == each.of for each in marks):
        return f"{lead} You saw it and did what it called for. {FINDINGS[seen[0]].why}"
    missed = next(each for each in marks if each.points < each.of)
    return f"{lead} {FINDINGS[seen[0]].why} It called for this. {missed.called_for}."


def _of_own(play: Play) -> list[tuple[str, str]]:
    """Return what came of the apprentice's own settings and remedies, each with its stage's title."""
    set_so = [(key, each.title) for each in play.marks for key in each.own]
    return list(dict.fromkeys((*set_so, *by_remedies(play))))
