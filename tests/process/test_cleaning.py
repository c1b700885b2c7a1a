"""Cleaning by numbers: what goes in is what is there."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import OutOfRange
from kit.process.cleaning import (
    PPM_OF_A_PCT,
    chlorine_in_air_ppm,
    concentrate_ml,
    top_up_ml,
)


@given(st.floats(0, 300), st.floats(0, 300), st.floats(1, 50), st.floats(1, 15))
def test_a_bucket_that_was_topped_up_has_the_strength(now, more, litres, stock):
    wanted = now + more
    added = top_up_ml(now, wanted, litres, stock) / 1000
    assert (now * litres + added * stock * PPM_OF_A_PCT) / (litres + added) == pytest.approx(wanted)


def test_from_plain_water_it_is_the_mix_but_for_the_bucket_that_grows():
    assert top_up_ml(0, 200, 10, 5) == pytest.approx(concentrate_ml(200, 10, 5), rel=0.005)


def test_the_gas_of_a_cup_of_bleach_on_paper():
    # 100 mL at 5 % hold 5 g of chlorine: 5 / 70.9 mol, 1.70 L of gas at 20 °C; in 30 m³ that is 57 ppm
    assert chlorine_in_air_ppm(100, 5, 30) == pytest.approx(1.70e-3 / 30 * 1e6, rel=0.005)


@pytest.mark.parametrize("wrong", [(300, 200, 8, 5), (100, 200, 0, 5), (100, 60_000, 8, 5), (-1, 200, 8, 5)])
def test_a_bucket_that_cannot_be_is_refused(wrong):
    with pytest.raises(OutOfRange):
        top_up_ml(*wrong)
