"""What the strips leave out: heat that passes along the fillet, against a reference in two dimensions.

Run in an environment that holds both the kit and scikit-fem, for instance one made with
``pip install . 'scikit-fem>=11,<13'``:

    python tests/benchmarks/compare_with_two_dimensions.py

A cut along the fillet: the loin's thickness from head to tail, warm air on flesh, skin and the tail's open
end. Constant properties and a dry surface, so that only the sideways flow differs. Strips solve each place
alone.
"""

from __future__ import annotations

import sys

import numpy as np

from kit.process.physics import food, slab
from kit.process.physics.outline import shapes
from kit.process.steps import fillet

CONDUCTIVITY, DENSITY, HEAT, H = 0.5, 1050.0, 3500.0, 25.0
START_C, AIR_C, STEP_S = 4.0, 80.0, 15.0
REPORT_MIN = (10.0, 20.0, 40.0)
CELLS_ALONG, CELLS_DEEP = 240, 16


def reference(length_mm: float, thickness_mm: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the middle of every place at each time, and the mean over its depth. [°C]"""
    from scipy.sparse.linalg import splu
    from skfem import Basis, BilinearForm, ElementQuad1, FacetBasis, LinearForm, MeshQuad
    from skfem.helpers import dot, grad

    along, deep = np.linspace(0, 1, CELLS_ALONG + 1), np.linspace(0, 1, CELLS_DEEP + 1)
    mesh = MeshQuad.init_tensor(along, deep)
    at = np.interp(mesh.p[0], np.linspace(0, 1, thickness_mm.size), thickness_mm) / 1000
    mesh = MeshQuad(np.array([mesh.p[0] * length_mm / 1000, (mesh.p[1] - 0.5) * at]), mesh.t)
    inside = Basis(mesh, ElementQuad1())
    cut = mesh.facets_satisfying(lambda x: x[0] < 1e-9, boundaries_only=True)
    open_faces = FacetBasis(mesh, ElementQuad1(), facets=np.setdiff1d(mesh.boundary_facets(), cut))
    stiff = BilinearForm(lambda u, v, _: CONDUCTIVITY * dot(grad(u), grad(v))).assemble(inside)
    mass = BilinearForm(lambda u, v, _: DENSITY * HEAT * u * v).assemble(inside)
    robin = BilinearForm(lambda u, v, _: H * u * v).assemble(open_faces)
    known = LinearForm(lambda v, _: H * AIR_C * v).assemble(open_faces)
    solver = splu((mass / STEP_S + stiff + robin).tocsc())
    temp, middles, means = np.full(mesh.p.shape[1], START_C), [], []
    order = np.lexsort((mesh.p[1], np.round(mesh.p[0], 9)))
    for step in range(1, int(60 * max(REPORT_MIN) / STEP_S) + 1):
        temp = solver.solve(mass @ temp / STEP_S + known)
        if any(abs(step * STEP_S / 60 - minute) < 1e-9 for minute in REPORT_MIN):
            columns = temp[order].reshape(CELLS_ALONG + 1, CELLS_DEEP + 1)
            middles.append(columns[:, CELLS_DEEP // 2])
            means.append(np.trapezoid(columns, deep, axis=1))
    return np.array(middles), np.array(means)


def strips(thickness_mm: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the same, each place by itself, as the kit solves it."""
    fraction, weight = fillet.grid()
    rungs = np.linspace(-1, 150, 605)
    table = food.make_table(rungs, np.full(605, DENSITY * HEAT), np.full(605, CONDUCTIVITY))
    face = slab.Face(AIR_C, rh_pct=0, h_w_m2_k=H, emissivity=0)
    times = np.array([0.0, *REPORT_MIN])
    start = np.full(fraction.size, START_C)
    runs = [slab.warm(start, fraction, weight, mm, table, (face, face), times) for mm in thickness_mm]
    profiles = np.array([run.temp_c[1:] for run in runs])
    return profiles[:, :, fraction.size // 2].T, (profiles @ weight).T


def main() -> None:
    """Print the largest and the mean difference, for both shapes."""
    for name, length_mm, loin_mm in (("trout", 293.0, 19.0), ("salmon", 587.0, 30.0)):
        shape = next(each for each in shapes() if each.name == name)
        share = np.interp(np.linspace(0, 1, CELLS_ALONG + 1), shape.along, shape.loin)
        thickness_mm = loin_mm * share / share.max()
        (middle, mean), (alone, alone_mean) = reference(length_mm, thickness_mm), strips(thickness_mm)
        place_mm = np.linspace(0, length_mm, CELLS_ALONG + 1)
        end = place_mm > length_mm - thickness_mm[-1]
        for row, minute in enumerate(REPORT_MIN):
            off = np.abs(middle[row] - alone[row])
            heat = mean[row] - alone_mean[row]
            taken = float((heat * thickness_mm).sum() / ((alone_mean[row] - START_C) * thickness_mm).sum())
            print(
                f"{name}, {minute:g} min: middle off by {off[~end].max():.2f} °C at most, "
                f"{off.mean():.2f} °C "
                f"on average; {off[end].max():.1f} °C in the last {thickness_mm[-1]:.0f} mm of the tail; "
                f"heat taken up off by {100 * taken:.2f} %"
            )
        sys.stdout.flush()


if __name__ == "__main__":
    main()
