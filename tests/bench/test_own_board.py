"""A measured board: its readings carried to 12 % and straight grain, and what they leave open, against sums
done another way."""

import numpy as np
import pytest

from tonewood.bench import measure
from tonewood.bench.own_board import OwnBoard, measured_board
from tonewood.neck.design import FretboardPlan, StripePlan, example_design
from tonewood.neck.layup.neck import spread
from tonewood.neck.report.evaluation import evaluate
from tonewood.strings.sets import string_set
from tonewood.wood import species as register
from tonewood.wood.board import Board
from tonewood.wood.own import keep
from tonewood.wood.species import species
from tonewood.wood.spread import draw_boards


@pytest.fixture(autouse=True)
def empty_register(monkeypatch):
    monkeypatch.setattr(register, "_OWN", {})


MAPLE = {"label": "Mill maple 3", "wood": "hard maple", "moisture": 0.085}


def test_readings_are_met_again_by_a_board_of_that_wood_as_it_lies():
    """Carried to 12 % and straight grain and back: at the board's own moisture and grain it is what was read,
    up to what the tables still pull (3 % against 14 %)."""
    given = OwnBoard(**MAPLE, density=700.0, modulus=12e9, loss=0.009, ring_angle=1.5, run_out=0.06)
    wood = keep(given.own())
    there = Board(wood, 1.5, 0.06, moisture=0.085)
    assert there.E_x == pytest.approx(12e9, rel=0.012) and there.rho == pytest.approx(700.0, rel=0.003)
    assert there.eta_L == pytest.approx(0.009)
    assert wood.own.run_out == 0.06 and wood.status("modulus") == "measured"


def test_what_is_left_is_the_weighted_mean_of_tables_and_reading():
    """One reading: the textbook normal-normal posterior, done by hand on logarithms."""
    board = OwnBoard(**MAPLE, modulus=10e9, moisture_u=0.0)
    maple = species("hard maple")
    s, u = np.sqrt(np.log1p(maple.cov_modulus**2)), board.modulus_u
    prior = np.log(maple.modulus) - s**2 / 2
    read = np.log(measure.modulus_at_12(10e9, 0.085, maple.green_ratio, maple.mp))
    mean = (prior / s**2 + read / u**2) / (1 / s**2 + 1 / u**2)
    var = 1 / (1 / s**2 + 1 / u**2)
    wood = board.own().wood()
    assert wood.modulus == pytest.approx(np.exp(mean + var / 2), rel=1e-9)
    assert wood.cov_modulus == pytest.approx(np.sqrt(np.expm1(var)), rel=1e-9)
    assert wood.cov_modulus_sources == 0.0


def test_draws_of_the_kept_board_are_those_of_the_readings():
    board = OwnBoard(**MAPLE, density=700.0, modulus=12e9)
    drawn = draw_boards([Board(board.own().wood(), moisture=0.12)], 20000, 4)[0]
    logs = np.log([drawn.E_L, drawn.rho])
    assert logs.mean(axis=1) == pytest.approx(board.known.mean, abs=2e-3)
    assert np.cov(logs) == pytest.approx(board.known.covariance, abs=3e-5)


def test_weighing_alone_moves_the_stiffness_a_little_and_marks_it_estimated():
    wood = OwnBoard(**MAPLE, density=800.0).own().wood()
    maple = species("hard maple")
    assert wood.status("density") == "measured" and wood.status("modulus") == "estimated"
    assert maple.modulus < wood.modulus < 1.15 * maple.modulus
    assert 0.75 < wood.cov_modulus / maple.cov_modulus < 0.85              # correlation 0.6: 80 % is left


def test_doubt_of_moisture_and_grain_widens_what_is_left():
    plain = OwnBoard(**MAPLE, modulus=12e9, moisture_u=0.0).own().modulus_error
    damp = OwnBoard(**MAPLE, modulus=12e9, moisture_u=0.03).own().modulus_error
    dive = OwnBoard(**MAPLE, modulus=12e9, moisture_u=0.0, run_out=0.05, run_out_u=0.03).own().modulus_error
    assert plain < damp and plain < dive


