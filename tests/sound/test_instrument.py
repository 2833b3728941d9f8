"""From a neck to a vibrating instrument (independently derived: sums of the parts, single necks against
draws)."""

from dataclasses import replace
from operator import itemgetter

import numpy as np
import pytest

from tonewood.materials import material
from tonewood.neck.layup.neck import Back, Bar, Channel, Fretboard, Neck, Outline, spread, striped
from tonewood.neck.section.section import section
from tonewood.sound.beam import Lump
from tonewood.sound.decay import decay
from tonewood.sound.instrument import Body, Headstock, Instrument, instrument_beam
from tonewood.sound.modes import modes
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

MAPLE, WENGE, EBONY = (Board(species(n)) for n in ("hard maple", "wenge", "ebony"))


def neck(**change):
    parts = dict(layup=striped(MAPLE, WENGE, MAPLE, 5), outline=Outline(), back=Back(),
                 fretboard=Fretboard(EBONY), channel=Channel(), bars=(Bar(-.009), Bar(.009)))
    return Neck(**(parts | change))


def test_beam_carries_the_mass_of_its_parts():
    it = Instrument(neck(), body=Body(mass=2.2, hardware=(Lump(.62, .3),)))
    beam = instrument_beam(it, .005)
    x = np.linspace(0, it.neck.end, 4001)
    head = it.headstock
    density = sum(s.width * s.board.rho for s in it.neck.layup.stripes) / it.neck.layup.width
    wood = head.length * head.width * head.thickness * density
    expected = np.trapezoid(section(it.neck, x).mass_per_length, x) + wood + head.tuner_mass + 2.2 + .3
    found = modes(it, 3)
    assert found.mass == pytest.approx(expected, rel=2e-3)
    assert np.sum(beam.mass_per_length * beam.h) + head.tuner_mass + .3 == pytest.approx(expected, rel=2e-3)
    assert beam.x[0] == -head.length and beam.x[-1] == pytest.approx(it.neck.end + .44)
    assert np.any(beam.x == 0) and np.any(np.abs(beam.x - it.start) < 1e-12)


def test_modes_are_those_of_a_guitar_sized_thing():
    found = modes(Instrument(neck()), 6)
    # orders of magnitude only
    assert 30 < found.frequency[0] < 90 and 120 < found.frequency[1] < 320
    assert np.all(np.diff(found.frequency) > 0)
    assert np.all((found.loss_factor > .004) & (found.loss_factor < .03))
    np.testing.assert_allclose(found.energy_share.sum(0), 1, rtol=1e-9)
    np.testing.assert_allclose(found.loss_share.sum(0), 1, rtol=1e-9)


def test_glue_line_hardly_counts():
    found = modes(Instrument(neck()), 4)
    glue = found.causes.index("fretboard glue line")
    assert np.all(found.energy_share[glue] < .002) and np.all(found.energy_share[glue] > 0)


def test_neck_slides_as_a_rectangle_of_five_sixths_of_its_shear_stiffness():
    """Independent means: energy of a parabola of shear stress over a rectangle, 1/(kappa G A) =
    int tau^2/G dA / V^2.

    A one-piece neck in side bow has no glue line in its way, so its compliance is that of the wood alone.
    """
    y = np.linspace(-1, 1, 2001)
    kappa = 1 / np.trapezoid((1.5 * (1 - y**2)) ** 2, y) * 2
    assert kappa == pytest.approx(5 / 6, rel=1e-5)
    plain = neck(layup=striped(MAPLE, MAPLE, MAPLE, 1), fretboard=Fretboard(MAPLE), bars=(), channel=None)
    beam = instrument_beam(Instrument(plain), direction="in-plane")
    on_neck = (beam.x[1:] > 1e-9) & (beam.x[:-1] < plain.end - 1e-9)
    area = section(plain, ((beam.x[1:] + beam.x[:-1]) / 2)[on_neck]).area
    np.testing.assert_allclose(beam.shear_compliance[on_neck], 1 / (kappa * MAPLE.G_xy * area), rtol=1e-5)
    np.testing.assert_allclose(beam.shear_compliance[~on_neck], 0)


