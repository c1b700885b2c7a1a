"""Chilled Food Association, Best practice guidelines for the production of chilled foods, 4th ed. (2006),
as reprinted by the UK Food Standards Agency: vacuumpackingtraining.food.gov.uk, module 3, section 2.
Seen, all rows.

Printed to two figures (three for 129), so the tolerance is half a unit in the last place printed; 99 °C is
printed 1.3 where the formula gives 1.26, inside that half unit.
"""

import pytest

from kit.process.microbes.death import lethality, six_d_minutes

PRINTED = [  # °C, min, half a unit in the last place
    (80, 129, 0.5),
    (81, 100, 0.5),
    (82, 77, 0.6),  # 77.43 by the formula
    (83, 60, 0.5),
    (84, 46, 0.5),
    (85, 36, 0.5),
    (86, 28, 0.5),
    (87, 22, 0.5),
    (88, 17, 0.5),
    (89, 13, 0.5),
    (90, 10, 0.5),
    (91, 7.9, 0.05),
    (92, 6.3, 0.05),
    (93, 5.0, 0.05),
    (94, 4.0, 0.05),
    (95, 3.2, 0.05),
    (96, 2.5, 0.05),
    (97, 2.0, 0.05),
    (98, 1.6, 0.05),
    (99, 1.3, 0.05),
    (100, 1.0, 0.05),
]


@pytest.mark.parametrize(("temp_c", "minutes", "half_unit"), PRINTED)
def test_six_d_minutes_match_the_printed_row(temp_c, minutes, half_unit):
    assert six_d_minutes("botulinum_np_uk", temp_c) == pytest.approx(minutes, abs=half_unit)


@pytest.mark.parametrize(("temp_c", "minutes", "half_unit"), PRINTED)
def test_a_steady_trace_for_the_printed_time_is_six_logs(temp_c, minutes, half_unit):
    found = lethality([0, minutes / 2, minutes], [temp_c] * 3, "botulinum_np_uk")
    assert found.log_reduction == pytest.approx(6, rel=half_unit / minutes + 1e-9)
    assert found.seen
    assert not found.extrapolated
