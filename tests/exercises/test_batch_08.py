"""The whole-batch game: drawn by seed, gone through on the evidence alone, and marked at its end.

`by_evidence` is a player of our own. It looks at the readings a page shows and at the card, never at the
faults nor at what the game thinks the evidence calls for.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from kit.basics.errors import BadData, KitError, OutOfRange, UnknownName
from kit.exercises.lesson_08 import batch as game
from kit.exercises.lesson_08.batch_after import (
    NO_RELEASE,
    other_ends,
    pack_on_day_5,
    recall_words,
    times,
    to_call_back,
)
from kit.exercises.lesson_08.batch_limits import LAB_ERROR_PCT, PACKS, limits, salt_verdict
from kit.exercises.lesson_08.batch_plan import aim_words, forecast_ends, happened, plan
from kit.exercises.lesson_08.batch_progress import Play, clearing
from kit.exercises.lesson_08.batch_replay import at_best
from kit.exercises.lesson_08.batch_report import report, sold_kg
from kit.exercises.lesson_08.batch_run import USUAL_RULES, WET, draw_batch, laboratory_pct, run, stage_of
from kit.exercises.lesson_08.batch_story import (
    DECISIONS,
    FINDINGS,
    HARMS,
    LAST_REASONS,
    RECOMMENDATIONS,
    STAGES,
    reasons,
)
from kit.exercises.lesson_08.batch_text import card_words, evidence, order_words, record
from kit.exercises.lesson_08.days import loin_salt_pct
from kit.process.day import wetness
from kit.process.faults import FAULTS
from kit.rules import Profile, load

Call = tuple[str, str, str]
Player = Callable[[Play], Call]
FEW = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
SAFETY = {key for key, each in FINDINGS.items() if each.safety}


def by_card(play: Play) -> dict[str, Any]:
    """Return the settings of the card."""
    card = play.batch.meant
    return {
        "order_kg": round(2 * play.batch.shop_kg / 0.8 + 0.49) / 2,
        "cure_h": card.cure_h,
        "dry_h": card.dry_h,
        "speed_m_s": card.draught.speed_m_s,
        "wood_name": card.wood_name,
        "smoke_min": card.smoke_min,
        "cabinet_c": card.cabinet_c,
        "core_target_c": card.core_target_c,
        "hold_min": card.hold_min,
        "chiller": card.chiller,
        "wait_min": card.wait_min,
        "store_c": card.store_c,
        "life_days": play.batch.life_days,
        "pack": play.batch.pack,
        "lab": "sent",
    }


PLAYED = ("ie", "uk", "us-processor")


def by_evidence(play: Play) -> Call:
    """Decide from the readings and the card."""
    seen, card, told, may = play.seen, play.batch.meant, play.batch.limits, play.tried < 2
    cold_late = "took_min" in seen and any(
        took is None or took > (rule.minutes or 0) or verdict == "cannot tell"
        for took, rule, verdict in zip(seen["took_min"], told.chill, seen["verdicts"], strict=True)
    )
    looks: dict[str, list[tuple[bool, Call]]] = {
        "intake": [(seen.get("bones_in_10", 0) > 5, ("correct", "bones", "feel again"))],
        "cure": [
            (seen.get("air_c", 0) > told.cold_c, ("hold", "warm salt", "")),
            (seen.get("hours", 99) < 0.75 * card.cure_h, ("correct", "little salt", "back in salt")),
        ],
        "dry": [
            (seen.get("warm_min", 0) > 120, ("hold", "warm drying", "")),
            (seen.get("wet", False), ("correct", "no skin", "dry on")),
        ],
        "smoke": [
            (not seen.get("usable", True), ("hold", "refused wood", "")),
            (seen.get("wet", False), ("correct", "wet face", "drip and dry")),
            (seen.get("rh_pct", 99) < card.rh_pct - 20, ("correct", "dry air", "vents")),
            (
                seen.get("delay_min", 0) > 0.2 + 3 * seen.get("card_delay_min", 9),
                ("correct", "late smoke", "new chips"),
            ),
        ],
        "cook": [
            (
                seen.get("probe_2_c", 0) < seen.get("sure_c", 99)
                or seen.get("held_min", 0) < told.row.minutes,
                ("correct" if may else "hold", "core", "longer" if seen.get("reached") else "hotter"),
            )
        ],
        "chill": [(cold_late, ("correct" if may else "carry on", "slow cold", "blast"))],
        "pack": [
            (cold_late, ("hold", "missed cold", "")),
            (
                seen.get("store_c", 0) > told.store_c - 0.5,
                ("correct" if may else "hold", "store", "other store"),
            ),
            (
                seen.get("life_days", 0) > play.batch.life_days,
                ("correct" if may else "hold", "life", "new label"),
            ),
            (
                seen.get("lab_pct", 9) is None,
                ("correct" if may else "hold", "salt", "laboratory"),
            ),
            (
                seen.get("pack", "") != play.batch.pack,
                ("correct" if may else "hold", "salt", "repack"),
            ),
            (
                may
                and (seen.get("lab_others_pct") or 0)
                >= (told.salt[play.batch.pack].minimum or 0) + LAB_ERROR_PCT
                > (seen.get("lab_pct") or 9),
                ("correct", "salt", "put apart"),
            ),
            (
                (seen.get("lab_pct") or 9) < (told.salt[play.batch.pack].minimum or 0) + LAB_ERROR_PCT,
                ("hold", "salt", ""),
            ),
        ],
    }
    return next((call for there, call in looks[play.stage.key] if there), ("carry on", "fine", ""))


def carry_on(play: Play) -> Call:
    return ("carry on", "fine", "")


def go(
    seed: int,
    player: Player = by_evidence,
    last: str = "",
    own: dict[str, Any] | None = None,
    profile: Profile = USUAL_RULES,
) -> Play:
    """Play a batch to its end: by the card's settings unless told otherwise."""
    play = game.start(seed, profile)
    while play.phase != "end":
        if play.phase == "set":
            play = game.set_dials(play, {**by_card(play), **(own or {})})
        elif play.phase == "decide":
            play = game.decide(play, *player(play))
        else:
            bad = any(each.unsafe for each in play.marks)
            call = last or ("hold" if bad else "go on")
            play = game.recommend(play, call, "missed" if bad else "fine")
    return play


