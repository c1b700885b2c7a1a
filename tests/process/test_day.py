"""A whole day: the steps chained, the clock, the masses, and the mark that each fault leaves."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kit import rules
from kit.basics.errors import BadData, OutOfRange, UnknownName
from kit.process import day
from kit.process.day import STEPS, BatchCard, clock
from kit.process.faults import FAULTS, found, run_with, with_faults
from kit.process.steps import cook, fillet, load

CARD = BatchCard(core_target_c=64, chill_target_c=3)


def test_the_steps_follow_each_other_without_a_gap():
    done = day.run(CARD)
    assert [slot.step for slot in done.schedule] == list(STEPS)
    for before, after in zip(done.schedule, done.schedule[1:], strict=False):
        assert before.end_min == after.start_min
        assert before.end_clock == after.start_clock
    assert done.trace.time_min[-1] == pytest.approx(done.schedule[-1].end_min)
    assert np.all(np.diff(done.trace.time_min) > 0)
    names = [phase.name for phase in done.trace.phases]
    assert names[0] == "cure" and names[-1] == "store"
    assert names.index("smoke") < names.index("cook") < names.index("chill")


@pytest.mark.slow
@settings(max_examples=12, deadline=None)
@given(
    st.floats(20, 36), st.floats(2, 12), st.floats(2, 16), st.booleans(), st.floats(5, 90), st.floats(48, 70)
)
def test_masses_close_as_the_steps_report_them(mm, cure_h, dry_h, skin_on, wait, rh):
    card = CARD.replace(
        thickness_mm=mm, cure_h=cure_h, dry_h=dry_h, skin_on=skin_on, wait_min=wait, rh_pct=rh, cabinet_c=84.0
    )
    done = day.run(card)
    assert abs(done.masses.error_g) < 1e-6
    assert done.masses.end_g == pytest.approx(done.fillet.mass_g)
    assert 50 < done.yield_pct < 100


def test_doors_do_not_lose_a_gram():
    done = day.run(CARD.replace(doors=((4.0, 3.0), (20.0, 6.0))))
    assert abs(done.masses.error_g) < 1e-6


def test_how_hot_the_chips_smoulder_reaches_the_smoke():
    cool, hot = (day.run(CARD.replace(smoulder_c=temp_c)).smoke_quality for temp_c in (400.0, 500.0))
    assert hot.pah_relative > cool.pah_relative and hot.useful_relative < cool.useful_relative


def test_the_clock_on_the_wall():
    assert clock(22.5, 45) == "23:15"
    assert clock(22.5, 120) == "00:30 on day 2"


def test_trade_facts():
    """Common practice, no source: about 24 h from start to finish, chilled straight from the cabinet."""
    done = day.run(CARD.replace(cure_h=4.5, rest_h=2.0, dry_h=13.0, wait_min=5.0))
    assert 19 <= done.hours <= 27
    assert done.chill.trace.phase("carry-over") is None  # straight from the cabinet


def test_the_record_of_a_day_can_be_judged_like_any_other():
    done = day.run(CARD)
    part = done.trace.between(
        next(slot.start_min for slot in done.schedule if slot.step == "cook"),
        next(slot.end_min for slot in done.schedule if slot.step == "chill"),
    )
    verdicts = {each.rule: each.outcome for each in rules.judge(part, rules.load("us-processor"))}
    assert verdicts["us-processor-cook-hold"] == "met"
    late = run_with(CARD, ["late chilling"])
    part = late.trace.between(
        next(slot.start_min for slot in late.schedule if slot.step == "cook"),
        next(slot.end_min for slot in late.schedule if slot.step == "chill"),
    )
    judged = {each.rule: each.outcome for each in rules.judge(part, rules.load("ie"), step="chill")}
    assert judged["ie-chill-150"] == "not met"


def test_salt_does_not_even_out_overnight():
    """A known disagreement with trade talk: hours of rest leave the skin side almost without salt.

    Time goes with thickness squared: at 26 mm, one-sided, evening out takes days, not a night.
    """
    done = day.run(CARD)
    wps = done.dry.fillet.wps_pct
    assert wps[0] > 3 * max(wps[-1], 0.05)


def test_no_target_is_ever_assumed():
    with pytest.raises(TypeError):
        BatchCard()  # type: ignore[call-arg]  # that is the point


CARDS = {
    "the card": CARD,
    "thin": CARD.replace(thickness_mm=20.0),
    "thick and skinned": CARD.replace(thickness_mm=32.0, skin_on=False),
    "trout": CARD.replace(species="trout, farmed", cabinet_c=84.0, rh_pct=50.0),
}


OTHERS = {name: card for name, card in CARDS.items() if name != "the card"}  # that one has its own test below


@pytest.mark.parametrize("card", CARDS.values(), ids=CARDS)
def test_a_clean_day_shows_no_fault(card: BatchCard):
    assert found(day.run(card)) == ()


@pytest.mark.parametrize("name", FAULTS)
@pytest.mark.parametrize("card", OTHERS.values(), ids=OTHERS)
def test_a_fault_leaves_its_mark(card: BatchCard, name: str):
    assert name in found(run_with(card, [name]))


@pytest.mark.parametrize("name", FAULTS)
def test_on_the_card_of_the_day_a_fault_can_be_told_from_every_other(name: str):
    assert found(run_with(CARD, [name])) == (name,)


def drawn_card(generator: np.random.Generator) -> BatchCard:
    """Return an ordinary card of some other kitchen: the marks must not hang on our own settings."""
    even = generator.uniform
    return CARD.replace(
        core_target_c=float(generator.choice([62, 64, 66, 68, 70])),
        species=str(generator.choice(["char, farmed", "trout, farmed"])),
        thickness_mm=float(even(18, 36)),
        skin_on=bool(generator.random() < 0.7),
        cure_h=float(even(3, 10)),
        dry_h=float(even(6, 14)),
        cabinet_c=float(even(76, 88)),
        rh_pct=float(even(35, 60)),
        smoke_min=float(even(15, 40)),
        wait_min=float(even(5, 20)),
        hold_min=float(even(5, 35)),
    )


@pytest.mark.parametrize("seed", range(24))
def test_whatever_the_card_a_clean_day_shows_no_fault(seed: int):
    assert found(day.run(drawn_card(np.random.default_rng(seed)))) == ()


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("name", FAULTS)
def test_whatever_the_card_a_fault_can_be_told_from_every_other(name: str, seed: int):
    card = drawn_card(np.random.default_rng(1000 * seed + list(FAULTS).index(name)))
    assert found(run_with(card, [name])) == (name,)


def test_two_faults_leave_two_marks():
    assert set(found(run_with(CARD, ["short cure", "warm store"]))) == {"short cure", "warm store"}


def test_every_fault_is_told_in_words():
    for each in FAULTS.values():
        assert each.title and each.signature.endswith(".") and each.step
    with pytest.raises(UnknownName, match="fans off"):
        with_faults(CARD, ["fans of"])


def test_a_fuller_cabinet_is_damper_and_wetness_and_vents_do_what_a_cook_expects():
    piece = fillet.raw("char, farmed", 24, 180)
    few, many = (load.humidity_with_load(piece, kg, 78, fresh_air_m3_h=40) for kg in (2, 20))
    assert few.rh_pct < many.rh_pct < 100
    vented = load.humidity_with_load(piece, 20, 78, fresh_air_m3_h=400)
    assert vented.rh_pct < many.rh_pct
    dry = load.humidity_with_load(piece, 20, 78, fresh_air_m3_h=40, wetness=0.2)
    assert dry.rh_pct < many.rh_pct


def test_an_opened_door_cools_the_air_and_delays_the_cook():
    piece = fillet.raw("char, farmed", 24, 180)
    plan = cook.CabinetPlan(core_target_c=64, cabinet_c=80, rh_pct=55, smoke_min=10, hold_min=5)
    shut, opened = (load.cook_with_doors(piece, plan, doors) for doors in ([], [(6, 8)]))
    assert opened.minutes_to_target > shut.minutes_to_target + 8
    door = opened.trace.phase("door")
    assert door.minutes == pytest.approx(8)
    assert np.nanmin(opened.trace.during("door").air_c) < 40
    assert opened.fillet.mass_g == pytest.approx(
        piece.mass_g * (1 - (opened.evaporation_pct + opened.cook_out_pct) / 100), rel=1e-9
    )


@pytest.mark.parametrize(
    ("call", "error"),
    [
        (lambda: day.run(CARD.replace(cure_h=math.nan)), OutOfRange),
        (lambda: day.run(CARD.replace(thickness_mm=-3)), OutOfRange),
        (lambda: CARD.replace(pin_bones=2.5), OutOfRange),
        (lambda: CARD.replace(starts_h=30), OutOfRange),
        (lambda: CARD.replace(others_mm=(math.nan,)), OutOfRange),
        (lambda: CARD.replace(salt=3), UnknownName),
        (lambda: day.run(CARD.replace(chiller="blas")), UnknownName),
        (lambda: day.run(CARD.replace(species="pike")), UnknownName),
        (lambda: day.run(CARD.replace(doors=((5, 10), (8, 2)))), BadData),
        (lambda: day.run(CARD.replace(doors=((5, math.nan),))), OutOfRange),
        (lambda: load.join([]), BadData),
        (
            lambda: load.humidity_with_load(fillet.raw("char, farmed", 24, 180), 0, 80, fresh_air_m3_h=9),
            OutOfRange,
        ),
    ],
)
def test_bad_input_is_refused(call, error):
    with pytest.raises(error):
        call()


@pytest.mark.parametrize(
    "name",
    [each.name for each in dataclasses.fields(BatchCard) if isinstance(getattr(CARD, each.name), float)],
)
def test_no_setting_of_a_card_may_be_missing(name: str):
    with pytest.raises(OutOfRange):
        day.run(CARD.replace(**{name: math.nan}))


@pytest.mark.parametrize("bad", [{"heater_w": 0}, {"wait_min": -1}, {"tray_area_cm2": 0}, {"starts_h": 25}])
def test_a_card_out_of_range_is_refused(bad):
    with pytest.raises(OutOfRange):
        CARD.replace(**bad)


@pytest.mark.parametrize(
    ("species", "mm", "grams"), [("trout, farmed", 19, 250), ("salmon, farmed", 45, 900)]
)
def test_the_heat_is_turned_down_for_the_hold_so_the_core_goes_little_over_its_target(species, mm, grams):
    asked = CARD.replace(species=species, thickness_mm=mm, mass_g=grams, max_cook_min=300)
    turned_down = day.run(asked).cook
    as_before = day.run(asked.replace(hold_c=asked.cabinet_c)).cook
    assert as_before.peak_core_c > asked.core_target_c + 4
    assert turned_down.peak_core_c < asked.core_target_c + 3.5
    assert turned_down.held_min >= asked.hold_min
    assert turned_down.loss_pct < as_before.loss_pct
