"""Instruments that several sound tests share."""

import numpy as np
import pytest

from tonewood.sound.beam import Beam, Cause, Lump


@pytest.fixture
def test_beam():
    """A made-up instrument of round numbers, for checks only: headstock 0.16 m with a lump, neck 0.46 m with
    rising stiffness, body 0.44 m; 10 mm elements.

    Call it with factors on the neck's bending stiffness: a number, or (D,) draws.
    """
    def build(stiffness=1.0, mass=1.0, head=1.0, loss=0.012):
        x = np.linspace(-0.16, 0.90, 107)
        middle = (x[1:] + x[:-1]) / 2
        in_head, in_body = middle < 0, middle > 0.46
        stiffness, mass, head = (np.asarray(v, dtype=float)[..., None] for v in (stiffness, mass, head))
        EI = np.where(in_head, 150 * head, np.where(in_body, 6000.0, (260 + 220 * middle / 0.46) * stiffness))
        mass_per_length = np.where(in_head, 0.55,
                                   np.where(in_body, 5.0, (0.75 + 0.20 * middle / 0.46) * mass))
        return Beam(x, EI, mass_per_length, lumps=(Lump(-0.09, 0.25),),
                    causes=(Cause("wood", 1.0, loss, 1.0, loss),))
    return build
