"""How long a cook takes, and what air costs in bulk.

Run by itself: ``pytest tests/benchmarks/bench_cook.py --benchmark-enable -n 0``. The limits are those the
explorers need; they are checked on the fastest round, because other work on the machine only ever adds time.
"""

import numpy as np
import pytest

from kit.process.physics import air, food, slab
from kit.process.physics.slab import Face
from kit.process.steps import fillet
from kit.process.steps.cook import CabinetPlan, Place, cook, cook_load

TROUT = fillet.raw("trout, farmed", 25, 180, temp_c=4.0, skin_on=False)
SKIN_ON = fillet.raw("trout, farmed", 25, 180, temp_c=4.0)
TWO_HOURS = slab.output_times(120)


def best_ms(benchmark):
    return 1000 * benchmark.stats.stats.min


@pytest.mark.parametrize(
    "faces",
    [(Face(74, 45, 20, 0.3),) * 2, (Face(74, 45, 20, 0.3), Face(74, 45, 20, 0.0))],
    ids=["skin off", "skin on"],
)
def test_two_hours_with_evaporation_in_5_ms(benchmark, faces):
    fraction, weight = fillet.grid()
    flesh = food.table(TROUT.composition)
    benchmark(slab.warm, TROUT.temp_c, fraction, weight, 25, flesh, faces, TWO_HOURS)
    if benchmark.stats is not None:
        assert best_ms(benchmark) <= 5


@pytest.mark.parametrize("piece", [TROUT, SKIN_ON], ids=["skin off", "skin on"])
def test_a_cook_in_three_phases(benchmark, piece):
    plan = CabinetPlan(core_target_c=66, cabinet_c=82, rh_pct=55, smoke_min=25, smoke_c=45, hold_min=20)
    benchmark(cook, piece, plan)
    if benchmark.stats is not None:
        assert best_ms(benchmark) <= 20  # what a slider can bear


def test_a_load_of_six(benchmark):
    plan = CabinetPlan(core_target_c=66, cabinet_c=82, rh_pct=55, hold_min=20)
    places = [Place(str(mm), fillet.raw("char, farmed", mm, 170)) for mm in range(16, 28, 2)]
    benchmark(cook_load, places, plan, probed="26")
    if benchmark.stats is not None:
        assert best_ms(benchmark) <= 80


def test_humidity_ratio_of_100_000_points_in_10_ms(benchmark):
    random = np.random.default_rng(1)
    temp, rh = random.uniform(0, 90, 100_000), random.uniform(5, 98, 100_000)
    benchmark(lambda: air.moist_air(temp, rh).humidity_ratio)
    if benchmark.stats is not None:
        assert best_ms(benchmark) <= 10
