"""Thirty boards, each measured four ways: the stored table against published means and covariances.

Source: Johnson, R. A., Wichern, D. W., Applied Multivariate Statistical Analysis, 6th ed., Table 4.3. Means
and covariances as printed in the documentation of the R package ACSWR (data set `stiff`, example output),
which also names the tests: shock wave, vibration, two static tests.
"""

import numpy as np
import pytest

from tonewood.bench.boards import TESTS, board_tests, forecast

MEANS = {"shock_wave": 1906.100, "vibration": 1749.533, "static_a": 1509.133, "static_b": 1724.967}
COVARIANCE = [[105616.30, 94613.53, 87289.71, 94230.73], [94613.53, 101510.12, 76137.10, 81064.36],
              [87289.71, 76137.10, 91917.09, 90352.38], [94230.73, 81064.36, 90352.38, 104227.96]]


def test_means_and_covariances_are_the_published_ones():
    tests = board_tests()
    assert tuple(tests) == tuple(TESTS) and all(len(v) == 30 for v in tests.values())
    for name, mean in MEANS.items():
        assert tests[name].mean() == pytest.approx(mean, abs=5e-4)
    np.testing.assert_allclose(np.cov(np.array(list(tests.values()))), COVARIANCE, atol=5e-3)


def test_a_quick_test_foretells_a_slow_one():
    for quick in ("shock_wave", "vibration"):
        for slow in ("static_a", "static_b"):
            found = forecast(quick, slow)
            i, j = list(TESTS).index(quick), list(TESTS).index(slow)
            expected = COVARIANCE[i][j] / np.sqrt(COVARIANCE[i][i] * COVARIANCE[j][j])
            assert found.correlation == pytest.approx(expected, abs=1e-6)
            assert 0.78 < found.correlation < 0.90
            assert found.ratio == pytest.approx(MEANS[slow] / MEANS[quick], abs=1e-6) and found.ratio < 1


def test_scatter_of_real_boards_is_of_the_size_the_library_supposes():
    """17 to 20 % from board to board: within what wood.spread uses for woods without their own value (14 %
    hardwoods, 20 % softwoods)."""
    from tonewood.wood.facts import rule

    scatter = [forecast("shock_wave", name).scatter for name in TESTS]
    assert min(scatter) > 0.85 * rule("hardwood_cov_modulus").value
    assert max(scatter) < 1.1 * rule("softwood_cov_modulus").value


def test_what_is_left_after_the_best_line_matches_least_squares():
    tests = board_tests()
    x, y = tests["vibration"], tests["static_b"]
    residual = y - np.polyval(np.polyfit(x, y, 1), x)
    left = np.sqrt(np.sum(residual**2) / (len(x) - 2)) / y.mean()
    assert forecast("vibration", "static_b").left == pytest.approx(left)


def test_unknown_test_is_refused():
    with pytest.raises(ValueError, match="test: 'vibrations' given.*'vibration'"):
        forecast("vibrations", "static_a")