def seed_with(*names: str, alone: bool = True) -> int:
    """Return the first seed whose batch has these faults, and no other if ``alone``."""
    wanted = set(names)
    return next(
        seed
        for seed in range(4000)
        if (found := set(draw_batch(seed).wrong)) == wanted or (not alone and wanted <= found)
    )


def by_aim(play: Play) -> dict[str, Any]:
    """Return settings worked out from the aims and the notes of the house alone."""
    batch, said = play.batch, aim_words(play.batch, play.stage.key)
    numbers = [float(each) for each in re.findall(r"\d+(?:\.\d+)?", said)]
    known = {**by_card(play), "pack": batch.pack, "life_days": batch.life_days}
    if play.stage.key == "cure":
        aim_pct, (mm, note_pct, hours) = numbers[0], numbers[3:6]
        known["cure_h"] = round(hours * (batch.meant.thickness_mm / mm * aim_pct / note_pct) ** 2)
    if play.stage.key == "dry":
        known["speed_m_s"], known["dry_h"] = numbers[3:5]
    if play.stage.key == "smoke":
        known["smoke_min"] = 5 * round(sum(numbers[:2]) / 10)
    if play.stage.key == "cook":
        known |= {"core_target_c": numbers[0] + 1.5, "hold_min": batch.limits.row.minutes + 5}
        known["cabinet_c"] = sum(numbers[-2:]) / 2
    return known


@pytest.mark.slow
@pytest.mark.parametrize("name", PLAYED)
@pytest.mark.parametrize("seed", range(3))
def test_the_aims_and_the_notes_are_enough_to_set_a_batch_by(seed: int, name: str):
    play = game.start(seed, load(name))
    while play.phase not in ("recommend", "end"):
        step = play.phase == "set"
        play = game.set_dials(play, by_aim(play)) if step else game.decide(play, *by_evidence(play))
    if play.phase == "recommend":
        told = report(game.recommend(play, "go on", "fine"))
        assert told.points == told.of, (told.marks, told.bands)


@pytest.mark.slow
def test_forecasts_are_held_against_the_day_as_it_went_and_say_the_error():
    """From memory of the trade: a face on a windy rack dulls in hours, a thin fillet is cold in 1 to 3 h."""
    said = {"salt_pct": 3.0, "yield_pct": 80.0, "pellicle_h": 2.0, "chill_min": 90.0}
    seed = seed_with()
    play = plan(game.start(seed), said)
    assert [each.happened for each in forecast_ends(play)] == ["The batch never came so far."] * 4
    with pytest.raises(BadData):
        plan(play, said)
    planned, blind = replace(go(seed), plan=play.plan), go(seed)
    assert report(planned).points == report(blind).points and not forecast_ends(blind)
    day = planned.day
    salt, share, pellicle, cold = (happened(planned.batch, day, key) for key in said)
    assert salt == loin_salt_pct(day) and share == day.yield_pct
    assert pellicle is not None and cold is not None and 0.5 < pellicle < 10 and 30 < cold < 180
    record = planned.batch.meant.replace(dry_h=round(pellicle, 2))
    assert wetness(run(planned.batch.meant, record).dry) == pytest.approx(WET, abs=0.03)
    off = forecast_ends(replace(planned, plan=(("salt_pct", round(salt + 1, 1)),)))[0]
    assert off.off == "1 % too high" and off.far > 1
    still = go(seed_with("fans off"), carry_on)
    assert happened(still.batch, still.day, "pellicle_h") is None


