"""Money: the parts make the whole, and a point of yield is worth what two runs differ by."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kit.basics.errors import OutOfRange
from kit.process.selling.money import Invoice, kilo_cost, pack_price, plate_price, worth_of_a_point


@given(st.floats(5, 200), st.floats(0, 40), st.floats(20, 90), st.floats(60, 100))
def test_what_is_sold_pays_every_invoice(bought, price, yield_pct, sold_pct):
    bills = [Invoice("work", 90), Invoice("work", 10), Invoice("wood", 7)]
    cost = kilo_cost(bought, price, [yield_pct], bills, sold_pct=sold_pct)
    assert cost.total * cost.sold_kg == pytest.approx(bought * price + 107)
    assert cost.parts["work"] * cost.sold_kg == pytest.approx(100)


@given(st.floats(1, 40), st.floats(10, 98))
def test_a_point_is_worth_what_two_costs_differ_by(price, yield_pct):
    now, then = (kilo_cost(100, price, [each]).total for each in (yield_pct, yield_pct + 1))
    assert worth_of_a_point(price, yield_pct) == pytest.approx(now - then, abs=1e-9)


def test_a_plate_and_a_pack_worked_on_paper():
    # food 2.40 at 30 % of the price: 8.00; a pack of 150 g at 24 per kg, bag 0.40: 4.00, half is margin: 8.00
    assert plate_price(2.40, 30) == pytest.approx(8.0)
    assert pack_price(24, 150, 0.40, 50) == pytest.approx(8.0)
    assert pack_price(24, 150, 0.40, 50, 13.5) == pytest.approx(9.08)


@pytest.mark.parametrize(
    "call",
    [
        lambda: kilo_cost(0, 9, [50]),
        lambda: kilo_cost(10, 9, [0]),
        lambda: kilo_cost(10, 9, [50], [Invoice("wood", -1)]),
        lambda: worth_of_a_point(9, 99.5),
        lambda: plate_price(3, 0),
        lambda: pack_price(24, 150, 0.4, 100),
        lambda: pack_price(24, 0, 0.4, 50),
    ],
)
def test_numbers_that_cannot_be_are_refused(call):
    with pytest.raises(OutOfRange):
        call()
