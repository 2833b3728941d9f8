"""The grain figure swept by machine, its curves against the tensor, and the answers in the moves of the page.
"""

import numpy as np
import pytest

from tonewood.lesson.grain import model as lesson
from tonewood.lesson.grain.figure import which_way
from tonewood.wood.board import Board
from tonewood.wood.elastic import off_axis, orientation
from tonewood.wood.species import all_species, species

CONTROLS = ("wood", "ring_angle", "run_out", "slope", "exponent", "home")


@pytest.fixture(scope="module")
def live():
    return which_way()


def values_to_try(control):
    if hasattr(control, "options"):
        return [value for _, value in control.options]
    return [round(float(control.low + round(v / control.step) * control.step), 6)
            for v in np.linspace(0, control.high - control.low, 5)]


def test_has_the_controls_of_the_job(live):
    assert tuple(live.controls) == CONTROLS and live.values == lesson.defaults()


@pytest.mark.parametrize("name", CONTROLS)
@pytest.mark.parametrize("others", [{}, {"run_out": 6.0, "ring_angle": 40.0, "slope": 3.0}])
def test_control_swept_from_end_to_end(live, name, others):
    live.reset()
    live.set(**others)
    control, before, start_png = live.controls[name], live.sentence, live.png
    staged, pictures = live.stagings, set()
    stood = live.values[name]
    few = name == "wood" and not others         # every wood with slanting grain
    for value in values_to_try(control)[::6 if few else 1]:
        live.set(**{name: value})
        assert live.error is None and live.values[name] == value
        for line in live.art.lines:
            assert np.all(np.isfinite(line.get_ydata()))
        for band in live.art.bands:
            assert np.all(np.isfinite(band.get_paths()[0].vertices))
        if value != stood:
            # with straight grain the exponent has nothing to bend
            same = name == "exponent" and not others
            assert (live.sentence != before) or same, (name, value)
            pictures.add(live.png)
    assert len(pictures - {start_png}) >= min(2, len(values_to_try(control)) - 1)
    assert live.stagings == staged, "moving a control redrew the backdrop"
    live.set(**{name: stood})
    assert live.sentence == before and live.png == start_png


def test_curves_are_the_full_tensor(live):
    live.reset()
    live.set(wood="sitka_spruce", ring_angle=35.0, run_out=7.5, slope=2.0)
    wood = species("sitka_spruce")
    for line, x, values in ((live.art.lines[0], lesson.RUN_OUTS,
                             lambda v: off_axis(wood.elastic, orientation(*np.radians([35.0, v, 2.0]))).E_x),
                            (live.art.lines[2], lesson.RINGS,
                             lambda v: off_axis(wood.elastic, orientation(*np.radians([v, 7.5, 2.0]))).E_y),
                            (live.art.lines[3], lesson.RINGS,
                             lambda v: off_axis(wood.elastic, orientation(*np.radians([v, 7.5, 2.0]))).E_z)):
        expected = [100 * float(values(v)) / wood.modulus for v in x]
        np.testing.assert_allclose(line.get_ydata(), expected, rtol=1e-9)
    loss = [100 * Board(wood, *np.radians([35.0, v, 2.0]), moisture=0.12).eta / Board(wood,
                                                                                      moisture=0.12).eta
            for v in lesson.RUN_OUTS]
    np.testing.assert_allclose(live.art.lines[6].get_ydata(), loss, rtol=1e-9)


def test_dots_stand_on_their_curves(live):
    live.reset()
    live.set(ring_angle=25.0, run_out=5.0, exponent=1.8)
    for line, dot in zip(live.art.lines, live.art.dots, strict=True):
        x, y = (float(np.asarray(v)[0]) for v in dot.get_data())
        assert y == pytest.approx(float(np.interp(x, line.get_xdata(), line.get_ydata())), rel=1e-6)


def test_bands_hold_their_curves_and_have_width(live):
    live.reset()
    live.set(run_out=8.0, ring_angle=45.0)
    which = [0, 2, 3, 4, 5, 6]
    for band, k in zip(live.art.bands, which, strict=True):
        x, y = live.art.lines[k].get_data()
        xy = band.get_paths()[0].vertices
        for position in (x[len(x) // 2], x[-1]):
            ys = xy[np.isclose(xy[:, 0], position), 1]
            value = float(np.interp(position, x, y))
            assert ys.min() - 1e-9 <= value <= ys.max() + 1e-9 and ys.max() > ys.min()


def test_end_view_turns_into_a_diamond_at_rift_only(live):
    live.reset()

    def corner_angle():
        a, b, _, d = live.art.view.moved.get_paths()[0].vertices[:4]
        return np.degrees(np.arccos(np.dot(b - a, d - a) / np.linalg.norm(b - a) / np.linalg.norm(d - a)))
    for ring, square in ((90, True), (45, False), (0, True)):
        live.set(ring_angle=ring)
        assert bool(abs(corner_angle() - 90) < 1e-6) is square
    live.set(home=45.0, ring_angle=45)
    assert abs(corner_angle() - 90) < 1e-9                       # no change of air, no change of shape


def test_grain_lines_follow_the_angles(live):
    live.reset()
    live.set(run_out=10.0, slope=5.0)
    for view, degrees in (("side", 10.0), ("face", 5.0)):
        for a, b in live.art.view.lines[view].get_segments():
            assert np.degrees(np.arctan2(*(np.subtract(b, a)[::-1]))) % 180 == pytest.approx(degrees)


def test_move_1_stiffness_along_stays(live):
    live.reset()
    before = [float(d.get_ydata()[0]) for d in live.art.dots]
    live.set(ring_angle=0)
    after = [float(d.get_ydata()[0]) for d in live.art.dots]
    assert after[0] == pytest.approx(before[0])
    assert all(abs(a - b) > 0.02 for a, b in zip(after[2:6], before[2:6], strict=True))


def test_refusals():
    with pytest.raises(ValueError, match="run-out"):
        lesson.along(species("hard maple").elastic, 0, 200, 0)
    with pytest.raises(ValueError, match="wood"):
        which_way().set(wood="unobtainium")
    with pytest.raises(ValueError, match="Run-out: 20"):
        which_way().set(run_out=20)


def test_every_wood_draws(live):
    live.reset()
    live.set(run_out=15.0, slope=15.0, ring_angle=45.0)
    for wood in all_species():
        live.set(wood=wood.key)
        assert live.error is None and np.all(live.art.lines[0].get_ydata() > 0)
