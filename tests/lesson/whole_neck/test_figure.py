"""The bench panel swept by machine: every control to both ends and several middles, one at a time from the
start values."""

import re

import numpy as np
import pytest

from tonewood.lesson.shared.end_view import ring_lines
from tonewood.lesson.shared.shop import NECK_12, REINFORCEMENT, woods
from tonewood.lesson.whole_neck.figure import bench, controls
from tonewood.lesson.whole_neck.model import BUILT, build, defaults, evaluated
from tonewood.wood.species import species

CONTROLS = ("main", "accent", "centre", "fretboard", "built", "veneer", "stripes", "ring_angle",
            "run_out", "lean", "shop", "home", "reinforcement", "origin", "supply", "reference")
# What must move in the picture when a control moves: at least the part named here.
LETS_MOVE = {"main": "stiffness", "accent": "mass", "centre": "mass", "fretboard": "stiffness",
             "run_out": "stiffness", "stripes": "stiffness", "ring_angle": "width_change",
             "shop": "relief_change", "home": "width_change", "reinforcement": "stiffness", "built": "mass",
             "lean": "stiffness",
             "origin": "stiffness", "supply": "stiffness"}


@pytest.fixture(scope="module")
def live():
    return bench()


def values_to_try(control):
    if hasattr(control, "options"):
        found = [value for _, value in control.options]
        return found if len(found) < 20 else [*found[::9], *found[-2:], "glass_composite", "macassar_ebony"]
    span = np.linspace(control.low, control.high, 5)
    return [float(control.low + round((v - control.low) / control.step) * control.step) for v in span]


def test_has_the_controls_of_the_job(live):
    assert tuple(live.controls) == CONTROLS


@pytest.mark.parametrize("name", CONTROLS)
def test_control_swept_from_end_to_end(live, name):
    live.reset()
    if name == "veneer":                                    # it waits until the fretboard lies on one
        live.set(built=list(BUILT)[1])
    control = live.controls[name]
    start_sentence, start_png = live.sentence, live.png
    staged, pictures = live.stagings, set()
    for value in values_to_try(control):
        live.set(**{name: value})
        assert live.error is None
        assert live.values[name] == value
        found = evaluated(**live.values)[1]
        for field in ("stiffness", "relief", "relief_curve", "loss", "relief_change", "width_change",
                      "fret_end", "mass"):
            assert np.all(np.isfinite(getattr(found, field))), (name, value, field)
        assert np.all(found.stiffness > 0) and np.all(found.loss > 0) and np.all(found.loss < 0.2)
        assert np.all(found.mass > 0)
        if value != control.default:
            assert live.sentence != start_sentence, (name, value)
            pictures.add(live.png)
    # Two woods can be alike to the printed digit, so not every value need change the picture, but the control
    # must.
    assert len(pictures - {start_png}) >= min(2, len(values_to_try(control)) - 1) > 0
    named_in_the_key = name in ("main", "accent", "centre", "fretboard", "built", "veneer")
    assert named_in_the_key or live.stagings == staged, "moving a control redrew the backdrop"
    live.set(**{name: control.default})
    assert live.sentence == start_sentence and live.png == start_png


@pytest.mark.parametrize("name, field", LETS_MOVE.items())
def test_control_reaches_the_model(name, field):
    start = defaults()
    control = controls()[name]
    other = [v for v in values_to_try(control) if v != start[name]][-1]
    before, after = (getattr(evaluated(**{name: v})[1], field) for v in (start[name], other))
    assert not np.allclose(before, after, rtol=1e-6)


def test_ghost_keeps_the_earlier_design(live):
    live.reset()
    live.hold()
    held = dict(live.held)
    live.set(stripes=1, main="wenge")
    ghost = live.art.gauges.ghosts[0].get_paths()[0].vertices
    now = live.art.gauges.bands[0].get_paths()[0].vertices
    assert live.held == held and np.ptp(ghost[:, 0]) > 0
    assert abs(ghost[:, 0].mean() - now[:, 0].mean()) > 1
    live.release()
    assert np.ptp(live.art.gauges.ghosts[0].get_paths()[0].vertices) == 0


def test_reset_brings_everything_back(live):
    live.reset()
    sentence, png = live.sentence, live.png
    live.set(stripes=3, ring_angle=0, home=70)
    live.reset()
    assert live.values == defaults() and live.sentence == sentence and live.png == png


def test_end_view_follows_the_lay_up(live):
    live.reset()
    live.set(stripes=5)
    assert len(live.art.view.pieces.get_paths()) == 6          # five stripes and the fretboard
    live.set(stripes=1, ring_angle=0)
    assert len(live.art.view.pieces.get_paths()) == 2
    flat = [np.subtract(*segment) for segment in live.art.view.rings.get_segments()]
    assert all(abs(d[1]) < 1e-9 for d in flat)                 # flat-sawn: rings lie level


