"""The board figure swept by machine, its numbers against the library, and the answers in the moves of the
page."""

import re

import numpy as np
import pytest

from tonewood.bench.knowledge import learn
from tonewood.draws import band
from tonewood.lesson.one_board import model
from tonewood.lesson.one_board.figure import one_board
from tonewood.wood.board import Board
from tonewood.wood.moisture import equilibrium_band, equilibrium_moisture
from tonewood.wood.species import all_species, species

CONTROLS = ("wood", "ring_angle", "run_out", "humidity", "weighed", "density", "bent", "modulus")
ON = {"density": {"weighed": True}, "modulus": {"bent": True}}


@pytest.fixture(scope="module")
def live():
    return one_board()


def values_to_try(control):
    if hasattr(control, "options"):
        return [value for _, value in control.options]
    if control.low is None:
        return [True, False]
    return [float(control.low + round(v / control.step) * control.step)
            for v in np.linspace(0, control.high - control.low, 5)]


def width(gauges, row):
    xs = gauges.bands[row].get_paths()[0].vertices[:, 0]
    return np.ptp(xs)


def test_has_the_controls_of_the_job(live):
    assert tuple(live.controls) == CONTROLS and live.values == model.defaults()


@pytest.mark.parametrize("name", CONTROLS)
def test_control_swept_from_end_to_end(live, name):
    live.reset()
    live.set(**ON.get(name, {}))
    before, start_png, staged, pictures = live.sentence, live.png, live.stagings, set()
    control = live.controls[name]
    for value in values_to_try(control):
        live.set(**{name: value})
        assert live.error is None and live.values[name] == value
        for draws in model.gauge_draws(live.values):
            assert np.all(np.isfinite(draws)) and np.all(np.asarray(draws) > 0)
        if value != control.default:
            assert live.sentence != before, (name, value)
            pictures.add(live.png)
    assert len(pictures - {start_png}) >= min(2, len(values_to_try(control)) - 1)
    assert live.stagings == staged, "moving a control redrew the backdrop"
    live.set(**{name: control.default})
    assert live.sentence == before and live.png == start_png


def test_every_wood_with_every_reading_at_its_ends(live):
    live.reset()
    live.set(weighed=True, bent=True)
    for wood in all_species():
        for density, modulus in ((250.0, 4.0), (1250.0, 32.0)):
            live.set(wood=wood.key, density=density, modulus=modulus)
            assert live.error is None
    assert "check the readings, or the name" in live.sentence


def test_a_slider_whose_switch_is_off_changes_nothing(live):
    live.reset()
    before = live.png, live.sentence
    live.set(density=500.0, modulus=10.0)
    assert (live.png, live.sentence) == before


def test_measuring_narrows_what_it_says_it_narrows(live):
    live.reset()
    g = live.art.gauges
    free = [width(g, i) for i in range(6)]
    live.set(weighed=True)
    weighed = [width(g, i) for i in range(6)]
    live.set(weighed=False, bent=True)
    bent = [width(g, i) for i in range(6)]
    assert weighed[1] < 0.2 * free[1] and weighed[0] < 0.95 * free[0]
    assert bent[0] < 0.3 * free[0] and bent[1] < 0.95 * free[1]
    for other in (weighed, bent):
        assert other[2:5] == free[2:5]                          # moisture and movement: no narrower
    assert weighed[5] == pytest.approx(free[5], rel=1e-9)       # damping neither


def test_ghost_outline_is_what_the_tables_alone_give(live):
    live.reset()
    live.set(weighed=True, bent=True, density=950.0, modulus=16.0)
    board = model.plain_board(**live.values)
    low, _, high = band(1e-9 * learn(board, draws=model.DRAWS, seed=model.SEED).E_x)
    ghost = live.art.gauges.ghosts[0].get_paths()[0].vertices[:, 0]
    assert (ghost.min(), ghost.max()) == pytest.approx((low, high))


def test_sentence_says_the_librarys_numbers(live):
    live.reset()
    low, middle, high = band(model.gauge_draws(live.values)[0])
    assert f"stiffness {middle:.1f} GPa (90 of 100 such boards: {low:.1f} to {high:.1f})" in live.sentence
    dry, wet = equilibrium_band(20.0, 0.45)
    moisture = f"moisture {100 * equilibrium_moisture(20.0, 0.45):.1f} %, {100 * dry:.1f} to {100 * wet:.1f})"
    assert moisture in live.sentence
    live.reset()
    for wood in ("wenge", "hard maple"):
        live.set(wood=species(wood).key)
        assert ("measured, published;" in live.sentence) == (species(wood).loss.status == "published"), wood
    live.reset()


def test_run_out_is_felt_by_a_bend(live):
    live.reset()
    live.set(bent=True, modulus=15.0)
    before = live.art.gauges.numbers[0].get_text()
    live.set(run_out=10.0)
    middle = [float(re.match(r"[\d.]+", text)[0]) for text in (before, live.art.gauges.numbers[0].get_text())]
    assert middle[0] == pytest.approx(middle[1], abs=0.2)
    live.set(bent=False)
    low = float(re.match(r"[\d.]+", live.art.gauges.numbers[0].get_text())[0])
    live.set(run_out=0.0)
    assert low < 0.85 * float(re.match(r"[\d.]+", live.art.gauges.numbers[0].get_text())[0])


def test_circles_are_the_printed_sources():
    board = Board(species("African padauk"), moisture=0.12)
    E, rho = model.printed(board)
    # a sheet's mean and its two test sets are one source
    assert len(E) == 3 and E.max() / E.min() == pytest.approx(15.87 / 11.41, rel=1e-6)
    assert E[0] == pytest.approx(1.10 * 11.41, rel=1e-6) and rho[0] == pytest.approx(745)
    osage = model.printed(Board(species("Osage-orange"), moisture=0.12))[0]
    # nothing printed: no circle, only the estimate
    assert len(osage) == 0


def test_views_follow_the_grain(live):
    live.reset()
    live.set(ring_angle=0, run_out=10)
    rings = live.art.view.lines["end"].get_segments()
    grain = live.art.view.lines["side"].get_segments()
    assert all(abs(a[1] - b[1]) < 1e-9 for a, b in rings)
    for a, b in grain:
        assert np.degrees(np.arctan2(*(np.subtract(b, a)[::-1]))) % 180 == pytest.approx(10)


def test_slide_text_about_woods_holds():
    counts = {name: model.printed(Board(species(name)))[0]
              for name in ("wenge", "African padauk", "purpleheart", "hard maple")}
    assert max(len(v) for v in counts.values()) == 4 and len(counts["hard maple"]) == 1
    assert 1.4 < max(v.max() / v.min() for v in counts.values()) < 1.6
    assert 100 * equilibrium_moisture(20.0, 0.20) == pytest.approx(4.5, abs=0.1)
    assert 100 * equilibrium_moisture(20.0, 0.80) == pytest.approx(16, abs=0.1)