def test_bend_and_tap_of_one_made_board_agree_and_are_averaged():
    """Readings worked out from a board of known constants by beam theory; the tap a tenth above the bend."""
    E, G, rho, sizes = 12e9, 0.9e9, 700.0, {"length": 0.6, "width": 0.06, "thickness": 0.022}
    mass, (_, b, t) = rho * np.prod(list(sizes.values())), sizes.values()
    load, span = 80.0, 0.5
    dip = load * span**3 / (4 * b * t**3 * E) * (1 + 1.2 * (E / G) * (t / span) ** 2)
    ratio = float((lambda x: x.E_x / x.G_xz)(Board(species("hard maple"), moisture=0.085)))
    tone = 100 * np.sqrt(1.1 * E / measure.tap_modulus(mass, 100.0, **sizes, ratio=ratio))
    both = measured_board(**MAPLE, mass=mass, **sizes, tone=tone, bend=(load, dip, span))
    one = measured_board(**MAPLE, mass=mass, **sizes, bend=(load, dip, span))
    tap = measured_board(**MAPLE, mass=mass, **sizes, tone=tone)
    assert [b.density for b in (both, one, tap)] == pytest.approx([700.0] * 3)
    assert [b.modulus for b in (both, one, tap)] == pytest.approx([12e9] * 3, rel=0.01)
    assert both.modulus_u < min(one.modulus_u, tap.modulus_u) and one.modulus_u == pytest.approx(0.03)


def test_twist_gives_the_mean_of_the_two_shear_moduli():
    wood = OwnBoard(**{**MAPLE, "moisture": 0.12}, modulus=12e9, twist_modulus=1.2e9).own().wood()
    assert (wood.elastic.G_LR + wood.elastic.G_LT) / 2 == pytest.approx(1.2e9)
    assert wood.elastic.G_LR / wood.elastic.G_LT == pytest.approx(
        species("hard maple").elastic.G_LR / species("hard maple").elastic.G_LT)


def test_a_neck_of_measured_boards_has_a_narrower_band():
    """Measured stripes help, but the fretboard lies far from the middle: only with it does the band close;
    less where all stripes are ripped from one board, which varies within itself."""
    wood, *more = (keep(OwnBoard(**{**MAPLE, "label": label}, density=700.0, modulus=12.5e9).own())
                   for label in ("Mill maple 3", "Mill maple 4", "Mill maple 5"))
    top = keep(OwnBoard(label="Top 7", wood="Indian rosewood", moisture=0.085, modulus=13e9).own())
    bands = []
    rosewood = "Indian rosewood"
    each = [wood.key, *(other.key for other in more)]
    for names, above in ((["hard maple"] * 3, rosewood), (each, rosewood), (each, top.key),
                         ([wood.key] * 3, top.key)):
        stripes = tuple(StripePlan(wood=name, width=0.02, ring_angle=1.5) for name in names)
        design = example_design().changed(stripes=stripes, fretboard=FretboardPlan(wood=above))
        found = evaluate(spread(design.neck(), 400, 1), string_set("six"), start=0.085, end=0.062).stiffness
        bands.append(np.subtract(*np.percentile(found, (95, 5))) / np.median(found))
    assert bands[1] < 0.9 * bands[0] and bands[2] < 0.4 * bands[0]
    assert bands[2] < bands[3] < 0.5 * bands[0]


@pytest.mark.parametrize("given, said", [
    ({"modulus": 12.0}, "Did you mean 12 GPa"), ({"density": 0.7}, "Did you mean 700 kg/m³"),
    ({"loss": 8.0}, "Give 0.008"), ({"twist_modulus": 0.9}, "Did you mean 0.9 GPa"),
    ({"moisture": 8.5}, "Did you mean 0.085"), ({"run_out": 3.0}, "in degrees"),
    ({"wood": "mapel"}, "Did you mean"), ({"label": ""}, "name of the wood"),
    ({"label": "hard maple"}, "stands in the tables"), ({"modulus_u": 3.0}, "uncertainty of modulus")])
def test_a_slip_is_refused(given, said):
    with pytest.raises(ValueError, match=said):
        OwnBoard(**{**MAPLE, **given}).own()
    keep(OwnBoard(**MAPLE, density=700.0).own())
    with pytest.raises(ValueError, match="is a board itself"):
        OwnBoard(**{**MAPLE, "wood": "Mill maple 3", "label": "again"})


@pytest.mark.parametrize("ring_angle", [2, 3, 90])
def test_a_ring_angle_in_degrees_is_no_board(ring_angle):
    """Up to 1.57 nobody can tell; beyond a quarter turn a measured board has none."""
    with pytest.raises(ValueError, match="ring angle: .*Is that in degrees"):
        OwnBoard(label="b", wood="hard maple", moisture=0.085, modulus=12e9, ring_angle=ring_angle).own()
