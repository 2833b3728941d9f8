"""How much a neck gives along one string."""

import numpy as np
import pytest

from tonewood.neck.layup.neck import Back, Fretboard, Neck, Outline, spread, striped
from tonewood.neck.load.setup import Setup
from tonewood.neck.section.section import section
from tonewood.sound.compliance import compliance_along
from tonewood.sound.glide import neck_compliance
from tonewood.strings.sets import string_set
from tonewood.wood.board import Board
from tonewood.wood.species import species

STRINGS = string_set("six")


def neck(wood="hard maple", **shape):
    board = Board(species(wood))
    return Neck(striped(board, board, board, 1), Outline(**shape),
                Back("D", depth_nut=0.016, depth_end=0.016), Fretboard(Board(species("Indian rosewood"))))


def test_even_neck_with_level_string_is_the_uniform_beam():
    even = neck(nut_width=0.05, end_width=0.05)
    # fret 12 as high over the glue line as the nut: the string then runs level
    setup = Setup(action=0.0010, fret_height=0.0011, nut_height=0.0021)
    s = section(even, [0.2])
    arm = even.fretboard.thickness + 0.0021 - s.z_bar[0]
    # EA and EI change a little along even an even neck, since the frets lie closer together towards the body
    uniform = neck_compliance(even.end, s.EA[0], arm, s.EI[0])
    assert compliance_along(even, STRINGS, 2, 0, setup) == pytest.approx(uniform, rel=0.05)


def test_gives_less_for_a_shorter_way_to_the_body_and_a_stiffer_wood():
    open_string, fifth, twelfth = (compliance_along(neck(), STRINGS, 0, fret) for fret in (0, 5, 12))
    assert open_string > fifth > twelfth > 0
    assert compliance_along(neck("limba"), STRINGS, 0) > 1.25 * compliance_along(neck("wenge"), STRINGS, 0)


def test_more_stations_change_nothing():
    few, many = (compliance_along(neck(), STRINGS, 0, stations=n) for n in (20, 400))
    assert few == pytest.approx(many, rel=2e-3)


def test_draws():
    give = compliance_along(spread(neck(), 50, 1), STRINGS, 3)
    assert give.shape == (50,) and give.std() > 0
    assert np.median(give) == pytest.approx(compliance_along(neck(), STRINGS, 3), rel=0.1)


@pytest.mark.parametrize("how, words", [(dict(index=6), "string"), (dict(index=0, fret=22), "fret"),
                                        (dict(index=0, stations=1), "stations")])
def test_refusals(how, words):
    with pytest.raises(ValueError, match=words):
        compliance_along(neck(), STRINGS, **how)
