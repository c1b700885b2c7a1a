"""Our slab against FiPy, a general finite-volume library: same slab, same air, both against the exact series.

Run in an environment that holds both the kit and FiPy, for instance one made with ``pip install '.[bench]'``:

    python tests/benchmarks/compare_with_fipy.py

Constant properties and a dry surface, because that is what the exact series can judge. FiPy is given an
even grid of cells (its usual one) and steps as long as it can take without a worse error than ours, so the
ratio favours it: it stops at the FIRST setting that is no better than ours, or at the finest one tried.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np

from kit.process.physics import food, heat, slab
from kit.process.steps import fillet

CONDUCTIVITY, DENSITY, HEAT, H, HALF_M = 0.5, 1050.0, 3500.0, 25.0, 0.0125
START_C, AIR_C, SECONDS = 5.0, 90.0, 7200.0
DIFFUSIVITY = CONDUCTIVITY / (DENSITY * HEAT)
REPORT_S = np.array([60.0, 300, 600, 1800, 3600, 7200])


def exact(place: np.ndarray, seconds: np.ndarray) -> np.ndarray:
    fourier = DIFFUSIVITY * seconds[:, None] / HALF_M**2
    theta = heat.slab_theta(H * HALF_M / CONDUCTIVITY, fourier, place[None, :], terms=60)
    return AIR_C + (START_C - AIR_C) * theta


def ours() -> tuple[float, Callable[[], object]]:
    fraction, weight = fillet.grid()
    rungs = np.linspace(-1, 150, 605)
    table = food.make_table(rungs, np.full(605, DENSITY * HEAT), np.full(605, CONDUCTIVITY))
    face = slab.Face(AIR_C, rh_pct=0, h_w_m2_k=H, emissivity=0)
    start, minutes = np.full(fraction.size, START_C), np.concatenate([[0.0], REPORT_S / 60])

    def run() -> slab.Run:
        return slab.warm(start, fraction, weight, 2000 * HALF_M, table, (face, face), minutes)

    place = np.abs(2 * fraction - 1)
    return float(np.abs(run().temp_c[1:] - exact(place, REPORT_S)).max()), run


def fipys(cells: int, step_s: float) -> tuple[float, float]:
    """Half slab, insulated at the centre; the air as a source in the last cell. Returns error and seconds."""
    from fipy import CellVariable, DiffusionTerm, Grid1D, ImplicitSourceTerm, TransientTerm

    began = time.perf_counter()
    width = HALF_M / cells
    mesh = Grid1D(nx=cells, dx=width)
    temp = CellVariable(mesh=mesh, value=START_C, hasOld=True)
    last = np.zeros(cells)
    last[-1] = 1 / (1 / H + width / 2 / CONDUCTIVITY) / width
    loss = CellVariable(mesh=mesh, value=last)
    equation = TransientTerm(coeff=DENSITY * HEAT) == (
        DiffusionTerm(coeff=CONDUCTIVITY) - ImplicitSourceTerm(coeff=loss) + loss * AIR_C
    )
    rows, now = [], 0.0
    while now < SECONDS - 1e-6:
        temp.updateOld()
        equation.solve(var=temp, dt=step_s)
        now += step_s
        if np.any(np.abs(REPORT_S - now) < step_s / 2):
            rows.append(temp.value.copy())
    took = time.perf_counter() - began
    place = np.asarray(mesh.cellCenters.value[0]) / HALF_M
    return float(np.abs(np.array(rows) - exact(place, REPORT_S)).max()), took


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main() -> None:
    error, run = ours()
    rounds = []
    for _ in range(50):
        began = time.perf_counter()
        run()
        rounds.append(time.perf_counter() - began)
    quick = min(rounds)
    say(f"ours: worst error {error:.4f} °C, best of 50 {1000 * quick:.2f} ms")
    for cells, step_s in ((25, 20.0), (41, 5.0), (41, 1.0)):
        fipy_error, took = fipys(cells, step_s)
        say(
            f"FiPy, {cells} cells, {step_s:g} s steps: worst error {fipy_error:.4f} °C, {took:.2f} s, "
            f"{took / quick:,.0f} times ours"
        )
        if fipy_error <= error:
            break


if __name__ == "__main__":
    main()
