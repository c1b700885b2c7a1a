"""Wood: the list, moisture, soaking, and every way to ask wrongly."""

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest

import kit.process
from kit.basics.errors import KitError, OutOfRange, UnknownName
from kit.process.physics import wood

SOURCES = tomllib.loads((Path(kit.process.__file__).parent / "sources.toml").read_text("utf-8"))


@pytest.mark.parametrize("entry", wood.woods(), ids=lambda entry: entry.name)
def test_every_entry_has_a_verdict_a_reason_and_a_source(entry):
    assert entry.verdict in {"use", "refuse"}
    assert len(entry.why) > 10
    assert entry.grade in {"agency", "handbook", "paper", "web", "contested", "common practice"}
    assert entry.source in SOURCES
    if not math.isnan(entry.density_g_cm3):
        assert entry.density_source in SOURCES
        assert SOURCES[entry.density_source]["seen"] == entry.density_seen
        assert 0.3 <= entry.density_low <= entry.density_g_cm3 <= entry.density_high <= 1.0
        assert entry.density_basis
    if entry.usable:
        assert entry.botanical
        assert not math.isnan(entry.density_g_cm3)


def test_no_name_stands_twice():
    names = [name.lower() for entry in wood.woods() for name in entry.names]
    assert len(names) == len(set(names))


def test_dense_woods_are_denser_than_light_ones():
    # Plausible order, against a slipped decimal: alder lightest, hickory and mesquite heaviest of the list.
    density = {entry.name: entry.density_g_cm3 for entry in wood.woods() if entry.usable}
    assert min(density, key=density.get) == "alder"
    assert max(density, key=density.get) == "mesquite"
    assert density["hickory"] > density["oak"] - 0.05 > density["cherry"]


def test_ten_or_more_woods_are_in_use():
    # Common practice, no source: ten or more woods in use, among them fruit woods, alder, mesquite, hawthorn.
    assert sum(entry.usable for entry in wood.woods()) >= 10
    for name in ("apple", "cherry", "alder", "mesquite", "hawthorn"):
        assert wood.check_wood(name).usable


@pytest.mark.parametrize("name", ["yew", "Oleander", " pine ", "pallet", "mountain laurel", "Taxus baccata"])
def test_what_the_list_refuses_is_refused_with_its_reason(name):
    with pytest.raises(wood.WoodRefused, match="is refused") as caught:
        wood.check_wood(name)
    assert caught.value.why
    assert isinstance(caught.value, KitError)


@pytest.mark.parametrize("name", ["baobab", "", "eucalyptus"])
def test_what_is_not_on_the_list_is_refused(name):
    with pytest.raises(wood.WoodRefused, match="not on the list"):
        wood.check_wood(name)
    with pytest.raises(UnknownName):
        wood.look_up(name)


def test_drier_air_makes_drier_wood_and_warmer_air_too():
    assert np.all(np.diff(wood.equilibrium_moisture(20, np.linspace(0, 95, 96))) > 0)
    assert np.all(np.diff(wood.equilibrium_moisture(np.linspace(10, 60, 51), 65)) < 0)
    assert wood.equilibrium_moisture(20, 0) == 0
    assert isinstance(wood.equilibrium_moisture(20, 65), float)


def test_beyond_the_checked_range_one_has_to_ask():
    with pytest.raises(OutOfRange, match="extrapolate=True"):
        wood.equilibrium_moisture(70, 50)
    assert 0 < wood.equilibrium_moisture(70, 50, extrapolate=True) < wood.equilibrium_moisture(60, 50)


def test_basis_goes_there_and_back():
    dry = np.linspace(0, 150, 11)
    assert wood.wet_to_dry_basis(wood.dry_to_wet_basis(dry)) == pytest.approx(dry)


def test_soaking_delays_and_little_else():
    # Common practice, no source: chips soaked and drained. Their water is 6 % of them, boils off in minutes,
    # and stores nothing that would make smoke last.
    dipped = wood.soaking(300, gain_pct=6, heater_w=800)
    undrained = wood.soaking(300, gain_pct=6, heater_w=800, film_g=60)
    assert dipped.delay_min < 1.5
    assert undrained.delay_min > 4 * dipped.delay_min
    assert dipped.heat_kj == pytest.approx(wood.drying_heat(318, 6.0), rel=1e-9)
    assert "repeat them" in dipped.grade


BAD = [
    (lambda: wood.equilibrium_moisture(20, 101), "rh_pct is 101"),
    (lambda: wood.equilibrium_moisture(float("nan"), 50), "temp_c is nan"),
    (lambda: wood.equilibrium_moisture(130, 50, extrapolate=True), "temp_c is 130"),
    (lambda: wood.dry_to_wet_basis(-1), "dry_pct is -1"),
    (lambda: wood.wet_to_dry_basis(80), "dry basis already"),
    (lambda: wood.moisture_from_weights(90, 100), "swapped"),
    (lambda: wood.moisture_from_weights(100, 0), "dry_g is 0"),
    (lambda: wood.drying_heat(float("nan"), 10), "chips_g is nan"),
    (lambda: wood.drying_heat(100, 10, 100), "start_c is 100"),
    (lambda: wood.soaking(100, gain_pct=120), "gain_pct is 120"),
    (lambda: wood.soaking(100, heater_w=0), "heater_w is 0"),
    (lambda: wood.soaking(100, film_g=-1), "film_g is -1"),
]


@pytest.mark.parametrize(("call", "words"), BAD)
def test_a_number_outside_its_range_is_refused_with_the_likely_cause(call, words):
    with pytest.raises(OutOfRange, match=words):
        call()
