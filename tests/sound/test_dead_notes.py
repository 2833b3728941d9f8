"""Dead notes: which mode, how far they wander, one note alone against the whole map (independently derived:
draws solved one at a time, hand formulas)."""

from dataclasses import replace

import numpy as np
import pytest

from tonewood.neck.layup.neck import Back, Fretboard, Neck, Outline, spread, striped
from tonewood.sound.dead_notes import dead_range, mode_names, note_decay, with_string_doubt
from tonewood.sound.decay import decay
from tonewood.sound.instrument import Instrument
from tonewood.sound.modes import modes
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

STRINGS = string_set("six")
DRAWS = 60


@pytest.fixture(scope="module")
def made():
    maple, wenge = Board(species("hard maple"), np.pi / 2), Board(species("wenge"), np.pi / 2)
    neck = Neck(striped(maple, wenge, maple, 5), Outline(), Back("D"),
                Fretboard(Board(species("Indian rosewood"))))
    instrument = Instrument(neck)
    found = modes(instrument, 6, 3)
    drawn = modes(replace(instrument, neck=spread(neck, DRAWS, 3)), 6, 3)
    return instrument, found, drawn, decay(instrument, STRINGS, modes=found)


def test_names_follow_the_order_of_all_shapes(made):
    _, found, _, _ = made
    names = mode_names(found)
    frequency = found.all_at(0.0)[1]
    assert len(names) == len(frequency) == 12 and len(set(names)) == 12
    assert names[:3] == ("rise", "rock", "roll") and np.all(frequency[:3] == 0)
    assert frequency[names.index("bending 2")] == found.frequency[1]
    assert frequency[names.index("twist 1")] == found.twist_frequency[0]
    bending = [f"bending {k}" for k in range(1, 7)]
    assert mode_names(replace(found, twist_frequency=None)) == ("rise", "rock", *bending)


def test_range_of_a_dead_note_is_that_of_its_mode(made):
    _, found, drawn, everything = made
    span = dead_range(everything, drawn)
    assert np.array_equal(np.isfinite(span[0]), everything.dead) and everything.dead.any()
    for s, f in np.argwhere(everything.dead):
        k = everything.mode[s, f]
        low, high = np.percentile(drawn.all_at(0.0)[1][:, k], [5, 95]) / everything.mode_frequency[k]
        assert span[:, s, f] == pytest.approx([f + 12 * np.log2(low), f + 12 * np.log2(high)])
        assert span[0, s, f] < f + 1 and span[1, s, f] > f - 1


def test_range_holds_the_dead_notes_of_the_draws(made):
    """Every draw solved by itself: its weakest note of the string lies within one fret of the range, in at
    least 85 of 100."""
    instrument, _, drawn, everything = made
    s, f = np.argwhere(everything.dead)[np.argmin(everything.t60[everything.dead])]
    low, high = dead_range(everything, drawn)[:, s, f]
    many = decay(replace(instrument, neck=spread(instrument.neck, DRAWS, 3)), STRINGS, modes=drawn)
    around = slice(max(f - 4, 0), f + 5)
    worst = around.start + np.argmin((many.t60 / many.alone)[:, s, around], axis=-1)
    assert np.mean((worst >= low - 1) & (worst <= high + 1)) >= 0.85


def test_one_note_is_that_note_of_the_map(made):
    instrument, found, drawn, everything = made
    for s, f in ((0, 0), (1, 1), (2, 5), (4, 21), (5, 22)):
        one = note_decay(found, instrument.neck, STRINGS, s, f)
        for field in ("t60", "frequency", "loss", "alone", "simple", "beside", "strength", "distance", "mode",
                      "mixed"):
            assert np.shape(getattr(one, field)) == (1, 1)
            assert getattr(one, field)[0, 0] == pytest.approx(getattr(everything, field)[s, f]), field
        np.testing.assert_allclose(one.loss_by_cause[:, 0, 0], everything.loss_by_cause[:, s, f], rtol=1e-9)
        np.testing.assert_allclose(one.loss_by_mode[0, 0], everything.loss_by_mode[s, f], rtol=1e-9)
        assert one.notes[0, 0] == everything.notes[s, f]
        many = note_decay(drawn, instrument.neck, STRINGS, s, f)
        assert many.t60.shape == (DRAWS, 1, 1) and many.band().shape == (3, 1, 1) and len(many.table()) == 1


def test_string_doubt_moves_only_the_strings_own_loss(made):
    instrument, _, drawn, _ = made
    plain = note_decay(drawn, instrument.neck, STRINGS, 1, 3)
    doubtful = with_string_doubt(plain, seed=5)
    np.testing.assert_allclose(doubtful.loss_by_cause[:, [0, 2, 3]], plain.loss_by_cause[:, [0, 2, 3]])
    ratio = doubtful.loss_by_cause[:, 1, 0, 0] / plain.loss_by_cause[:, 1, 0, 0]
    band = float(plain.string_factor[0, 0])
    assert np.exp(np.std(np.log(ratio)) * 1.645) == pytest.approx(band, rel=0.25)
    assert np.median(ratio) == pytest.approx(1, rel=0.25)
    np.testing.assert_allclose(doubtful.t60 * doubtful.loss, plain.t60 * plain.loss)
    np.testing.assert_allclose(doubtful.loss - plain.loss,
                               plain.loss_by_cause[:, 1] * (ratio[:, None, None] - 1))
    # the frets beside are the same string: they fall faster by as much, so that dead notes stay dead
    np.testing.assert_allclose(doubtful.extra_fall, plain.extra_fall, rtol=1e-9)


def test_doubt_against_strings_solved_anew(made):
    """The same note with the string's friction really doubled and solved again."""
    from tonewood.sound.decay import decay_of
    from tonewood.sound.string_loss import steel_loss
    instrument, found, _, _ = made
    usual = steel_loss("wound")
    places = instrument.neck.scale_length * (1 - 2 ** (-np.arange(23) / 12))
    maps = [decay_of(found, STRINGS, places, instrument.neck.scale_length,
                     losses=replace(usual, friction=usual.friction * k, bending=usual.bending * k))
                     for k in (1, 2)]
    own = maps[0].loss_by_cause[1]
    off = ~maps[0].mixed & (np.abs(maps[0].distance) > 0.06)
    np.testing.assert_allclose(maps[1].t60[off], (maps[0].t60 * maps[0].loss / (maps[0].loss + own))[off],
                               rtol=5e-3)
    np.testing.assert_allclose(maps[1].alone, maps[0].alone / (1 + own / (maps[0].loss_by_cause[0] + own)),
                               rtol=1e-9)


def test_refusals_name_what_is_wrong(made):
    instrument, found, drawn, everything = made
    with pytest.raises(ValueError, match="dead range: a decay with no draws and modes with no draws"):
        dead_range(everything, found)
    with pytest.raises(ValueError, match="the same number"):
        dead_range(everything, modes(replace(instrument, neck=spread(instrument.neck, 4, 3)), 4, 1))
    with pytest.raises(ValueError, match="string doubt"):
        with_string_doubt(everything)
    with pytest.raises(ValueError, match="fret: 23 given"):
        note_decay(found, instrument.neck, STRINGS, 0, 23)
    with pytest.raises(ValueError, match="bass-most"):
        note_decay(found, instrument.neck, STRINGS, 6, 3)
