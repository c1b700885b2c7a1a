"""The fish of the house: each plausible, each with its source; fat by part, season and state."""

import pytest

from kit.basics.errors import UnknownName
from kit.process.day import BatchCard, run
from kit.process.physics.food import properties
from kit.process.physics.species import fish_book, flesh, species, state

NAMES = [entry.name for entry in fish_book().fish]
SALMONIDS = [entry.name for entry in fish_book().fish if entry.shape]


@pytest.mark.parametrize("name", NAMES)
def test_every_fish_is_plausible_and_names_its_source(name):
    entry = species(name)
    assert 55 <= entry.composition.water_pct <= 83
    assert 15 <= entry.composition.protein_pct <= 25
    assert entry.source
    found = properties(entry.composition, 20)
    assert 1000 < found.density_kg_m3 < 1080
    assert 3000 < found.specific_heat_j_kg_k < 3800
    assert 0.4 < found.conductivity_w_m_k < 0.6
    assert found.diffusivity_m2_s == pytest.approx(1.35e-7, rel=0.08)


def test_the_four_fish_of_the_trade_are_there():
    assert {entry.common for entry in fish_book().fish if entry.shape} == {
        "Atlantic salmon",
        "sea trout",
        "rainbow trout",
        "Arctic char",
    }
    assert {entry.raised for entry in fish_book().fish} == {"farmed", "wild"}


# Water and fat of salmon and its kin add up to about 75 to 82 (the reference says 80 to 82 as a rule; farmed
# salmon of the Norwegian table, 64.0 + 15.9, and wild salmon of USDA, 68.5 + 6.34, were read).
@pytest.mark.parametrize("name", SALMONIDS)
def test_water_and_fat_add_up(name):
    entry = species(name)
    assert 74 <= entry.water_pct + entry.fat_pct <= 82


# Aursand and others 1994 (abstract read): farmed salmon, fat of the belly flap 28.1 %, of white muscle 9.6 %.
def test_the_belly_flap_is_as_fat_as_printed():
    assert flesh("salmon, farmed", part="belly").fat_pct == pytest.approx(28.1, abs=0.5)
    assert 9 <= flesh("salmon, farmed", part="tail").fat_pct <= 10


# Henriques and others 2014 (abstract read): salmon on sale in the UK, wild 1 to 6 % fat, farmed 7 to 17 %,
# printed to whole numbers.
@pytest.mark.parametrize(("raised", "low", "high"), [("farmed", 7, 17), ("wild", 1, 6)])
def test_farmed_and_wild_salmon_lie_in_the_printed_ranges(raised, low, high):
    assert low <= round(species(f"salmon, {raised}").fat_pct) <= high


# Roth and others 2005 (abstract read): more fat in October than in January and June, those two alike.
def test_farmed_fish_is_fattest_in_autumn():
    fat = {
        season: flesh("salmon, farmed", season=season).fat_pct for season in ("winter", "summer", "autumn")
    }
    assert fat["autumn"] > 1.1 * fat["winter"] and fat["winter"] == pytest.approx(fat["summer"], rel=0.05)


@pytest.mark.slow
def test_thawed_fish_drips_and_gives_more_juice():
    fresh, thawed = state("fresh"), state("thawed")
    assert fresh.drip_low_pct <= fresh.drip_pct <= fresh.drip_high_pct < thawed.drip_pct
    assert flesh("salmon, farmed", state_name="thawed").water_pct < flesh("salmon, farmed").water_pct
    card = BatchCard(core_target_c=64, chill_target_c=3, species="salmon, farmed")
    days = [run(card.replace(state=name)) for name in ("fresh", "thawed")]
    assert days[1].cook.cook_out_pct == pytest.approx(
        thawed.juice_factor * days[0].cook.cook_out_pct, rel=0.02
    )
    assert days[1].yield_pct < days[0].yield_pct


@pytest.mark.parametrize(
    "changes",
    [{"part": "head"}, {"season": "monsoon"}, {"state_name": "dried"}],
    ids=lambda each: next(iter(each)),
)
def test_an_unknown_name_says_what_is_known(changes):
    with pytest.raises(UnknownName):
        flesh("salmon, farmed", **changes)
