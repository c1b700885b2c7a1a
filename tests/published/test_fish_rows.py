"""Fish as printed: what they are made of, where their fat sits, what they lose.

Each row was read where it says. A row of composition is what a table prints of raw flesh [g per 100 g]. The
kit keeps some of them as data; others it has never seen, and they check that its fish is like other fish.
"""

import pytest

from kit.process.physics.species import flesh, species, state
from kit.process.steps import shed, trim

# fish, field, printed, source (read)
KEPT = [
    ("trout, farmed", "water_pct", 71.0, "Matvaretabellen 04.256"),
    ("trout, farmed", "protein_pct", 19.0, "Matvaretabellen 04.256"),
    ("trout, farmed", "fat_pct", 10.0, "Matvaretabellen 04.256"),
    ("salmon, farmed", "water_pct", 64.0, "Matvaretabellen 04.331"),
    ("salmon, farmed", "protein_pct", 19.9, "Matvaretabellen 04.331"),
    ("salmon, farmed", "fat_pct", 15.9, "Matvaretabellen 04.331"),
    ("haddock", "water_pct", 81.0, "Matvaretabellen 04.110"),
    ("haddock", "protein_pct", 19.4, "Matvaretabellen 04.110"),
    ("salmon, wild", "water_pct", 68.5, "USDA, quoted in an encyclopedia"),
    ("salmon, wild", "protein_pct", 19.84, "USDA, quoted in an encyclopedia"),
    ("salmon, wild", "fat_pct", 6.34, "USDA, quoted in an encyclopedia"),
    ("trout, wild", "water_pct", 71.87, "USDA, quoted on a trade page"),
    ("trout, wild", "protein_pct", 20.48, "USDA, quoted on a trade page"),
    ("trout, wild", "fat_pct", 3.46, "USDA, quoted on a trade page"),
    ("trout, farmed, small", "water_pct", 73.74, "Souza and others 2015, abstract"),
    ("trout, farmed, small", "protein_pct", 19.05, "Souza and others 2015, abstract"),
    ("trout, farmed, small", "fat_pct", 6.52, "Souza and others 2015, abstract"),
    ("trout, farmed, small", "ash_pct", 1.16, "Souza and others 2015, abstract"),
]


@pytest.mark.parametrize(("fish", "field", "printed", "source"), KEPT)
def test_the_data_are_the_printed_ones(fish, field, printed, source):
    entry = species(fish)
    assert getattr(entry, field) == printed and entry.seen, source


# Rows the kit does not keep: fat and water printed of trout. Our flesh of that fat holds as much water.
OTHERS = [
    (6.18, 73.8, "USDA, farmed rainbow trout, quoted on a trade page"),
    (7.96, 72.30, "Souza and others 2015, trout of 300 to 370 g, abstract"),
    (9.04, 71.15, "Souza and others 2015, trout of 371 to 440 g, abstract"),
    (10.48, 69.71, "Souza and others 2015, whole gutted trout, abstract"),
    (4.41, 76.14, "Nistor and others 2019, leanest of three breeds of trout, abstract (our pairing)"),
    (5.82, 72.98, "Nistor and others 2019, fattest of three breeds of trout, abstract (our pairing)"),
    (10.1, 70.2, "a trade page on rainbow trout, whole"),
]


@pytest.mark.parametrize(("fat_pct", "water_pct", "source"), OTHERS)
def test_water_gives_way_to_fat_as_in_printed_trout(fat_pct, water_pct, source):
    """Water and fat of our trout add up to 81; printed ones to 78.8 to 81.5."""
    ours = species("trout, farmed")
    assert ours.water_pct + ours.fat_pct - fat_pct == pytest.approx(water_pct, abs=2.5), source


# Farmed Atlantic salmon, fat of tissues: Aursand and others 1994, abstract. Our parts lie between them.
TISSUES = {"white muscle": 9.6, "red muscle": 27.2, "belly flap": 28.1, "dorsal depot": 38.4}


