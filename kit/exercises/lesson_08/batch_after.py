"""What follows from a whole batch of lesson 8: the pack on day 5, who has the packs, and the other decision.

All of it is the day's own run, with the pack and the store as they were set. Nothing here releases a batch.
"""

from __future__ import annotations

from dataclasses import dataclass

from kit.exercises.lesson_08 import batch as game
from kit.exercises.lesson_08.batch_progress import Play
from kit.exercises.lesson_08.batch_replay import carry_on, own_settings, play_on
from kit.exercises.lesson_08.batch_report import sold_kg
from kit.exercises.lesson_08.batch_run import run
from kit.exercises.lesson_08.batch_story import FINDINGS, FINE, lower
from kit.marking.draw import Draw
from kit.process.day import BatchCard, BatchDay
from kit.process.microbes import growth, spores
from kit.process.selling.tracing import LotMove, Recall, recall

DAY = 5.0
"""The day on which the pack is looked at."""
NO_RELEASE = "These are ceilings of models. No model releases a batch: a competent person decides."
BEFORE = "What grew before the cook, and what it left in the fish, is not in these figures."
BUYERS = ("Lantern Café", "Quay Shop", "Hill Inn", "Mill Bistro", "the market stall", "Park Deli")
"""Who buys of the smokehouse; invented."""
_GASES = {
    "vacuum": "A vacuum pack stops neither Listeria nor botulinum: only salt and cold hold them back. "
    "No smell warns anyone.",
    "air": "Under film with air, spoilage smells in time. Listeria does not.",
}


@dataclass(frozen=True)
class OtherEnd:
    """One finding replayed with the other decision: where, what was asked, and what would have followed."""

    title: str
    asks: str
    words: str


def pack_on_day_5(play: Play) -> tuple[str, ...]:
    """Return how the packs of a batch stand on day 5, in words, beside those of the card.

    Examples
    --------
    >>> from kit.exercises.lesson_08.batch_replay import card_settings, right_call
    >>> end = play_on(game.start(3), card_settings(game.start(3).batch), right_call)
    >>> NO_RELEASE in pack_on_day_5(end)[-1]
    True
    """
    batch, record = play.batch, _on_day_5(play.batch.meant, play.done)
    card, warm = _on_day_5(batch.meant, batch.meant), record.keep.warmest_c
    lines = ["No pack of it was made. Had it gone on, by the card from there:"] if play.stopped else []
    lines += [
        f"Listeria, in a store at {warm:.1f} °C: at most {times(record.keep.listeria_log10_weakest)} as many "
        f"as on the first day. By the card: {times(card.keep.listeria_log10_weakest)}.",
        "Germs whose spores no cook kills, while the fish cooled: at most "
        f"{times(_spores(record))} as many. By the card: {times(_spores(card))}.",
    ]
    if "core" in game.standing(play):
        lines.append("The heat is not proven. So some may have lived through the cook, and these grow.")
    days = float(play.set_to["life_days"])
    if days < DAY:
        lines.append(f"The label ends on day {days:g}: by day 5 no pack of it may be sold.")
    told = growth.FROM_MEMORY.partition(":")[0]
    return (*lines, _GASES[str(play.set_to["pack"])], BEFORE, f"{told}. {NO_RELEASE}")


def _on_day_5(meant: BatchCard, done: BatchCard) -> BatchDay:
    return run(meant, done.replace(store_days=DAY))


def _spores(record: BatchDay) -> float:
    trace = record.chill.trace
    return spores.perfringens_ceiling(trace.time_min, trace.core_c).log10


def times(log10: float) -> str:
    """Return a growth in powers of ten as so many times, to two figures.

    Examples
    --------
    >>> times(0), times(1), times(1.234), times(9)
    ('no more than 1 time', '10 times', '17 times', 'more than 1000 times')
    """
    many = 10 ** max(0.0, log10)
    if many > 1000:
        return "more than 1000 times"
    if many < 1.05:
        return "no more than 1 time"
    return f"{many:.2g} times" if many < 100 else f"{round(many, -1):.0f} times"


def to_call_back(play: Play) -> Recall:
    """Return what a recall of this batch must find, had it gone out.

    Buyers and kilos go by the number of the batch. About half is with buyers by the first evening; invented.
    """
    seed, made_kg = play.batch.seed, sold_kg(play)
    draw, lot = Draw(seed).fork("buyers"), f"batch {seed}"
    moves = [LotMove("the delivery", lot, float(play.set_to["order_kg"]))]
    buyers = draw.sample(BUYERS, 3)
    for name in buyers:
        moves.append(LotMove(lot, name, round(made_kg * draw.step(0.15, 0.3, 0.05), 1)))
    left = round(made_kg - sum(move.mass_kg for move in moves[1:]), 1)
    return recall(moves, "the delivery", buyers, {lot: max(0.0, left)})


def recall_words(play: Play) -> tuple[str, ...]:
    """Return who has the packs, or who would have them had nobody stopped the batch."""
    found = to_call_back(play)
    sold = not play.stopped and not play.marks[-1].found
    who = ", ".join(f"{name} {kg:g} kg" for name, kg in sorted(found.customers.items()))
    tell = f"{who}; {found.in_house_kg:g} kg in your own store"
    if sold:
        lead = f"Were this batch called back tomorrow, these would have its packs: {tell}."
    else:
        lead = f"Nothing left the house, so nobody need be called. Had it gone out: {tell}."
    return (
        lead,
        f"That is {found.to_find_kg:.1f} kg to find, with {len(found.customers)} buyers to ring. A pack "
        "without a batch on its label cannot be found.",
    )


def other_ends(play: Play) -> tuple[OtherEnd, ...]:
    """Return each finding with the other decision: held where it was passed, passed where it was not.

    The rest goes by what was really set. After a hold, whatever shows is held too; after carrying on,
    nobody stops.
    """
    own, ends, seen = own_settings(play), [], set[str]()
    for each, before in zip(play.marks, play.before, strict=False):
        if not each.found or each.stage in seen:
            continue
        seen.add(each.stage)
        held = each.decision == "carry on"
        after = game.decide(before, "hold" if held else "carry on", FINE)
        told = " ".join(after.news) if held else ""
        end = play_on(after, own, _hold_findings if held else carry_on)
        asks = "What if you had held here?" if held else "What if you had carried on here?"
        ends.append(OtherEnd(each.title, asks, f"{told} {_ending(end)}".strip()))
    return tuple(ends)


def _hold_findings(play: Play) -> tuple[str, str, str]:
    return ("hold" if play.found else "carry on", FINE, "")


def _ending(end: Play) -> str:
    """Return in words where a batch would have ended."""
    if end.stopped:
        return (
            f"Chef would have stopped it ({lower(end.stage.title)}): {lower(FINDINGS[end.stopped].reason)}."
        )
    bad = game.standing(end)
    many = times(_on_day_5(end.batch.meant, end.done).keep.listeria_log10_weakest)
    sold = f"Yield {end.day.yield_pct:.0f} %, and {many} the Listeria by day 5, at the most."
    if bad:
        missed = "; ".join(lower(FINDINGS[key].reason) for key in bad)
        return f"It would have come to the end with this: {missed}. {sold} Chef would have to reject it then."
    return f"Every limit would have been met and proven. {sold}"