def test_a_seed_fixes_the_batch_and_two_seeds_differ():
    assert draw_batch(11) == draw_batch(11) != draw_batch(12)
    assert len({(each.meant, each.shop_kg, each.wrong) for each in map(draw_batch, range(50))}) > 40


def test_the_batches_of_a_few_numbers_are_those_of_the_first_day():
    """Golden values: a number read out to a friend must give the same batch in a later kit."""
    batches = {seed: draw_batch(seed) for seed in (7, 19, 441)}
    assert {key: (each.meant.thickness_mm, each.shop_kg, each.wrong) for key, each in batches.items()} == {
        7: (30.0, 8.0, ("warm cure", "late chilling")),
        19: (30.0, 8.0, ("fans off", "mixed thickness", "warm store")),
        441: (30.0, 9.0, ("fans off", "late chilling")),
    }


def test_every_fault_strikes_within_400_seeds_and_0_to_3_of_them_at_most_one_a_stage():
    drawn = [draw_batch(seed).wrong for seed in range(400)]
    assert {name for each in drawn for name in each} == set(FAULTS)
    assert {len(each) for each in drawn} == {0, 1, 2, 3}
    for each in drawn:
        places = [[stage.key for stage in STAGES].index(stage_of(name)) for name in each]
        assert all(a < b for a, b in pairwise(places))


@pytest.mark.parametrize("name", PLAYED)
def test_the_card_of_every_batch_stands_on_the_limits_of_its_profile(name: str):
    profile = load(name)
    told = limits(profile)
    for seed in range(30):
        card = draw_batch(seed, profile).meant
        assert card.core_target_c > told.row.temp_c + 0.5 and card.hold_min >= told.row.minutes
        assert (
            card.chill_target_c < min(rule.maximum for rule in told.chill if rule.maximum is not None) - 0.5
        )
        assert card.store_c < told.store_c - 0.5
    with pytest.raises(BadData, match="no number for cook, chill, store"):
        draw_batch(1, load("codex"))
    with pytest.raises(BadData, match="no number for cook"):
        draw_batch(1, load("us-retail"))  # 63 °C for 15 s is for a plate, not for fish that is kept


@pytest.mark.parametrize("seed", [0, 1, *(pytest.param(n, marks=pytest.mark.slow) for n in range(2, 24))])
def test_who_follows_the_evidence_by_the_card_gets_every_point_of_the_decisions(seed: int):
    told = report(go(seed))
    assert [(each.stage, each.decided, each.called_for) for each in told.marks if each.points < each.of] == []
    assert not told.unsafe
    assert all(each.outcome == "met" for each in told.verdicts)
    assert all(each.met for each in told.bands)
    assert told.points == told.of > 0


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(FAULTS))
def test_each_fault_alone_can_be_read_and_is_named_at_the_end_only(name: str):
    seed = seed_with(name)
    play = go(seed)
    told = report(play)
    assert told.points == told.of, [each for each in told.marks if each.points < each.of]
    assert any(FAULTS[name].title[1:] in each for each in told.account)
    assert bool(play.stopped) == (name in ("warm cure", "resinous wood"))


@pytest.mark.slow
@pytest.mark.parametrize("name", PLAYED[1:])
@pytest.mark.parametrize("seed", range(4))
def test_another_profile_plays_as_well(name: str, seed: int):
    told = report(go(seed, profile=load(name)))
    assert told.points == told.of and all(each.outcome == "met" for each in told.verdicts)


@pytest.mark.slow
@pytest.mark.parametrize(
    "name", ["warm cure", "resinous wood", "mixed thickness", "late chilling", "warm store", "fans off"]
)
def test_carrying_on_past_a_limit_gives_nothing_for_the_whole_batch(name: str):
    play = go(seed_with(name), carry_on)
    told = report(play)
    assert told.unsafe and told.points == 0 < told.of
    assert SAFETY & {key for each in told.marks for key in each.found}
    assert "rejected" in told.chef


