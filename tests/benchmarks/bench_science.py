"""How quick the science is. Run: ``pytest tests/benchmarks/bench_science.py --benchmark-enable -n 0``.

A slider bears 20 ms. The times are of one core of a shared machine, so the best of the rounds counts.
"""

import numpy as np
import pytest

from kit.process.physics import salt, smoke, wood
from kit.process.sampling import bones
from kit.process.steps import cure, fillet, keep, pellicle

SLIDER_S = 0.020

RAW = fillet.raw("trout, farmed", 24, 180)
CURED = cure.cure(RAW, 4).fillet
AIR = pellicle.Draught(3.0, 78, 1.5)
HOURS = np.array([0, 0.5, 1, 2, 4, 8, 12, 24.0])
MINUTES = np.arange(0, 601.0)

SLIDERS = {
    "cure": lambda: cure.cure(RAW, 5),
    "cure with measured salt": lambda: cure.cure(RAW, 12, salt_g=3.0),
    "cure hours": lambda: cure.cure_hours(RAW, 2.5),
    "rinse": lambda: cure.rinse(CURED, 5),
    "night's rest": lambda: cure.equalise(CURED, 12),
    "fit to weighings": lambda: cure.fit_first_order(HOURS, cure.first_order(HOURS, 0.4, 11, 0.15)),
    "dry": lambda: pellicle.dry(CURED, 12, AIR),
    "wet surface": lambda: pellicle.wet_surface(AIR),
    "keep": lambda: keep.keep(CURED, 10, [(0, 3), (4, 3), (4.1, 12), (4.5, 12), (4.6, 3)]),
    "shelf life": lambda: keep.shelf_life(3, 3.5, listeria_log10_allowed=1, longest_days=10),
    "carbon monoxide of ten hours": lambda: smoke.exposure(MINUTES, 10 + 10 * np.sin(MINUTES / 40)),
    "equilibrium moisture, 10,000": lambda: wood.equilibrium_moisture(20, np.linspace(0, 95, 10_000)),
    "uptake, 1,000": lambda: salt.uptake_fraction(np.linspace(0, 2, 1000)),
    "water activity, 10,000": lambda: salt.water_activity(np.linspace(0, 26, 10_000)),
    "operating curve": lambda: bones.operating_curve(50, 3),
    "bones left, correlated": lambda: bones.chance_missed(0.8, np.arange(50), correlation=0.3),
}


@pytest.mark.parametrize("name", SLIDERS)
def test_a_slider_can_bear_it(benchmark, name):
    benchmark(SLIDERS[name])
    if benchmark.enabled:
        assert benchmark.stats.stats.min < SLIDER_S
