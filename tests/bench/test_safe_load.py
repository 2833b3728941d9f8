"""What may hang on a board: the beam formula by hand, the weak twentieth by a normal quantile, refusals, and
the bends this project asks for."""

import numpy as np
import pytest
from scipy.stats import norm

from tonewood.bench.safe_load import bending_strength, safe_load, scatter_of_strength
from tonewood.lesson.one_board.by_hand import BENT
from tonewood.wood.species import all_species, species

MAPLE = species("hard maple")


def test_load_by_hand():
    """Hard maple, Wood Handbook, Table 5-3a: 109 MPa; a third of its 5 % quantile over a section modulus."""
    found = safe_load(MAPLE, 0.40, 0.045, 0.020)
    weak = norm.ppf(0.05, 109e6, 0.147 * 109e6)
    assert found.weak == pytest.approx(weak, rel=1e-4)
    moment = 0.333 * weak * 0.045 * 0.020**2 / 6
    assert found.load == pytest.approx(4 * moment / 0.40, rel=1e-4)
    assert safe_load(MAPLE, 0.40, 0.045, 0.020, lasting=True).load == pytest.approx(0.6 * found.load)


def test_wet_or_warm_wood_bears_less_and_dry_wood_no_more():
    """Eq. 5-3 for the strength by hand at 20 %: 109 (109/64.8)^((12 - 20)/(25 - 12)); Table 5-15: -20 % at
    50 C and 13 %."""
    by_hand = 109 * (109 / 64.8) ** ((12 - 20) / (25 - 12))
    assert bending_strength(MAPLE, 0.20) / 1e6 == pytest.approx(by_hand, rel=1e-6)
    assert bending_strength(MAPLE, 0.06) == bending_strength(MAPLE, 0.12) == pytest.approx(109e6)
    at_13 = bending_strength(MAPLE, 0.13, 50.0) / bending_strength(MAPLE, 0.13, 20.0)
    assert at_13 == pytest.approx(0.80)


def test_a_wood_with_a_published_scatter_uses_it():
    assert scatter_of_strength(species("European ash")) == (0.143, "published")
    assert scatter_of_strength(MAPLE)[1] == "estimated"


def test_of_drawn_boards_about_one_in_twenty_is_weaker_than_weak():
    found = safe_load(MAPLE, 0.40, 0.045, 0.020)
    drawn = found.mean * (1 + found.cov * np.random.default_rng(3).standard_normal(20_000))
    assert np.mean(drawn < found.weak) == pytest.approx(0.05, abs=0.005)


def test_the_bend_of_lesson_02_is_safe():
    bent = safe_load(MAPLE, BENT["span"], BENT["width"], BENT["thickness"], 0.085)
    assert BENT["load"] < 0.5 * bent.load
    assert bent.sag > BENT["deflection"]


def test_most_woods_have_a_load_and_the_others_are_refused_by_name():
    loads, refused = [], []
    for wood in all_species():
        try:
            loads.append(safe_load(wood, 0.7, 0.062, 0.022).mass)
        except ValueError as refusal:
            refused.append(str(refusal))
    assert len(loads) > 100 and 15 < min(loads) and max(loads) < 200
    assert all("has none on file" in said for said in refused)


@pytest.mark.parametrize("call, words", [
    (lambda: safe_load(MAPLE, 400, 0.045, 0.020), "span: 400 m.*mm"),
    (lambda: safe_load(MAPLE, 0.1, 0.045, 0.020), "span over thickness: 5"),
    (lambda: safe_load(MAPLE, 0.4, 0.045, 0.020, 8), "moisture content: 8 .*0.08"),
    (lambda: safe_load(MAPLE, 0.4, 0.045, 0.020, 0.08, 68), "temperature of the wood: 68.*Fahrenheit"),
])
def test_refusals(call, words):
    with pytest.raises(ValueError, match=words):
        call()