@pytest.mark.slow
def test_to_let_a_doubtful_batch_go_is_unsafe_even_at_the_very_end():
    play = go(seed_with("warm store"), carry_on, last="go on")
    assert play.marks[-1].unsafe and play.marks[-1].points == 0


@pytest.mark.slow
def test_a_missed_core_and_nothing_hidden_is_ones_own_doing():
    play = go(seed_with(), carry_on, own={"core_target_c": 62.0, "hold_min": 0.0})
    told = report(play)
    assert told.unsafe and told.points == 0
    assert told.verdicts[0].outcome != "met"
    assert any(each.startswith("Cook, by what you set or did") for each in told.account)


@pytest.mark.slow
@pytest.mark.parametrize("name", PLAYED)
@pytest.mark.parametrize("pack", sorted(PACKS))
def test_an_unsalted_batch_is_never_met_and_proven(name: str, pack: str):
    """The attack: 2 h of salt, everything else by the card, and on to the shop."""
    seed = next(seed for seed in range(400) if not draw_batch(seed, load(name)).wrong)
    for lab in ("sent", "none"):
        own = {"cure_h": 2, "pack": pack, "lab": lab}
        told = report(go(seed, carry_on, last="go on", own=own, profile=load(name)))
        assert told.verdicts[-1].outcome != "met"
        assert told.unsafe and told.points == 0
        assert "rejected" in told.chef and told.figures == ("Nothing of this batch is sold.",)
    assert told.verdicts[-1].outcome == "cannot tell", "no figure is not proven"


@pytest.mark.slow
@pytest.mark.parametrize("name", PLAYED)
def test_well_salted_fish_without_a_figure_is_not_proven_and_a_figure_mends_it(name: str):
    profile = load(name)
    seed = next(seed for seed in range(400) if not draw_batch(seed, profile).wrong)
    blind = report(go(seed, carry_on, last="go on", own={"lab": "none"}, profile=profile))
    assert blind.unsafe and blind.verdicts[-1].outcome == "cannot tell"
    seen = report(go(seed, own={"lab": "none"}, profile=profile))
    assert not seen.unsafe and seen.verdicts[-1].outcome == "met"


@pytest.mark.slow
def test_a_vacuum_pack_without_a_rule_cannot_be_told_and_air_under_a_vacuum_card_is_only_the_wrong_pack():
    sound = seed_with()
    told = report(go(sound, carry_on, last="go on", own={"pack": "vacuum"}))
    assert told.unsafe and told.verdicts[-1].outcome == "cannot tell"
    maker = load("us-processor")
    seed = next(s for s in range(400) if not (b := draw_batch(s, maker)).wrong and b.pack == "vacuum")
    told = report(go(seed, carry_on, own={"pack": "air"}, profile=maker))
    assert not told.unsafe and told.points < told.of
    assert [each.found for each in told.marks if each.stage == "pack"] == [("other pack",)]


@pytest.mark.slow
@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 5000), hours=st.integers(1, 16), name=st.sampled_from(PLAYED))
def test_a_figure_that_proves_the_salt_is_never_wrong_and_the_card_always_gives_one(seed, hours, name):
    """The laboratory is off by chance, for better or worse: its stated error covers that."""
    batch = draw_batch(seed, load(name))
    rule = batch.limits.salt[batch.pack]
    for cure_h in (float(hours), batch.meant.cure_h):
        record = run(batch.meant, batch.meant.replace(cure_h=cure_h))
        figure = laboratory_pct(batch, record)
        assert abs(figure - loin_salt_pct(record)) <= LAB_ERROR_PCT + 1e-9
        if salt_verdict(rule, figure).outcome == "met":
            assert record.chill.fillet.mean_wps_pct >= rule.minimum
        else:
            assert cure_h < batch.meant.cure_h


@pytest.mark.slow
def test_a_thick_piece_short_of_salt_is_put_apart_and_never_goes_to_the_shop():
    """The attack: cure for the usual piece, hang a thicker one beside it, tell the salt of the first."""
    seed = seed_with("mixed thickness")
    end = go(seed)
    assert any("Put the thickest pieces apart" in each.decided for each in end.marks)
    assert not report(end).unsafe and report(end).verdicts[-1].outcome == "met"

    def all_packed(play: Play) -> Call:
        return ("carry on", "fine", "") if play.stage.key == "pack" else by_evidence(play)

    told = report(go(seed, all_packed, last="go on"))
    assert told.unsafe and told.verdicts[-1].outcome == "not met"


def test_the_loin_is_judged_as_it_is_sold_and_not_before_the_cook():
    record = go(seed_with()).day
    finished, before = record.chill.fillet.mean_wps_pct, record.dry.fillet.mean_wps_pct
    assert finished > before, "evaporation leaves the salt behind"
    assert loin_salt_pct(record) <= finished < loin_salt_pct(record) + 0.1


