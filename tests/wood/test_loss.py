"""Damping: estimates carry band and status; off-axis loss agrees with the rotated tensor; refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tonewood.wood.elastic import orientation, rotate_compliance
from tonewood.wood.facts import rule
from tonewood.wood.loss import Loss, Losses, loss_at, losses, off_axis_loss, relation
from tonewood.wood.loss import lossy_compliance as library_form
from tonewood.wood.species import all_species, species


def lossy_compliance(elastic, each):
    """Imaginary part of the compliance, (6, 6) in 1/Pa: every term times its own loss factor; Poisson terms
    carry that of their own pull."""
    eta = [getattr(each, name) for name in ("L", "R", "T", "RT", "LT", "LR")]
    return elastic.compliance * [[eta[min(i, j)] for j in range(6)] for i in range(6)]


def test_relation_at_the_stated_points():
    assert relation(18.0) == pytest.approx(0.00825, abs=0.00005)
    assert relation(25.0) == pytest.approx(0.00660, abs=0.00005)


def test_what_nobody_measured_carries_band_status_and_warning():
    classes = set()
    for wood in all_species():
        if wood.fact("loss_factor").place == "rules.csv":
            factor, band = (rule(f"loss_{wood.loss_class}_{name}").value for name in ("factor", "band"))
            specific = wood.modulus / 1e9 / (wood.density / 1000)
            assert wood.loss.value == pytest.approx(factor * relation(specific)), wood.name
            assert wood.loss.band == band and wood.loss.status == "from memory"
            assert "cannot rank" in wood.loss.note
            assert wood.loss.low * wood.loss.high == pytest.approx(wood.loss.value**2)
            classes.add(wood.loss_class)
    assert {"ordinary", "tropical", "extractive-rich"} <= classes


def test_classes_differ_as_stated():
    factors, bands = ([rule(f"loss_{c}_{name}").value for c in ("ordinary", "tropical", "extractive-rich")]
                      for name in ("factor", "band"))
    assert bands == [1.4, 1.7, 1.6]
    assert factors == pytest.approx([1.0, 1.0, 0.7])


def test_relation_of_draws_falls():
    assert np.all(np.diff(relation(np.array([12.0, 14.0, 16.0]) / 0.7)) < 0)


def test_ends_of_the_band():
    loss = Loss(0.008, 1.4, "published", "x")
    assert (loss.low, loss.high) == pytest.approx((0.008 / 1.4, 0.008 * 1.4))


def test_common_neck_woods_cannot_be_told_apart():
    """The spread of the point values over usual pale woods lies inside the band of any one of them."""
    values = [species(n).loss.value
              for n in ("hard maple", "black walnut", "black cherry", "white ash", "mahogany", "sapele")]
    assert max(values) / min(values) < 1.4


def test_more_moisture_above_8_percent_damps_more():
    m = np.linspace(0.0, 0.25, 26)
    eta = loss_at(0.008, m)
    assert np.all(np.diff(eta) >= -1e-15)
    assert loss_at(0.008, 0.12) == 0.008
    assert loss_at(0.008, 0.05) == loss_at(0.008, 0.08)
    assert loss_at(0.0116, 0.09) / loss_at(0.0116, 0.08) == pytest.approx(1.04)


@pytest.mark.parametrize("wood", [species(n) for n in ("hard maple", "Sitka spruce", "wenge", "mahogany")],
                         ids=lambda w: w.key)
@given(ring=st.floats(0, np.pi / 2), run_out=st.floats(-0.6, 0.6), slope=st.floats(-0.6, 0.6))
def test_direction_form_equals_rotated_lossy_tensor(wood, ring, run_out, slope):
    """Two routes: closed form over direction cosines, or the whole imaginary compliance turned by the
    elasticity code."""
    Q = orientation(ring, run_out, slope)
    each = losses(0.008, wood.group)
    turned = rotate_compliance(lossy_compliance(wood.elastic, each),
                               Q)[0, 0] / rotate_compliance(wood.elastic.compliance, Q)[0, 0]
    assert off_axis_loss(wood.elastic, Q[0], 0.008, wood.group) == pytest.approx(turned, rel=1e-9)


def test_lossy_compliance_is_symmetric_and_passive():
    """A piece of wood may not give energy back: the imaginary compliance is positive definite for every
    wood."""
    for wood in all_species():
        S = lossy_compliance(wood.elastic, losses(0.008, wood.group)) * wood.modulus
        assert np.array_equal(S, S.T)
        assert library_form(wood.elastic, losses(0.008, wood.group)) * wood.modulus == pytest.approx(S)
        assert np.linalg.eigvalsh(S).min() > 0, wood.name


@pytest.mark.parametrize("plane", [1, 2])
def test_loss_rises_steadily_from_along_to_across(plane):
    angle = np.radians(np.arange(0, 91, 1.0))
    direction = np.zeros((91, 3))
    direction[:, 0], direction[:, plane] = np.cos(angle), np.sin(angle)
    wrong = []
    for wood in all_species():
        eta = off_axis_loss(wood.elastic, direction, 0.008, wood.group)
        across = losses(0.008, wood.group)
        ends = [0.008, across.R if plane == 1 else across.T]
        if not (eta[[0, -1]] == pytest.approx(ends, rel=1e-9) and abs(eta[0] / 0.008 - 1) <= 1e-12
                and np.all(eta >= eta[0] - 1e-15) and eta.max() <= max(across.R, across.LR) * 1.05):
            wrong.append(wood.key)
    assert wrong == []


def test_draws_of_eta_and_of_direction():
    wood = species("hard maple")
    eta = np.array([0.006, 0.008, 0.010])
    v = np.array([np.cos(0.1), np.sin(0.1), 0.0])
    one = off_axis_loss(wood.elastic, v, 0.008, "hardwood")
    assert off_axis_loss(wood.elastic, v, eta, "hardwood") == pytest.approx(one * eta / 0.008)
    assert off_axis_loss(wood.elastic, np.stack([v, v, v]), eta,
                         "hardwood") == pytest.approx(one * eta / 0.008)


def test_own_losses_are_used():
    wood = species("hard maple")
    each = Losses(0.01, 0.02, 0.03, 0.04, 0.05, 0.06)
    assert off_axis_loss(wood.elastic, [0, 0, 1], None, each=each) == pytest.approx(0.03)


@pytest.mark.parametrize(("call", "message"), [
    (lambda: relation(-1.0), "specific modulus: −1"),
    (lambda: relation(18e6), "specific modulus.*Did you mean 18"),
    (lambda: losses(0.008, "bamboo"), "group: 'bamboo' given; accepted: 'hardwood', 'softwood'"),
    (lambda: losses(0.0, "hardwood"), "loss factor along the grain: 0 given"),
    (lambda: loss_at(0.008, 8), "moisture content: 8.*Did you mean 0.08"),
    (lambda: off_axis_loss(species("wenge").elastic, [1, 1, 0], 0.008, "hardwood"),
     "direction: .* given; accepted: three components"),
    (lambda: off_axis_loss(species("wenge").elastic, [1, 0], 0.008, "hardwood"),
     "direction: .* given; accepted: three components"),
])
def test_refusals(call, message):
    with pytest.raises(ValueError, match=message):
        call()
