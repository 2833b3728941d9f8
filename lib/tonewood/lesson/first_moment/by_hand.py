"""The pitch glide of one hard stroke worked by hand, beside the library."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from tonewood.lesson.first_moment.model import found
from tonewood.lesson.shared.notes_played import played
from tonewood.neck.section.section import section
from tonewood.sound.glide import neck_compliance, share_relieved, tension_at_release

HARD = {"strength": 3.0, "pick": 110.0, "direction": 0.0}
"""A hard stroke in people's units: 3 mm at 110 mm from the bridge, straight off the board (common practice,
no source)."""


def glide_by_hand() -> SimpleNamespace:
    """The pitch glide of the open low E, struck hard, and what neck No. 12 takes of it.

    rise at release and tension (N); cents by hand, cents_by_library with the swinging string; free length of
    the neck (m); give (m/N) by one even beam, give_by_library; share of the rise it takes, and taken (cents),
    by hand; taken_by_library; threshold (cents).
    """
    f = found(string=6, fret=0.0, **HARD)
    note, line, neck = f.note, f.note.line(), f.note.design.neck()
    free = float(neck.body_start or neck.end)
    x = np.array([free / 2])
    middle = section(neck, x)
    arm = float(note.design.setup().heights(neck, x, 6)[note.index, 0] - middle.z_bar[0])
    rise = float(tension_at_release(1e-3 * HARD["strength"], 1e-3 * HARD["pick"], line.length, line.core))
    give = float(neck_compliance(free, float(middle.EA[0]), arm, float(middle.EI[0])))
    share, cents = float(share_relieved(give, line.length, line.core)), 866 * rise / 2 / line.tension
    return SimpleNamespace(rise=rise, tension=line.tension, cents=cents, free=free, give=give, share=share,
                           cents_by_library=float(played(note, duration=0.25, **HARD).cents_at(0.0)[0]),
                           give_by_library=float(note.met().compliance), taken=share * cents,
                           taken_by_library=f.relieved, threshold=f.threshold)