def test_too_careful_costs_and_is_never_unsafe():
    sound = seed_with()
    held, thrown = (
        report(go(sound, lambda play, call=call: (call, "fine", ""))) for call in ("hold", "reject")
    )
    best = report(go(sound))
    assert best.points == best.of
    assert 0 < thrown.points < held.points < best.points
    assert not held.unsafe and not thrown.unsafe
    assert "go to the shop" in held.chef


@pytest.mark.slow
@pytest.mark.parametrize(("remedy", "points"), [("soak", 0.5), ("to the cold", 0.5)])
def test_to_mend_what_was_sound_earns_half_a_point(remedy: str, points: float):
    def busy(play: Play) -> Call:
        idle = play.stage.key == "cure" and not play.found and not play.tried
        return ("correct", "fine", remedy) if idle else by_evidence(play)

    told = report(go(seed_with(), busy))
    assert [each.points for each in told.marks if each.stage == "cure"] == [points, 2.0]
    assert not told.unsafe


def test_a_remedy_that_brings_a_new_trouble_earns_nothing():
    def hurried(play: Play) -> Call:
        idle = play.stage.key == "dry" and not play.found and not play.tried
        return ("correct", "fine", "hurry") if idle else by_evidence(play)

    play = go(seed_with(), hurried)
    assert [each.points for each in play.marks if each.stage == "dry"] == [0.0, 2.0]
    assert play.stopped == "warm drying"


@pytest.mark.slow
def test_hot_fish_is_never_packed_to_cool_it():
    """The attack: the bag in ice is the fastest cold there is, and it packs hot fish without air."""

    def bagged(play: Play) -> Call:
        hot = play.stage.key == "chill" and play.found and not play.tried
        return ("correct", "slow cold", "bag and ice") if hot else by_evidence(play)

    own = {"chiller": "stacked trays"}
    told = report(go(seed_with(), bagged, own=own))
    assert told.unsafe and told.points == 0
    assert any("never packed warm" in each.why for each in told.marks)
    chill = next(each for each in STAGES if each.key == "chill")
    assert "ice" not in dict(chill.dials[0].options)


@pytest.mark.slow
def test_a_lowered_target_is_a_bent_record():
    def bend(play: Play) -> Call:
        bent = play.stage.key == "cook" and play.found and not play.tried
        return ("correct", "core", "lower") if bent else by_evidence(play)

    told = report(go(seed_with("mixed thickness"), bend))
    assert told.unsafe and told.points == 0
    assert any("never lowered" in each.why for each in told.marks)


@pytest.mark.slow
def test_a_wrong_reason_loses_its_point():
    def right_for_the_wrong_reason(play: Play) -> Call:
        call = by_evidence(play)
        return (call[0], "usual", call[2]) if play.stage.key == "dry" else call

    seed = seed_with("fans off")
    right, wrong = report(go(seed)), report(go(seed, right_for_the_wrong_reason))
    lost = [each for each in wrong.marks if each.points < each.of]
    assert [each.stage for each in lost] == ["dry", "dry"]
    assert wrong.counts_pct == 50  # half of that stage's points, so half of the whole
    assert wrong.points == 0.5 * (right.points - 2)
    assert all("Your reason was another one." in each.why for each in lost)


@pytest.mark.slow
def test_who_does_not_read_the_findings_never_comes_near_the_top():
    """The script in tests/benchmarks prints it over 40 batches; three of them are held here."""
    seed = seed_with("fans off")
    for player, most in ((carry_on, 25.0), (lambda play: ("hold", "fine", ""), 30.0)):
        told = report(go(seed, player))
        assert 100 * told.points / told.of <= most

    def never_mends(play: Play) -> Call:
        return ("hold", by_evidence(play)[1], "") if play.found else by_evidence(play)

    held = report(go(seed, never_mends))
    assert 100 * held.points / held.of <= 75  # to hold what could be put right is safe, and costs
    assert "1 stage showed something. You read 0 of 1 rightly" in held.counts


@pytest.mark.slow
def test_a_remedy_really_changes_the_rest_of_the_run():
    seed = seed_with("fans off")
    mended = go(seed)
    assert mended.day.dry.loss_pct > 1 > go(seed, carry_on).day.dry.loss_pct
    assert mended.day.cook.reached and not go(seed, carry_on).day.cook.reached
    assert mended.lost_min > 60


