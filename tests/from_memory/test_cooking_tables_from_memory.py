"""Printed values remembered, not seen: they check the code but never count as published. Confirm before use.

FDA, Fish and Fishery Products Hazards and Controls Guidance, 4th ed., appendix 4, tables A-3 and A-4: lethal
rates and 6D minutes, to the last place printed (the row at 83 °C is rounded loosely); table A-4 to 1 %,
because its minutes follow from rates rounded to two figures.
Incropera and others, table of one-term coefficients, plane wall: half a unit in the last place, 2e-4 where
printings differ; the steel wall example: 0.2 K on temperature (the text rounds its root).
Cengel, brass plate: 1 K against the lumped answer.
"""

import pytest

from kit.process.microbes.death import lethal_rate, six_d_minutes
from kit.process.physics.heat import slab_first_term, slab_theta

A3 = [  # °C, lethal rate, min
    (63, 0.117, 17.0, 0.2),
    (65, 0.215, 9.3, 0.05),
    (67, 0.398, 5.0, 0.05),
    (69, 0.736, 2.7, 0.05),
    (71, 1.359, 1.5, 0.05),
    (73, 2.512, 0.8, 0.05),
    (75, 4.642, 0.4, 0.05),
    (77, 8.577, 0.2, 0.05),
    (79, 15.849, 0.1, 0.05),
    (81, 29.286, 0.07, 0.005),
    (83, 54.116, 0.03, 0.008),
    (85, 100.0, 0.02, 0.005),
]
A4 = [
    (85, 0.193, 51.8),
    (87, 0.37, 27.0),
    (89, 0.72, 13.9),
    (91, 1.26, 7.9),
    (93, 2.0, 5.0),
    (95, 3.16, 3.2),
    (97, 5.01, 2.0),
    (99, 7.94, 1.3),
]
ONE_TERM = [
    (0.01, 0.0998, 1.0017),
    (0.1, 0.3111, 1.0161),
    (0.3, 0.5218, 1.0450),
    (0.5, 0.6533, 1.0701),
    (0.8, 0.7910, 1.1016),
    (1.0, 0.8603, 1.1191),
    (2.0, 1.0769, 1.1785),
    (5.0, 1.3138, 1.2402),
    (10.0, 1.4289, 1.2620),
    (20.0, 1.4961, 1.2699),
    (100.0, 1.5552, 1.2731),
]


@pytest.mark.parametrize(("temp_c", "rate", "minutes", "tolerance"), A3)
def test_listeria_table_a3(temp_c, rate, minutes, tolerance):
    assert lethal_rate(temp_c, 70, 7.5) == pytest.approx(rate, abs=1e-3)
    assert six_d_minutes("listeria", temp_c) == pytest.approx(minutes, abs=tolerance)


@pytest.mark.parametrize(("temp_c", "rate", "minutes"), A4)
def test_botulinum_table_a4(temp_c, rate, minutes):
    assert 10 / six_d_minutes("botulinum_np_us", temp_c) == pytest.approx(rate, abs=0.006)
    assert six_d_minutes("botulinum_np_us", temp_c) == pytest.approx(minutes, rel=0.01, abs=0.051)


@pytest.mark.parametrize(("biot", "zeta1", "c1"), ONE_TERM)
def test_one_term_table(biot, zeta1, c1):
    found = slab_first_term(biot)
    assert found[0] == pytest.approx(zeta1, abs=2e-4)
    assert found[1] == pytest.approx(c1, abs=2e-4)


def test_steel_wall_example():
    # 40 mm, one side insulated; the problem's data were seen, the printed answers are remembered.
    biot, fourier = 500 * 0.04 / 63.9, 63.9 / (7832 * 434) * 480 / 0.04**2
    assert biot == pytest.approx(0.313, abs=5e-4)
    assert fourier == pytest.approx(5.64, abs=5e-3)
    assert 60 - 80 * slab_theta(biot, fourier, 0) == pytest.approx(42.9, abs=0.2)
    assert 60 - 80 * slab_theta(biot, fourier, 1) == pytest.approx(45.2, abs=0.2)


def test_brass_plate_example():
    biot, fourier = 120 * 0.02 / 110, 33.9e-6 * 420 / 0.02**2
    assert 500 - 480 * slab_theta(biot, fourier, 1) == pytest.approx(279, abs=1)
