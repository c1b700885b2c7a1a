"""Trimming: every gram has a place, yields multiply, and a portion costs what the whole fish did."""

import math
import tomllib
from pathlib import Path

import pytest

import kit.process
from kit.basics.errors import OutOfRange, UnknownName
from kit.process.steps import trim

SOURCES = tomllib.loads((Path(kit.process.__file__).parent / "sources.toml").read_text("utf-8"))


@pytest.mark.parametrize("entry", trim.PUBLISHED_YIELDS.values(), ids=trim.PUBLISHED_YIELDS)
def test_every_published_yield_has_a_source_and_plausible_bounds(entry):
    assert entry.source in SOURCES
    assert SOURCES[entry.source]["seen"] or not entry.seen
    assert 5 < entry.pct < 100
    assert math.isnan(entry.sd) or 0 < entry.sd < 5


@pytest.mark.parametrize("entry", trim.PUBLISHED_LOSSES, ids=lambda entry: entry.what)
def test_every_published_loss_has_a_source(entry):
    assert entry.source in SOURCES
    assert 5 < entry.low_pct <= entry.high_pct < 35


def test_losses_do_not_add():
    assert 100 - trim.chain_yield([90, 90]) == pytest.approx(19)
    assert trim.chain_yield(80) == pytest.approx(80)
    assert trim.chain_yield([]) == 100


def test_a_sheet_accounts_for_every_gram():
    pieces = [trim.Piece("frame", 300), trim.Piece("belly", 60, 5.0), trim.Piece("frame", 20)]
    sheet = trim.trim_sheet(1000, 610, pieces)
    assert sheet.kept_pct + sum(sheet.shares_pct.values()) + sheet.missing_pct == pytest.approx(100)
    assert sheet.shares_pct["frame"] == pytest.approx(32)
    assert sheet.worth_of_pieces == pytest.approx(0.3)
    assert sheet.note == ""
    assert "weigh again" in trim.trim_sheet(1000, 610, pieces[:1]).note


def test_cost_is_paid_by_whole_portions_and_closes():
    cost = trim.portion_cost(8000, 12.5, [57, 97, 80], 100, other_costs=14, worth_of_pieces=3)
    assert cost.portions * 100 + cost.left_over_g == pytest.approx(cost.finished_g)
    assert cost.portions * cost.cost_per_portion == pytest.approx(cost.total)
    assert cost.total == pytest.approx(8 * 12.5 + 14 - 3)
    assert cost.cost_per_kg_finished > 12.5 / trim.chain_yield([57, 97, 80]) * 100


def test_buying_turns_cost_round():
    need = trim.to_buy(40, 85, 44)
    assert trim.portion_cost(need, 10, [44], 85).portions == 40


BAD = [
    (lambda: trim.yield_pct(700, 455), "swapped"),
    (lambda: trim.yield_pct(float("nan"), 455), "after_g is nan"),
    (lambda: trim.yield_pct(1, 0), "before_g is 0"),
    (lambda: trim.chain_yield([65, 120]), "losses, not yields"),
    (lambda: trim.chain_yield([65, float("nan")]), "steps_pct is nan"),
    (lambda: trim.to_buy(0, 90, 45), "portions is 0"),
    (lambda: trim.to_buy(10, 90, 0), "yield_in_all_pct is 0"),
    (lambda: trim.trim_sheet(1000, 900, [trim.Piece("frame", 200)]), "in its tray"),
    (lambda: trim.trim_sheet(1000, 900, [trim.Piece("frame", -1)]), "mass of frame"),
    (lambda: trim.portion_cost(100, 10, [50], 90), "Is the portion in g"),
    (lambda: trim.portion_cost(1000, float("nan"), [50], 90), "price_per_kg is nan"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_a_number_outside_its_range_is_refused_with_the_likely_cause(call, words):
    with pytest.raises(OutOfRange, match=words):
        call()


def test_an_unknown_yield_lists_the_known_ones():
    with pytest.raises(UnknownName, match="trout, skin-on fillet"):
        trim.published_yield("trout, skin-on filet")