@pytest.mark.slow
def test_a_useless_remedy_leaves_the_evidence_as_it_is_and_asks_again():
    play = game.set_dials(game.start(seed_with("missed bones")), {"order_kg": 10})
    again = game.decide(play, "correct", "bones", "more ice")
    assert again.phase == "decide" and again.stage.key == "intake" and again.found == ("bones",)
    assert again.marks[-1].points == 0
    twice = game.decide(again, "correct", "bones", "pick out")
    with pytest.raises(BadData, match="twice"):
        game.decide(twice, "correct", "bones", "feel again")
    assert clearing(twice, twice.found) == ()


@pytest.mark.slow
def test_warming_the_room_to_dry_faster_ends_at_chef_and_the_loss_is_ones_own():
    def hurry(play: Play) -> Call:
        wet = play.stage.key == "dry" and play.found == ("no skin",)
        return ("correct", "no skin", "hurry") if wet else by_evidence(play)

    def hurry_and_hide(play: Play) -> Call:
        warm = "warm drying" in play.found and play.tried < 2
        return ("correct", "warm drying", "dry on") if warm else hurry(play)

    assert go(seed_with("fans off"), hurry_and_hide).stopped == "warm drying"
    play = go(seed_with("fans off"), hurry)
    told = report(play)
    assert play.stopped == "warm drying" and not told.unsafe
    assert told.points < 0.6 * told.of and not told.bands
    assert any("by what you set or did" in each for each in told.account)


@pytest.mark.slow
def test_a_batch_lost_after_a_wrong_decision_loses_its_quality_points():
    """Late chilling could still be mended when it showed; who carried on and then held lost the batch."""

    def slow(play: Play) -> Call:
        return ("carry on", "fine", "") if play.stage.key == "chill" else by_evidence(play)

    play = go(seed_with("late chilling"), slow)
    told = report(play)
    assert play.stopped == "missed cold" and not told.unsafe
    assert told.of == sum(each.of for each in told.marks) + 7
    assert told.counts_pct == 25
    assert 0 < told.points == 0.25 * sum(each.points for each in told.marks)


def test_hold_on_what_you_could_mend_lets_chef_mend_it():
    def careful(play: Play) -> Call:
        call = by_evidence(play)
        return ("hold", call[1], "") if call[0] == "correct" else call

    told = report(go(seed_with("warm store"), careful))
    assert not told.unsafe and all(each.outcome == "met" for each in told.verdicts)
    assert [each.points for each in told.marks if each.stage == "pack"] == [1.5]


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(FAULTS))
def test_the_evidence_never_says_what_the_fault_is_called(name: str):
    play = game.start(seed_with(name))
    texts = [order_words(play.batch)]
    while play.phase != "end":
        if play.phase == "set":
            texts.append(card_words(play.batch, play.stage.key))
            play = game.set_dials(play, by_card(play))
        elif play.phase == "decide":
            texts += evidence(play.batch, play.stage.key, play.seen)
            shown = record(play.batch, play.day, play.stage.key, play.seen)
            texts.append(shown["words"] if shown else "")
            play = game.decide(play, *by_evidence(play))
            texts += play.news
        else:
            play = game.recommend(play, "go on", "fine")
    page = " ".join(texts).lower()
    for fault in FAULTS.values():
        assert fault.name not in page and fault.title.lower() not in page


def test_the_words_of_choice_never_say_what_a_fault_is_called():
    words = [each.title + each.intro for each in STAGES]
    words += [text for each in STAGES for _, text in each.fixes]
    words += [text for each in STAGES for text in reasons(each.key).values()]
    words += [label for each in STAGES for dial in each.dials for _, label in dial.options]
    words += [*DECISIONS.values(), *RECOMMENDATIONS.values(), *LAST_REASONS.values()]
    page = " ".join([*words, *FINDINGS]).lower()
    for fault in FAULTS.values():
        assert fault.name not in page and fault.title.lower() not in page


def test_the_record_grows_with_the_stages_and_its_words_hold_its_ends():
    play = game.start(seed_with())
    until: dict[str, float] = {}
    while play.phase != "recommend":
        if play.phase == "set":
            play = game.set_dials(play, by_card(play))
            continue
        shown = record(play.batch, play.day, play.stage.key, play.seen)
        assert (shown is None) == (play.stage.key == "intake")
        if shown:
            said = shown["words"].replace("\N{MINUS SIGN}", "-")
            until[play.stage.key] = shown["series"][0]["time"][-1]
            for series in shown["series"]:
                assert len(series["time"]) == len(series["value"])
                assert f"{series['name']} {series['value'][-1]:g} {series['unit']}" in said
        play = game.decide(play, *by_evidence(play))
    assert until["cure"] < until["dry"]
    assert until["smoke"] < until["cook"] < until["chill"] < until["pack"]


