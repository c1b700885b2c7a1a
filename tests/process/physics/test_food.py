"""Composition, mixing rules and the solver's table."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import OutOfRange, UnknownName
from kit.process.physics import food
from kit.process.physics.food import Composition, properties
from kit.process.physics.species import species

SALMON, HADDOCK = (species(name).composition for name in ("salmon, farmed", "haddock"))


def test_a_composition_is_brought_to_100():
    made = Composition(71, 19, 10, ash_pct=1.2)
    assert sum(made.shares()) == pytest.approx(100, abs=1e-12)
    assert made.water_pct == pytest.approx(71 / 101.2 * 100)


@pytest.mark.parametrize("shares", [(71, 19, 0), (90, 19, 10), (-1, 60, 41), (float("nan"), 20, 10)])
def test_a_composition_that_does_not_add_up_is_refused(shares):
    with pytest.raises(OutOfRange):
        Composition(*shares)


@given(st.floats(50, 85), st.floats(0, 120))
def test_heat_crosses_layers_slower_than_it_runs_along_them(water_pct, temp_c):
    made = Composition(water_pct, (100 - water_pct) * 0.6, (100 - water_pct) * 0.4)
    along, across = (
        properties(made, temp_c, layers=way).conductivity_w_m_k for way in ("parallel", "series")
    )
    assert across < along


def test_one_component_alone_is_that_component():
    found, water = properties(Composition(100, 0, 0), 40), food.component_properties("water", 40)
    assert tuple(found) == pytest.approx(tuple(water), rel=1e-12)


def test_the_table_is_the_formula():
    temps = np.linspace(0, 110, 991)
    made = SALMON
    table, exact = food.table(made), properties(made, temps)
    heat = np.interp(temps, table.temp_c, table.volumetric_heat_j_m3_k)
    assert heat == pytest.approx(exact.volumetric_heat_j_m3_k, rel=2e-6)
    paired = np.interp(temps, table.temp_c, table.paired)
    assert 1 / paired.imag == pytest.approx(exact.volumetric_heat_j_m3_k, rel=2e-6)
    assert np.gradient(table.paired.real, table.temp_c)[4:-4] == pytest.approx(
        table.conductivity_w_m_k[4:-4], rel=1e-5
    )
    gain = table.heat_content(60.0) - table.heat_content(20.0)
    assert gain == pytest.approx(
        np.trapezoid(properties(made, temps[180:541]).volumetric_heat_j_m3_k, temps[180:541])
    )


def test_scalar_and_array():
    assert isinstance(properties(HADDOCK, 20).density_kg_m3, float)
    assert properties(HADDOCK, np.array([[20.0, 30.0]])).density_kg_m3.shape == (1, 2)


def test_bad_input_is_refused():
    with pytest.raises(OutOfRange, match="frozen"):
        properties(HADDOCK, -18)
    with pytest.raises(OutOfRange):
        properties(HADDOCK, [20, float("nan")])
    with pytest.raises(UnknownName, match="trout"):
        species("trout, farmd")
    with pytest.raises(UnknownName):
        food.component_properties("bone", 20)
    with pytest.raises(UnknownName):
        properties(HADDOCK, 20, layers="sideways")
