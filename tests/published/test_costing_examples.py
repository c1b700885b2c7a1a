"""What a usable kilo costs, against worked examples that somebody else printed."""

import pytest

from kit.process.selling.money import kilo_cost
from kit.process.steps import trim

# G. Wall, "Trade calculations", objective 4 (members.shaw.ca/gwall/tradecalc/yield.htm, May 2007), read in a
# stored copy: a striploin of 5.2 kg leaves 4.6 kg, printed as 88.5 %. It is bought at 11.95 a kilo.
# The printed results of the cost are pictures that the copy does not hold; method b there divides by 88.5 %.


def test_the_yield_of_a_striploin_is_the_printed_one():
    assert trim.yield_pct(4.6, 5.2) == pytest.approx(88.5, abs=0.05)


def test_both_ways_of_costing_it_agree():
    weighed = kilo_cost(5.2, 11.95, [trim.yield_pct(4.6, 5.2)]).total
    by_yield = kilo_cost(1, 11.95, [88.5]).total
    assert weighed == pytest.approx(5.2 * 11.95 / 4.6)
    assert weighed == pytest.approx(by_yield, rel=1e-3)  # the printed yield is rounded to 0.1


# "What is yield, and why is it important for cost calculation" (bistodio.com), read in a stored copy: 5 kg of
# salmon for 4,000 baht at a yield of 56 %; 100 g on the plate cost 142.86 baht, not 80.
def test_a_portion_of_salmon_costs_what_is_printed():
    assert trim.yield_pct(2.8, 5) == pytest.approx(56)
    assert kilo_cost(5, 800, [56]).total * 0.1 == pytest.approx(142.86, abs=0.005)


# Seafood council, in kit/process/sources.toml (`seafood-council`): salmon fillet is 75 % of gutted salmon.
def test_a_fillet_of_gutted_salmon_costs_a_third_more_than_the_fish():
    pct = trim.published_yield("salmon, fillet").pct
    assert kilo_cost(10, 9, [pct]).fish == pytest.approx(12.0)
