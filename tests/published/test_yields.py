"""Yields and losses against printed figures."""

import pytest

from kit.process.steps import keep, trim

# Abdollahi & Rezaei 2014 (jfst.modares.ac.ir, article 21118), rainbow trout, % of whole fish, with standard
# deviations: the parts must make up the whole within two of them.
PARTS = [("trout, gutted", 87.56), ("trout, skin-on fillet", 56.69), ("trout, skinless fillet", 45.36),
         ("trout, head", 15.52), ("trout, guts", 12.62)]  # fmt: skip


@pytest.mark.parametrize(("name", "pct"), PARTS)
def test_trout_yields_are_the_printed_ones(name, pct):
    assert trim.published_yield(name).pct == pct


def test_gutted_fish_and_guts_make_up_the_whole():
    gutted, guts = trim.published_yield("trout, gutted"), trim.published_yield("trout, guts")
    assert gutted.pct + guts.pct == pytest.approx(100, abs=2 * guts.sd)


def test_skin_is_a_fifth_of_a_fillet_in_the_printed_figures():
    skinless, skin_on = (
        trim.published_yield(f"trout, {kind} fillet").pct for kind in ("skinless", "skin-on")
    )
    assert trim.yield_pct(skinless, skin_on) == pytest.approx(80.0, abs=0.1)


# Torry, as quoted (forum.sausagemaking.org p=52972): cold-smoked salmon loses 16 to 18 % in all, 7 to 9 % in
# the kiln. Yields multiply, so salting took 7.7 to 11.8 %, not 9.
def test_torrys_losses_chain():
    total, kiln = trim.PUBLISHED_LOSSES[2], trim.PUBLISHED_LOSSES[3]
    least = 100 * (1 - (1 - total.low_pct / 100) / (1 - kiln.high_pct / 100))
    most = 100 * (1 - (1 - total.high_pct / 100) / (1 - kiln.low_pct / 100))
    assert (least, most) == pytest.approx((7.7, 11.8), abs=0.05)
    for salting, smoking, whole in (
        (least, kiln.high_pct, total.low_pct),
        (most, kiln.low_pct, total.high_pct),
    ):
        assert trim.chain_yield([100 - salting, 100 - smoking]) == pytest.approx(100 - whole)


# Growth and toxin of non-proteolytic C. botulinum in 5 weeks at 3 °C (Graham et al. 1997, its abstract read)
# is why cold alone never sets a long life here: the rule's own limit always takes part.
def test_the_rule_always_takes_part_in_a_shelf_life():
    life = keep.shelf_life(-1, 8, listeria_log10_allowed=3, longest_days=10)
    assert "the rule" in life.limits
    assert life.days.high <= 10