@st.composite
def calls(draw: st.DrawFn) -> dict[str, Any]:
    own = {
        dial.key: draw(st.sampled_from([key for key, _ in dial.options]))
        if dial.options
        else draw(st.integers(0, round((dial.high - dial.low) / dial.step))) * dial.step + dial.low
        for stage in STAGES
        for dial in stage.dials
    }
    picks = draw(st.lists(st.tuples(st.integers(0, 11), st.integers(0, 11), st.integers(0, 11)), min_size=24))
    return {"own": own, "picks": picks}


def at_random(picks: list[tuple[int, int, int]]) -> Player:
    """Return a player who follows the numbers picked, whatever the evidence says."""
    left = list(picks)

    def player(play: Play) -> Call:
        a, b, c = left.pop() if left else (0, 0, 0)
        names = [each for each in DECISIONS if each != "correct" or play.tried < 2]
        fixes, why = [key for key, _ in play.stage.fixes], list(reasons(play.stage.key))
        return names[a % len(names)], why[b % len(why)], fixes[c % len(fixes)]

    return player


@pytest.mark.slow
@FEW
@given(seed=st.integers(0, 100_000), drawn=calls())
def test_whatever_is_done_the_marks_are_bounded_honest_and_the_same_again(seed: int, drawn: dict[str, Any]):
    first, second = (go(seed, at_random(drawn["picks"]), last="go on", own=drawn["own"]) for _ in range(2))
    told, again = report(first), report(second)
    assert first == second and (told.points, told.account, told.marks) == (
        again.points,
        again.account,
        again.marks,
    )
    assert 0 <= told.points <= told.of
    assert all(0 <= each.points <= each.of for each in told.marks)
    passed = any(
        each.decided.startswith("Carry on") and SAFETY & set(each.found)
        for each in told.marks
        if each.stage != "end"
    )
    bent = any("never lowered" in each.why for each in told.marks)
    let_go = bool(told.verdicts) and any(each.outcome != "met" for each in told.verdicts)
    if passed or bent or let_go:
        assert told.unsafe and told.points == 0
    if not first.stopped:
        assert ("go to the shop" in told.chef) == (not game.standing(first))


@pytest.mark.parametrize("number", [0, *(pytest.param(n, marks=pytest.mark.slow) for n in range(1, 12))])
def test_every_lost_point_is_explained_by_its_evidence_and_only_true_causes_are_blamed(number: int):
    chance = Random(number)
    picks = [(chance.randrange(12), chance.randrange(12), chance.randrange(12)) for _ in range(24)]
    own = {"cure_h": chance.randint(2, 12), "dry_h": chance.randint(2, 10), "store_c": chance.randint(0, 6)}
    end = go(chance.randrange(1000), at_random(picks), last="go on", own=own)
    told = report(end)
    for each in told.marks:
        if each.points == each.of or each.stage == "end":
            continue
        said = [FINDINGS[key].why for key in each.found] or ["No limit was missed"]
        assert any(why in each.why for why in (*said, *HARMS.values())) and each.called_for
        for_decision = each.points - each.for_reason
        if for_decision == 0.5 and each.decision == "hold":
            assert "safe" in each.why
        if for_decision == 1 and each.for_reason == 0:
            assert "Your reason was another one." in each.why
    best = at_best(end.batch)
    blamed = any("lost by what was set or decided" in line for line in told.account)
    assert blamed == (bool(end.stopped) and best.stopped != end.stopped)
    if not end.batch.wrong:
        assert told.account[0] == "Nothing went wrong by itself today."
        assert all(not mark.found for mark in best.marks)


@pytest.mark.slow
def test_bad_luck_is_not_blamed_on_a_mistake_that_changed_nothing():
    """The attack: a useless soak earns nothing; then wood that nobody could mend ends the batch."""

    def useless(play: Play) -> Call:
        idle = play.stage.key == "intake" and not play.tried
        return ("correct", "fine", "more ice") if idle else by_evidence(play)

    def hurts_nothing(play: Play) -> Call:
        return ("reject", "fine", "") if play.stage.key == "intake" else useless(play)

    end = go(seed_with("resinous wood"), hurts_nothing)
    assert end.stopped == "refused wood" and end.marks[0].points == 0
    assert not any("not by bad luck" in line for line in report(end).account)
    assert not report(end).bands and report(end).of == 2 * len(end.marks)


@pytest.mark.slow
def test_a_right_remedy_is_never_blamed_for_a_fault_that_shows_later():
    seed = 19  # still fans, a thicker piece, a warm store: dried on, it is the thick piece that fails
    told = report(go(seed))
    assert not any("by what you set or did" in line for line in told.account)


