"""What a whole day and ten thousand batches cost.

    python -m pytest tests/benchmarks/bench_day.py -o addopts= --import-mode=importlib --benchmark-enable

Figures to reach: a whole day in 50 ms; 10,000 batches in 10 s on 2 cores; a chilling in 20 ms.
"""

from __future__ import annotations

from itertools import count

import numpy as np

from kit.process import day
from kit.process.spread import Vary, spread
from kit.process.steps import fillet
from kit.process.steps.chill import chill

FRESH = count()


def test_a_whole_day(benchmark):
    def whole():
        return day.run(
            day.BatchCard(core_target_c=64, chill_target_c=3, thickness_mm=24 + next(FRESH) % 997 / 1000)
        )

    done = benchmark(whole)
    assert done.chill.reached
    if benchmark.stats:
        assert benchmark.stats.stats.min <= 0.050


def test_a_chilling(benchmark):
    hot = fillet.raw("char, farmed", 26, 200, temp_c=64)
    done = benchmark(lambda: chill(hot, core_target_c=3))
    assert done.reached
    if benchmark.stats:
        assert benchmark.stats.stats.median <= 0.020


def test_ten_thousand_batches(benchmark):
    def many():
        return spread(
            Vary(),
            10_000,
            np.random.default_rng(1),
            core_target_c=64,
            hold_min=10,
            wps_target_pct=2.5,
            cook_min=60,
        )

    found = benchmark.pedantic(many, rounds=2, iterations=1)
    assert found.core_c.size == 10_000
    if benchmark.stats:
        assert benchmark.stats.stats.min <= 10
