"""The whole design at once: agrees with its parts, with one neck at a time, and with fewer stations."""
from operator import itemgetter

import numpy as np
import pytest

from tonewood.lesson.shared.shop import NECK_12, possible
from tonewood.neck.layup.neck import Back, Fretboard, Neck, Outline, spread, striped
from tonewood.neck.report.evaluation import evaluate, even_stiffness
from tonewood.neck.section.section import section
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

FIELDS = ("stiffness", "relief", "loss", "relief_change", "width_change", "fret_end", "mass")


@pytest.fixture(scope="module")
def neck():
    return NECK_12.neck()


def test_few_stations_are_enough(neck):
    drawn, strings = possible(neck, "different trees"), string_set("six")
    fine, coarse = (evaluate(drawn, strings, 0.085, 0.062, count=n) for n in (80, 16))
    for name in FIELDS:
        a, b = getattr(fine, name), getattr(coarse, name)
        assert np.max(np.abs(a - b)) < 2e-3 * np.max(np.abs(a)), name


def test_draws_equal_one_neck_at_a_time(neck):
    drawn, strings = spread(neck, 5, 2), string_set("six")
    whole = evaluate(drawn, strings, 0.085, 0.062)
    for k in range(5):
        one = neck.with_pieces([Board(b.species, b.ring_angle, b.run_out, b.slope, moisture=b.moisture,
                                      density=float(b.density[k]), modulus=float(b.modulus[k]),
                                      loss=float(b.loss[k]),
                                      constants=b.constants and b.constants.mapped(itemgetter(k)),
                                      swelling=tuple(float(np.broadcast_to(c, 5)[k]) for c in b.swelling))
                                      for b in drawn.pieces])
        single = evaluate(one, strings, 0.085, 0.062)
        for name in FIELDS:
            assert np.broadcast_to(getattr(whole, name), 5)[k] == pytest.approx(getattr(single, name),
                                                                                rel=1e-9), name


def test_mean_of_draws_is_near_the_point_value(neck):
    strings = string_set("six")
    many, point = evaluate(spread(neck, 4000, 1), strings, 0.085, 0.062), evaluate(neck, strings, 0.085,
                                                                                   0.062)
    for name, within in (("stiffness", 0.01), ("mass", 0.005), ("width_change", 0.02), ("relief", 0.03)):
        assert np.mean(getattr(many, name)) == pytest.approx(getattr(point, name), rel=within), name


def test_even_stiffness_of_an_even_neck_is_its_own():
    maple = Board(species("hard maple"))
    even = Neck(striped(maple, maple, maple, 1), Outline(0.05, 0.05), Back("C", 0.017, 0.017),
                Fretboard(maple, slot_depth=0.0))
    assert even_stiffness(even) == pytest.approx(section(even, [0.1]).EI[0], rel=1e-6)


def test_stiffness_grows_with_thickness_cubed():
    """Similar sections: every depth times k gives EI times k cubed; closed form."""
    maple = Board(species("hard maple"))

    def EI(k):
        neck = Neck(striped(maple, maple, maple, 3), Outline(), Back("D", 0.014 * k, 0.017 * k),
                    Fretboard(maple, 0.006 * k, 0.0))
        return section(neck).EI
    np.testing.assert_allclose(EI(1.3), 1.3**3 * EI(1.0), rtol=1e-12)


def test_weight_is_volume_times_density():
    """Independently derived: half ellipse plus board, integrated along a straight taper."""
    maple = Board(species("hard maple"))
    neck = Neck(striped(maple, maple, maple, 1), Outline(0.043, 0.056, 0.47), Back("C", 0.0145, 0.017, 0.47),
                Fretboard(maple, 0.006))
    x = np.linspace(0, neck.end, 4001)
    width, depth = 0.043 + 0.013 * x / 0.47, 0.0145 + 0.0025 * x / 0.47
    mass = np.trapezoid((np.pi / 4 * width * depth + 0.006 * width) * maple.rho, x)
    found = evaluate(neck, string_set("six"), 0.08, 0.07)
    assert found.mass == pytest.approx(mass, rel=1e-4)
    assert found.table()["weight (g)"].item() == pytest.approx(1e3 * mass, rel=1e-4)


def test_table_has_units_and_bands(neck):
    table = evaluate(spread(neck, 200, 1), string_set("six"), 0.085, 0.062).table()
    assert list(table.index) == ["5 %", "50 %", "95 %"] and all("(" in c for c in table.columns)
    assert np.all(table.iloc[0] <= table.iloc[1]) and np.all(table.iloc[1] <= table.iloc[2])


@pytest.mark.parametrize("moisture, hint", [(8, "Did you mean 0.08"), (-0.1, "accepted"),
                                            (float("nan"), "accepted"), (0.5, "fibre saturation")])
def test_bad_moisture_is_refused(neck, moisture, hint):
    with pytest.raises(ValueError, match=hint):
        evaluate(neck, string_set("six"), moisture, 0.06)