@pytest.mark.parametrize(("part", "low", "high"), [
    ("tail", "white muscle", "red muscle"),
    ("loin", "white muscle", "red muscle"),
    ("belly", "red muscle", "dorsal depot"),
    ("belly", "white muscle", "dorsal depot"),
])  # fmt: skip
def test_parts_lie_between_the_printed_tissues(part, low, high):
    assert TISSUES[low] - 0.5 <= flesh("salmon, farmed", part=part).fat_pct <= TISSUES[high]


# Fat of whole fillets, printed ranges.
RANGES = [
    ("salmon, farmed", 14, 23, "Rørå and others 1998, 120 farmed salmon, abstract"),
    ("salmon, farmed", 7, 17, "Henriques and others 2014, on sale in the UK, abstract"),
    ("salmon, wild", 1, 7, "Henriques and others 2014 prints 1 to 6, to whole numbers, abstract"),
    ("trout, farmed, small", 4.41, 7.96, "Nistor 2019 and Souza 2015, small trout, abstracts"),
    ("trout, farmed", 6.84, 10.48, "Pagu and others (smoked) and Souza 2015 (whole), abstracts"),
]


@pytest.mark.parametrize(("fish", "low", "high", "source"), RANGES)
def test_fat_lies_in_a_printed_range(fish, low, high, source):
    assert low <= species(fish).fat_pct <= high, source


@pytest.mark.parametrize("season", ["winter", "spring", "summer", "autumn"])
def test_farmed_salmon_stays_in_the_printed_range_all_year(season):
    assert 14 <= flesh("salmon, farmed", season=season).fat_pct <= 23  # Rørå and others 1998, abstract


# Yields and losses, printed. [%]
YIELDS = [
    ("small trout, gutted", 83.00, "Souza and others 2015, 300 to 370 g, abstract"),
    ("small trout, head", 13.27, "Souza and others 2015, 300 to 370 g, abstract"),
    ("salmon, fillet", 75.0, "a trade page on smoked salmon: 75 % of a salmon is cut to fillet"),
    ("trout, head", 15.52, "Abdollahi and Rezaei 2014, abstract"),
    ("trout, guts", 12.62, "Abdollahi and Rezaei 2014, abstract"),
]


@pytest.mark.parametrize(("name", "printed", "source"), YIELDS)
def test_yields_are_the_printed_ones(name, printed, source):
    assert trim.published_yield(name).pct == printed and trim.published_yield(name).seen, source


def test_gutted_small_trout_and_its_guts_make_up_the_whole():
    assert trim.published_yield("small trout, gutted").pct + 17.00 == pytest.approx(
        100
    )  # Souza 2015, abstract


# Juice: Głuchowski 2020 (abstract) prints 6.3 to 9.1 % in bags, by 2019 (abstract) at 57 and 63 °C.
@pytest.mark.parametrize(("core_c", "printed"), [(57.0, 6.3), (63.0, 9.1)])
def test_juice_in_a_bag_is_the_printed_one(core_c, printed):
    assert float(shed.juice(core_c)) == pytest.approx(printed)


# Rørå and Regost 2003, abstract: fillets heated in steps of 5 °C from 5 to 40; the marked rise begins at 30.
@pytest.mark.parametrize("heated_c", [5, 10, 15, 20, 25, 30, 35, 40])
def test_the_loss_of_liquid_begins_to_rise_at_30(heated_c):
    rises = float(shed.juice(heated_c + 0.5) - shed.juice(heated_c)) > 0
    assert rises == (heated_c >= 30)


# Nofima, project of 2015 (page read): count on 1 to 2 % from stored salmon.
@pytest.mark.parametrize(("field", "printed"), [("drip_low_pct", 1.0), ("drip_high_pct", 2.0)])
def test_drip_of_fresh_salmon_is_the_printed_one(field, printed):
    assert getattr(state("fresh"), field) == printed