def test_glue_line_gives_by_its_thickness_over_its_shear_stiffness():
    """Hand calculation at mid-neck of one wood: flow per force ES/EI through 0.1 mm of glue."""
    one, two = (neck(layup=striped(w, w, w, 1), fretboard=Fretboard(w, slot_depth=0.0), bars=(), channel=None)
                for w in (MAPLE, WENGE))
    for n, wood in ((one, MAPLE), (two, WENGE)):
        beam = instrument_beam(Instrument(n))
        k = int(np.argmin(np.abs((beam.x[1:] + beam.x[:-1]) / 2 - 0.2)))
        s = section(n, [(beam.x[k + 1] + beam.x[k]) / 2])
        width, h = n.outline.width(s.x)[0], n.fretboard.thickness
        first = wood.E_x * width * h * (h / 2 - s.z_bar[0])
        glue = material("pva_glue")["shear_modulus"].value
        soft = (first / s.EI[0]) ** 2 * 1e-4 / (glue * width)
        solid = 1 / (5 / 6 * wood.G_xz * s.area[0])
        assert beam.shear_compliance[k] == pytest.approx(solid + soft, rel=1e-6)
        share = {c.name: c.shear_share for c in beam.causes}["fretboard glue line"]
        assert share[k] == pytest.approx(soft / (solid + soft), rel=1e-6)


def test_rotary_and_polar_inertia_of_a_neck_of_one_density():
    """Where density goes with modulus the inertia about an axis is rho I: gyration radius squared EI/EA."""
    plain = neck(layup=striped(MAPLE, MAPLE, MAPLE, 1), fretboard=Fretboard(MAPLE, slot_depth=0.0), bars=(),
                 channel=None)
    it = Instrument(plain)
    normal, side = instrument_beam(it), instrument_beam(it, direction="in-plane")
    k = int(np.argmin(np.abs((normal.x[1:] + normal.x[:-1]) / 2 - 0.2)))
    s = section(plain, [(normal.x[k + 1] + normal.x[k]) / 2])
    flat, up = (MAPLE.rho / MAPLE.E_x * EI[0] for EI in (s.EI, s.EI_side))
    assert normal.rotary[k] == pytest.approx(flat, rel=1e-6) and side.rotary[k] == pytest.approx(up, rel=1e-6)
    assert normal.polar[k] == pytest.approx(flat + up, rel=1e-6)
    a, b, head, body = it.headstock.width, it.headstock.thickness, normal.polar[0], normal.polar[-1]
    assert head == pytest.approx(MAPLE.rho * a * b * (a**2 + b**2) / 12)
    assert body == pytest.approx(it.body.mass / it.body.length * it.body.width**2 / 12)
    assert normal.EI[0] == pytest.approx(MAPLE.E_x * a * b**3 / 12)
    assert side.EI[0] == pytest.approx(MAPLE.E_x * a**3 * b / 12)
    assert [lump.polar for lump in normal.lumps] == pytest.approx([it.headstock.tuner_mass * a**2 / 4])


def test_finer_elements_change_nothing():
    it = Instrument(neck())
    from tonewood.sound.modes import beam_modes
    usual, fine = beam_modes(instrument_beam(it), 5), beam_modes(instrument_beam(it, .004), 5)
    np.testing.assert_allclose(usual.frequency, fine.frequency, rtol=3e-4)
    np.testing.assert_allclose(usual.loss_factor, fine.loss_factor, rtol=2e-3)
    np.testing.assert_allclose(usual.twist_frequency[:2], fine.twist_frequency[:2], rtol=5e-3)


def test_headstock_clamp_lowers_every_mode_and_moves_dead_notes():
    plain, clamped = (Instrument(neck(), Headstock(clamp_mass=m)) for m in (0.0, .25))
    before, after = modes(plain, 5), modes(clamped, 5)
    assert np.all(after.frequency < before.frequency) and after.frequency[0] < .97 * before.frequency[0]
    strings = string_set("six")
    dead = [decay(i, strings, modes=m) for i, m in ((plain, before), (clamped, after))]
    assert np.any(dead[0].dead != dead[1].dead)
    worst = [int(np.argmin(d.t60[2])) for d in dead]
    # a lower mode meets a lower note
    assert worst[1] < worst[0]


