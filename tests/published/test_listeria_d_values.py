"""D values of Listeria monocytogenes, abstracts seen.

Green shell mussels for hot smoking, Journal of Food Protection 58:604 (1995): z published 4.25 °C.
Lobster meat, Journal of Food Protection 55:211 (1992): z published 5.0 °C.
The tolerance of 0.3 °C on z: the authors may have weighted or left out points (lobster refits to 5.26).
2 min at 70 °C as 6D: New Zealand MPI technical paper 2016/05; "adequate": Mackey and Bratchell 1989.
"""

import pytest

from kit.process.microbes.death import six_d_minutes
from kit.process.microbes.inactivation import d_sets, fit_z

MUSSELS = [(56, 48.09), (58, 16.25), (59, 9.45), (60, 5.49), (62, 1.85)]
LOBSTER = [(51.6, 97.0), (54.4, 55.0), (57.2, 8.30), (60.0, 2.39), (62.7, 1.06)]


@pytest.mark.parametrize(("points", "published_z_c"), [(MUSSELS, 4.25), (LOBSTER, 5.0)])
def test_refitting_the_printed_points_gives_the_printed_z(points, published_z_c):
    z_c, _ = fit_z([temp for temp, _ in points], [minutes for _, minutes in points])
    assert z_c == pytest.approx(published_z_c, abs=0.3)


@pytest.mark.parametrize(("temp_c", "minutes"), MUSSELS)
def test_the_mussel_line_passes_near_every_printed_point(temp_c, minutes):
    z_c, d60_min = fit_z([temp for temp, _ in MUSSELS], [found for _, found in MUSSELS])
    # Scatter of the measurements about their line: 6 % at most.
    assert d60_min * 10 ** ((60 - temp_c) / z_c) == pytest.approx(minutes, rel=0.06)


@pytest.mark.parametrize(("key", "points"), [("listeria-mussels", MUSSELS), ("listeria-lobster", LOBSTER)])
def test_the_data_file_holds_the_printed_points(key, points):
    assert list(d_sets()[key].points) == points


def test_two_minutes_at_70_are_six_logs_of_listeria():
    assert six_d_minutes("listeria", 70) == 2.0
