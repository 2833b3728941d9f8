"""Two glued layers against the bimetal strip of S. Timoshenko, "Analysis of bi-metal thermostats", J. Opt.
Soc. Am. 11 (1925) 233-255.

The formula for equal widths is written here as remembered from that paper (its opening page was seen, the
printed form was not); it was
also re-derived independently from force balance and equal strain at the joint, and both agree.
"""

import numpy as np
import pytest

from tonewood.neck.seasons.eigenstrain import stack


def bimetal(a1, a2, E1, E2, e1, e2):
    m, n, h = a1 / a2, E1 / E2, a1 + a2
    return 6 * (e2 - e1) * (1 + m) ** 2 / (h * (3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))))


def joint_balance(a1, a2, E1, E2, e1, e2):
    """Unknown joint force P per width and curvature k: equal strain at the joint; P h/2 = k (E1 I1 + E2
    I2)."""
    h, bend = a1 + a2, (E1 * a1**3 + E2 * a2**3) / 12
    return (e2 - e1) / (2 * bend / h * (1 / (E1 * a1) + 1 / (E2 * a2)) + h / 2)


def test_neck_and_fretboard():
    bent, _ = stack([0.016, 0.006], 0.04, [12e9, 14e9], [-1.5e-4, -3e-4])
    assert bent.curvature[0] == pytest.approx(-8.44388e-3, rel=1e-6)


def test_any_two_layers():
    rng = np.random.default_rng(8)
    for a1, a2, E1, E2, e1, e2 in zip(
        *rng.uniform(0.002, 0.02, (2, 50)),
        *rng.uniform(5e9, 20e9, (2, 50)),
        *rng.normal(0, 3e-4, (2, 50)),
        strict=False,
    ):
        bent, _ = stack([a1, a2], 0.05, [E1, E2], [e1, e2])
        assert bent.curvature[0] == pytest.approx(bimetal(a1, a2, E1, E2, e1, e2), rel=1e-9)
        assert bent.curvature[0] == pytest.approx(joint_balance(a1, a2, E1, E2, e1, e2), rel=1e-9)


def test_stiffness_mismatch_hardly_matters():
    """The paper's own remark in wood terms: with equal layers, a board one and a half times as stiff
    bends the strip only 1 % less."""
    like, _ = stack([0.01, 0.01], 0.04, [12e9, 12e9], [0, -2e-4])
    unlike, _ = stack([0.01, 0.01], 0.04, [18e9, 12e9], [0, -2e-4])
    assert like.curvature[0] == pytest.approx(-1.5 * 2e-4 / 0.02, rel=1e-9)
    assert 0.985 < unlike.curvature[0] / like.curvature[0] < 0.995