def test_stiffer_parts_raise_the_modes():
    base = modes(Instrument(neck()), 3).frequency
    stiff = replace(MAPLE, modulus=1.3 * MAPLE.E_L)
    assert np.all(modes(Instrument(neck(layup=striped(stiff, WENGE, stiff, 5))), 3).frequency > base)
    assert np.all(modes(Instrument(neck(bars=())), 3).frequency < base)
    filled, open_slots = (modes(Instrument(neck(fretboard=Fretboard(EBONY, slot_fill=f))), 3).frequency
                          for f in (1.0, 0.0))
    assert np.all(filled > open_slots)


def test_lossy_fretboard_shows_in_its_share_only():
    quiet, lossy = (modes(Instrument(neck(fretboard=Fretboard(replace(EBONY, loss=v)))), 3)
                    for v in (.006, .018))
    layer = [quiet.causes.index(n) for n in quiet.causes if n.startswith("fretboard, ")]
    np.testing.assert_allclose(quiet.frequency, lossy.frequency)
    before, after = (m.loss_share * m.loss_factor for m in (quiet, lossy))
    # off-axis terms follow the loss along the grain
    np.testing.assert_allclose(after[layer], 3 * before[layer], rtol=.02)
    others = [k for k, name in enumerate(quiet.causes) if k not in layer and name != "shear in the wood"]
    np.testing.assert_allclose(after[others], before[others], rtol=1e-9)


def test_draws_agree_with_single_necks():
    many = spread(neck(), 200, seed=3)
    together = modes(Instrument(many), 6)
    assert together.frequency.shape == (200, 6) and together.twist_frequency.shape == (200, 4)
    for d in range(6):
        one = many.with_pieces([replace(b, **{f: getattr(b, f)[d] for f in ("density", "modulus", "loss")
                                              if np.ndim(getattr(b, f))},
                                        swelling=None,
                                        constants=b.constants and b.constants.mapped(itemgetter(d)))
                                for b in many.pieces])
        single = modes(Instrument(one), 6)
        np.testing.assert_allclose(together.frequency[d], single.frequency, rtol=3e-4)
        np.testing.assert_allclose(together.loss_factor[d], single.loss_factor, rtol=3e-3)
        np.testing.assert_allclose(together.twist_frequency[d], single.twist_frequency, rtol=.01)
    wide = modes(Instrument(spread(neck(), 2000, seed=1, kinship="same board")), 2).frequency
    narrow = modes(Instrument(spread(neck(), 2000, seed=1)), 2).frequency
    # unlike boards even each other out
    assert np.all(narrow.std(0) < wide.std(0))


def test_decay_map_of_an_instrument():
    strings = string_set("six")
    found = decay(Instrument(neck()), strings)
    assert found.t60.shape == (6, 23) and found.dead.any()
    np.testing.assert_allclose(found.loss_by_cause.sum(0), found.loss, rtol=1e-9)
    draws = decay(Instrument(spread(neck(), 100, seed=2)), strings)
    assert draws.t60.shape == (100, 6, 23)
    # boards of one wood differ in their dead notes
    assert np.any((draws.dead_chance > .05) & (draws.dead_chance < .95))
    with pytest.raises(ValueError, match="scale length"):
        decay(Instrument(neck()), string_set("bass four"))


def test_sideways_modes_are_higher():
    it = Instrument(neck())
    sideways = modes(it, 2, direction="in-plane")
    assert sideways.frequency[0] > 1.5 * modes(it, 1).frequency[0] and sideways.twist_frequency is None


@pytest.mark.parametrize("call, word", [
    (lambda: Body(mass=0.0), "body mass"), (lambda: Body(loss=1.0), "loss factor of the body"),
    (lambda: Headstock(tuner_mass=220), "Did you mean 0.22 kg"),
    (lambda: Headstock(clamp_mass=.2, clamp_place=.5), "clamp place"),
    (lambda: Instrument(neck(), body=Body(length=.1)), "bridge"),
    (lambda: Instrument(neck(), added_loss=1.2), "added loss"),
    (lambda: instrument_beam(Instrument(neck()), 15), "element length"),
    (lambda: instrument_beam(Instrument(neck()), direction="sideways"), "direction")])
def test_bad_input_is_refused(call, word):
    with pytest.raises(ValueError, match=word):
        call()
