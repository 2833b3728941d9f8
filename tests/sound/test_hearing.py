"""Thresholds of hearing: formulas at points worked by hand, sources and status present."""

import pytest

from tonewood.sound import hearing


def test_level_step_of_the_quoted_formula():
    """0.463 x 10^(-0.072 x 6) = 0.1712 at 60 dB; 10 log10(1.1712) = 0.686 dB. Louder sounds: finer steps."""
    assert hearing.level_step() == pytest.approx(0.6864, abs=1e-3)
    assert hearing.level_step(80) < hearing.level_step(40) < 1.5


def test_ear_filter_at_one_kilohertz():
    """ANSI/ASA S3.4-2007 formula: 24.673 x 5.368 = 132.4 Hz."""
    assert hearing.equivalent_rectangular_bandwidth(1000) == pytest.approx(132.44, abs=0.01)


def test_a_tenth_of_the_filter_is_dozens_of_cents_on_low_strings():
    """E2 82.41 Hz: filter 33.55 Hz, a tenth is 3.355 Hz = 69 cents; E4: 31 cents."""
    assert hearing.glide_threshold(82.41) == pytest.approx(69.1, abs=0.3)
    assert hearing.glide_threshold(329.63) == pytest.approx(31.3, abs=0.3)


def test_decay_ratios():
    assert list(hearing.decay_noticed([0.7, 0.8, 1.0, 1.39, 1.5])) == [True, False, False, False, True]
    with pytest.raises(ValueError, match="ratio of decay"):
        hearing.decay_noticed(0.0)


def test_every_threshold_tells_where_it_comes_from():
    found = hearing.thresholds().values()
    assert len(found) >= 5 and all(t.source and t.place and t.unit for t in found)
    assert {t.status for t in found} <= {"published", "from memory", "estimated", "common practice"}