@pytest.mark.slow
def test_the_other_decision_is_played_through_the_same_game():
    warm = go(seed_with("warm store"), carry_on)
    (other,) = [each for each in other_ends(warm) if each.title == "Pack and store"]
    assert other.asks == "What if you had held here?"
    assert "other cold store" in other.words and "Every limit would have been met" in other.words
    held = go(seed_with("warm store"))
    (back,) = other_ends(held)
    assert back.asks == "What if you had carried on here?" and "warmer than its limit" in back.words
    assert other_ends(go(seed_with())) == ()


@pytest.mark.slow
def test_the_pack_on_day_5_is_the_days_own_and_warm_costs():
    warm, cold = go(seed_with("warm store"), carry_on), go(seed_with("warm store"))
    for play in (warm, cold):
        record = run(play.batch.meant, play.done.replace(store_days=5.0))
        assert times(record.keep.listeria_log10_weakest) in pack_on_day_5(play)[0]
    assert "7.5 °C" in pack_on_day_5(warm)[0] and pack_on_day_5(warm)[0] != pack_on_day_5(cold)[0]
    for play in (warm, cold, go(seed_with("warm cure"))):
        assert NO_RELEASE in pack_on_day_5(play)[-1]
    assert pack_on_day_5(go(seed_with("warm cure")))[0].startswith("No pack of it was made.")


@pytest.mark.slow
@given(seed=st.integers(0, 10_000))
@settings(max_examples=20, deadline=None)
def test_a_recall_finds_every_kilo_that_was_made(seed: int):
    play = game.start(seed)
    found = to_call_back(play)
    assert found.to_find_kg == pytest.approx(sold_kg(play), abs=0.11) and found.in_house_kg > 0
    assert len(found.customers) == 3 and all(kg > 0 for kg in found.customers.values())


def test_a_batch_that_chef_kept_back_has_left_the_house_to_nobody():
    assert recall_words(go(seed_with("warm store"), carry_on))[0].startswith("Nothing left the house")
    assert recall_words(go(seed_with()))[0].startswith("Were this batch called back")


# Probe 2 peaks at 75.473 °C where 75.5 °C is sure: shown as 75.5 °C, the page proved more than the record.
JUST_BELOW = {"order_kg": 6.0, "cure_h": 1, "dry_h": 1, "speed_m_s": 0.5, "wood_name": "alder"}
JUST_BELOW |= {"smoke_min": 5, "cabinet_c": 86, "core_target_c": 70.0, "hold_min": 35, "chiller": "blast"}
JUST_BELOW |= {"wait_min": 5, "store_c": 0.0, "life_days": 1}


@pytest.mark.slow
@FEW
@example(seed=76, drawn={"own": JUST_BELOW, "picks": []})
@given(seed=st.integers(0, 100_000), drawn=calls())
def test_whatever_was_set_who_follows_the_evidence_is_never_unsafe(seed: int, drawn: dict[str, Any]):
    told = report(go(seed, by_evidence, own=drawn["own"]))
    assert not told.unsafe
    assert 0 <= told.points <= told.of


@pytest.mark.parametrize(
    ("values", "error"),
    [
        ({}, BadData),
        ({"order_kg": "lots"}, BadData),
        ({"order_kg": float("nan")}, BadData),
        ({"order_kg": True}, BadData),
        ({"order_kg": 400}, OutOfRange),
    ],
)
def test_a_setting_that_cannot_be_is_refused(values: dict[str, Any], error: type[KitError]):
    with pytest.raises(error):
        game.set_dials(game.start(3), values)


def test_a_step_out_of_turn_or_off_the_list_is_refused():
    play = game.start(3)
    with pytest.raises(BadData):
        game.decide(play, "carry on", "fine")
    with pytest.raises(BadData):
        report(play)
    ready = game.set_dials(play, {"order_kg": 10})
    for call in (("release", "fine", ""), ("carry on", "core", ""), ("correct", "fine", "dab")):
        with pytest.raises(UnknownName):
            game.decide(ready, *call)
    with pytest.raises(BadData):
        game.recommend(ready, "go on", "fine")
    end = replace(ready, phase="recommend", number=7)
    with pytest.raises(UnknownName):
        game.recommend(end, "carry on", "fine")


def test_a_day_without_a_fault_says_so_and_shows_every_band_and_rule():
    told = report(go(seed_with()))
    assert told.account[0] == "Nothing went wrong by itself today."
    assert len(told.bands) == 7 and len(told.verdicts) == 5
