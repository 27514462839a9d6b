"""The cabin by its resonances against scikit-fem, a finite-element library. It takes long.

Source: scikit-fem (T. Gustafsson, G. R. McBain, JOSS 5 (2020) 2369, from memory), with quadratic hexahedra.
"""

import numpy as np
import pytest

from lumpedbox import Air, Cabin


@pytest.mark.long
def test_finite_elements():
    # scikit-fem, ElementHex2, 14 x 8 x 6 on 3 x 1.6 x 1.1 m; rigid walls. Damping is a mass matrix times
    # (s^2 + 2 delta s)/c^2; the leak a rank-one term that acts on the mean alone. Six frequencies up to fx.
    import scipy.sparse.linalg
    import skfem
    from skfem.models.poisson import laplace, mass

    sizes, f, fl = (3.0, 1.6, 1.1), np.array([10.0, 31.5, 63.0, 100.0, 160.0, 246.0]), 15.0
    mesh = skfem.MeshHex.init_tensor(*(np.linspace(0, size, n + 1) for size, n in zip(sizes, (14, 8, 6), strict=True)))
    basis = skfem.Basis(mesh, skfem.ElementHex2())
    K, M = laplace.assemble(basis), mass.assemble(basis)
    ones = skfem.LinearForm(lambda v, _: v).assemble(basis)
    source, volume = (0.2, 0.3, 0.25), np.prod(sizes)
    cabin = Cabin(length=3, width=1.6, height=1.1, law="modes", flex=1, leak=fl, reverberation_time=0.08, ear_box=0)
    ears = np.array([(2.2, 1.1, 0.8), (1.4, 0.5, 0.9), (0.8, 1.4, 0.2)])
    air, damping, wl = Air(), 13.815510557964274 / 0.08, 2 * np.pi * fl
    load, points = (basis.probes(np.array(p, float).reshape(3, -1)) for p in (source, ears.T))
    for i, s in enumerate(2j * np.pi * f):
        A = (K + (s * s + damping * s) / air.sound_speed**2 * M).tocsc()
        solver = scipy.sparse.linalg.splu(A.astype(complex))
        b = np.asarray(load.T @ np.ones(1)).astype(complex)
        x, y = solver.solve(b), solver.solve(ones.astype(complex))
        rank = (wl - damping) * s / (air.sound_speed**2 * volume)
        x = x - y * (rank * (ones @ x) / (1 + rank * (ones @ y)))
        theirs = air.density * s * (points @ x)
        ours = cabin.transfer(f[i], source=source, ear=ears, air=air)[:, 0]
        miss = np.max(abs(20 * np.log10(abs(ours / theirs))))
        assert miss < 0.1  # dB; 0.01 is reached
        assert np.max(abs(np.angle(ours / theirs))) < 0.02