def test_rings_stand_at_the_ring_angle():
    for degrees in (0, 20, 45, 70, 90):
        for (y0, z0), (y1, z1) in ring_lines(-5, 5, -15, 0, np.radians(degrees)):
            leans = abs(np.degrees(np.arctan2(z1 - z0, y1 - y0))) % 180
            assert abs(leans - (180 - degrees if degrees else 0)) < 1e-6 or degrees == 90
            assert -5 - 1e-9 <= min(y0, y1) and max(y0, y1) <= 5 + 1e-9 and -15 - 1e-9 <= min(z0, z1)
            assert max(z0, z1) <= 1e-9


def test_one_piece_equals_reference_in_the_same_wood():
    _, found, compared = evaluated(stripes=1, main="hard_maple", ring_angle=0.0)
    np.testing.assert_allclose(found.stiffness, compared.stiffness)
    np.testing.assert_allclose(found.mass, compared.mass)


def test_build_refuses_what_cannot_be_built():
    with pytest.raises(ValueError, match="number of stripes"):
        build(stripes=60)


def test_inches_and_ounces_say_the_same_thing(live):
    """25.4 mm to the inch, 28.349523125 g to the ounce, exact by definition (1959)."""
    live.reset()
    metric = live.sentence
    live.units.value = "inches and ounces"
    inch = live.sentence
    live.units.value = "metric"
    mm, inches = (float(re.search(r"relief ([\d.]+) " + u, t)[1]) for u, t in (("mm", metric), ("in", inch)))
    grams, ounces = (float(re.search(r"Weight ([\d.]+) " + u, t)[1]) for u,
                     t in (("g", metric), ("oz", inch)))
    assert inches == pytest.approx(mm / 25.4, abs=0.0007) and ounces == pytest.approx(grams / 28.349523125,
                                                                                      abs=0.06)
    assert " mm" not in inch and not re.search(r"\d g\b", inch)
    assert live.sentence == metric


def test_what_the_moves_of_the_lesson_say():
    """The answers printed beside the moves, each from the model."""
    def found(**changes):
        return evaluated(**changes)[1]

    def middle(field, **changes):
        return float(np.median(getattr(found(**changes), field)))

    def width(field, **changes):
        low, high = np.percentile(getattr(found(**changes), field), [5, 95])
        return high - low

    assert 1.3 < middle("width_change", ring_angle=0.0) / middle("width_change") < 1.55
    cost = 1 - middle("stiffness", run_out=4.0) / middle("stiffness")
    rises = [np.mean(found(run_out=r).relief_change > 0) for r in (0.0, 4.0)]
    assert 0.02 < cost < 0.06 and middle("loss", run_out=4.0) > middle("loss") and 0.4 < rises[0] < 0.6
    assert rises[1] < 0.15
    for field in ("stiffness", "relief_change", "mass"):
        one, five, eleven, same = (width(field, stripes=n, accent="hard_maple", centre="hard_maple", origin=o)
                                   for n, o in ((1, "different trees"), (5, "different trees"),
                                                (11, "different trees"), (11, "same board")))
        assert one > five and one - five > 2 * abs(five - eleven) and same > 1.1 * eleven, field
    for home in (20.0, 70.0):
        change = found(home=home)
        assert len(set(np.sign(change.width_change))) == 1 and 0.4 < np.mean(change.relief_change > 0) < 0.6
    (shallow, light), (deep, heavy) = (
        [middle(field, reinforcement=b) - middle(field) for field in ("stiffness", "mass")]
        for b, bars in REINFORCEMENT.items() if bars)
    assert 2.4 < deep / shallow < 4 and heavy / light < 2
    maple = species("hard maple")
    assert all(8.5 < bar.modulus / maple.modulus < 9.5 for bars in REINFORCEMENT.values()
               for bar in bars), "a question says about nine times as stiff as maple"
    boards, accents = (
        [middle("stiffness", **{role: key}) for _, key in woods(use) if use in species(key).uses]
        for role, use in (("fretboard", "fretboard"), ("accent", "neck")))
    assert 0.45 < max(boards) / min(boards) - 1 < 0.6 and max(accents) / min(accents) - 1 < 0.06


def test_the_strip_keeps_the_neck_on_show_and_opens_it_again(live, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    live.reset()
    start = live.sentence
    live.set(stripes=5, run_out=2.0, reinforcement="two deep carbon bars (3 × 10 mm)", home=60)
    shown = live.sentence
    path = live.strip.keep("Five stripes")
    live.strip.open("")
    assert live.subject == NECK_12 and live.sentence == start
    live.strip.open(str(path))
    assert live.subject == build(stripes=5, run_out=2.0, reinforcement=live.values["reinforcement"]).changed(
        name="Five stripes")
    assert (live.values["stripes"], live.values["run_out"], live.values["home"]) == (5, 2.0, 30)
    live.set(home=60)
    assert live.sentence == shown
    live.hold()
    live.strip.open("")
    ghost = 1e3 * np.median(evaluated(stripes=5, run_out=2.0,
                                      reinforcement="two deep carbon bars (3 × 10 mm)")[1].relief)
    assert np.max(live.art.ghost.get_ydata()) == pytest.approx(ghost, rel=0.02)
    live.reset()
