"""Wood: table rows from memory of the named sources, never counted as published."""

import pytest

from kit.process.physics import smoke, wood

# Wood Handbook (FPL-GTR-282), table 4-2, rows of 30, 50 and 70 °F.
RH = [20, 30, 40, 50, 60, 65, 70, 80, 90]
TABLE = [
    (-1.1, [4.6, 6.3, 7.9, 9.5, 11.3, 12.4, 13.6, 16.5, 21.0]),
    (10.0, [4.6, 6.3, 7.9, 9.5, 11.2, 12.3, 13.4, 16.4, 20.9]),
    (21.1, [4.5, 6.2, 7.7, 9.2, 11.0, 12.0, 13.1, 16.0, 20.5]),
]


@pytest.mark.parametrize(("temp_c", "row"), TABLE)
def test_equilibrium_moisture_matches_the_table_to_a_tenth(temp_c, row):
    assert wood.equilibrium_moisture(temp_c, RH) == pytest.approx(row, abs=0.11)


@pytest.mark.parametrize(("dry_pct", "kilojoules"), [(8, 192), (10, 236), (12, 278), (20, 432), (50, 864)])
def test_heat_to_dry_a_kilogram_of_chips(dry_pct, kilojoules):
    assert wood.drying_heat(1000, dry_pct) == pytest.approx(kilojoules, rel=0.01)


# Toth & Blaas 1972: benzo[a]pyrene about 5 µg per 100 g sawdust at 400 °C, 20 at 1000 °C.
@pytest.mark.parametrize(("temp_c", "micrograms"), [(400, 5), (1000, 20)])
def test_carcinogens_rise_with_the_heat_of_the_glow(temp_c, micrograms):
    quality = smoke.smoke_quality(temp_c, extrapolate=True)
    assert quality.benzo_a_pyrene_ug_100g_sawdust == pytest.approx(micrograms)
    assert not quality.seen
