"""Worked numbers of the ringing lesson: a dead note by hand, what is known of damping, and what a tap of
one's own board adds."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from tonewood.lesson.ring_and_decay.model import D, found, ring_map, worst_fret
from tonewood.panel.page import Shown, table
from tonewood.sound.string_loss import loss_from_t60, t60
from tonewood.wood.species import all_species, species


def dead_note_by_hand(fret: int | None = None) -> SimpleNamespace:
    """The D string's dead note (or another fret) from T60 = 6.908 / (pi f eta), beside the library.

    frequency (Hz). Loss factors: string (with air), ends (by the simple rule), loss (their sum). T60 (s):
    by_hand, by_library from the same sum, together with string and neck solved together. drop: dB in the
    first 200 ms by hand.
    """
    everything = ring_map()
    f = worst_fret(everything) if fret is None else int(fret)
    pitch, together = float(everything.frequency[D, f]), float(everything.t60[D, f])
    total, string = (float(loss_from_t60(pitch, seconds[D, f]))
                     for seconds in (everything.simple, everything.alone))
    return SimpleNamespace(frequency=pitch, string=string, ends=total - string, loss=total, together=together,
                           by_hand=6.908 / (np.pi * pitch * total), by_library=float(t60(pitch, total)),
                           drop=60 * 0.2 / together)


def your_tap(frequency: float, seconds: float) -> float:
    """Loss factor of your own board in thousandths, from its tap tone (Hz) and the time (s) it takes to fall
    by 60 dB: 1000 ln(1000) / (pi f T60). Raises ValueError."""
    return 1000 * float(loss_from_t60(frequency, seconds))


def what_a_tap_buys(tapped: float = 7.0) -> Shown:
    """Loss factor of the main wood from the table and from your tap, and the dead note's band with each."""
    rows = []
    for value in (0.0, tapped):
        now = found(tapped=value)
        ((low, middle, high), status), (least, half, most) = now.heard.loss, now.seconds
        rows.append((status, f"{middle:.1f} ({low:.1f} to {high:.1f})", f"{high / low:.1f}",
                     f"{half:.1f} ({least:.1f} to {most:.1f})"))
    head = ("where it comes from", "loss factor, 1/1000", "high over low end", "T60 of the chosen note, s")
    return table(head, rows, "90 of 100 boards, and 90 of 100 necks, lie in the bands.")


def damping_known(*names: str) -> Shown:
    """Loss factors of the woods named and of every wood with a measured value, with band and standing, and
    how many pairs of neck woods the bands can tell apart. Returns a table to show. Raises ValueError for
    unknown woods."""
    measured = {"estimated": "measured; read as 1/Q by assumption"}
    woods = dict.fromkeys([*map(species, names), *(w for w in all_species() if w.loss.status in measured)])
    rows = [(w.name, f"{1000 * w.loss.value:.1f}", f"{1000 * w.loss.low:.1f} to {1000 * w.loss.high:.1f}",
             measured.get(w.loss.status, "relation, constants from memory")) for w in woods]
    neck = [w.loss for w in all_species() if "neck" in w.uses]
    pairs = [(a, b) for i, a in enumerate(neck) for b in neck[i + 1:]]
    apart = sum(a.high < b.low or b.high < a.low for a, b in pairs)
    return table(("wood", "loss factor, 1/1000", "90 of 100", "standing"), rows,
                 f"At 12 % moisture, along the grain. Of the {len(pairs)} pairs of neck woods in the tables, "
                 f"{apart} have bands that do not overlap: these numbers cannot rank woods.")
