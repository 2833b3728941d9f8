"""Predictions, questions and worked numbers of the ringing lesson; outcomes and right answers are computed when they are asked for."""

from dataclasses import dataclass

import numpy as np

from tonewood.panel.page import Shown
from tonewood.panel.questions import ask, ask_number, predict
from tonewood.lesson.ring_and_decay.figure import defaults, main_loss, found, ring_map
from tonewood.lesson.ring_and_decay.verdicts import D, STIFFER, worst_fret
from tonewood.sound.string_loss import loss_from_t60, t60
from tonewood.wood.species import all_species, species


def guess_stiffer():
    """Prediction: what a stiffer neck does to a dead note."""
    def outcome(_):
        before, after = ring_map(), ring_map(stiffer=STIFFER)
        a, b = worst_fret(before), worst_fret(after)
        return (f"Computed: fret {a} went from {before.t60[D, a]:.1f} to {after.t60[D, a]:.1f} s, and now fret {b} is the weakest of the string, {after.t60[D, b]:.1f} s. "
                "Both maps are drawn under Explain.")
    return predict(f"On neck No. 12 the D string dies at fret {worst_fret(ring_map())}. The next neck gets boards {100 * (STIFFER - 1):.0f} % stiffer, all else alike. The dead note …",
                   ["is cured", "moves to a higher fret", "moves to a lower fret", "stays where it is"], outcome)


def guess_cause():
    """Prediction: where a dead note's energy goes."""
    def outcome(_):
        found = ring_map()
        f = worst_fret(found)
        rows = [100 * found.share_by_cause[:, D, n] for n in (f, f + 3)]
        return (f"Computed, D string: fret {f} loses {rows[0][2]:.0f} % at the fret, {rows[0][3]:.0f} % at the bridge, {rows[0][0]:.0f} % to the air; fret {f + 3}, which rings, "
                f"{rows[1][2]:.0f} %, {rows[1][3]:.0f} % and {rows[1][0]:.0f} %. The rest is lost in the string itself.")
    return predict("In a dead note, most of the energy goes …", ["into the air", "into heat inside the string", "into the neck, at the fret", "into the body, at the bridge"], outcome)


def guess_clamp():
    """Prediction: what a clamp on the head does."""
    def outcome(_):
        before, after = ring_map(), ring_map(clamp=100.0)
        return (f"Computed: without the clamp the D string is weakest at fret {worst_fret(before)}, with 100 g at fret {worst_fret(after)}; the mode went from "
                f"{before.mode_frequency[4]:.0f} to {after.mode_frequency[4]:.0f} Hz.")
    return predict("You clamp 100 g to the headstock. The dead note of the D string moves …", ["to a lower fret", "to a higher fret", "not at all"], outcome)


@dataclass(frozen=True)
class ByHand:
    """The dead note by hand: frequency (Hz), loss factors of air and string, of the fret end by the simple rule, their sum, T60 (s) by hand, by the library
    from the same sum, and with string and neck solved together; drop (dB) in the first 200 ms by hand."""

    frequency: float
    string: float
    ends: float
    loss: float
    by_hand: float
    by_library: float
    together: float
    drop: float


def dead_note_by_hand(fret=None):
    """The D string's dead note (or another fret) from T60 = 6.908 / (pi f eta), beside the library. Returns ByHand."""
    everything = ring_map()
    f = worst_fret(everything) if fret is None else int(fret)
    pitch = float(everything.frequency[D, f])
    total, string = (float(loss_from_t60(pitch, seconds[D, f])) for seconds in (everything.simple, everything.alone))
    by_hand, together = 6.908 / (np.pi * pitch * total), float(everything.t60[D, f])
    return ByHand(pitch, string, total - string, total, by_hand, float(t60(pitch, total)), together, 60 * 0.2 / together)


def your_tap(frequency, seconds):
    """Loss factor of your own board in thousandths, from its tap tone (Hz) and the time (s) it takes to fall by 60 dB: 1000 ln(1000) / (pi f T60)."""
    return 1000 * float(loss_from_t60(frequency, seconds))


def what_a_tap_buys(tapped=7.0):
    """The main wood's loss factor as the table has it and as your tap leaves it, and the dead note's band with each. Returns something to show."""
    rows = []
    for value in (0.0, tapped):
        settings = {**defaults(), "tapped": value}
        (low, middle, high), status = main_loss(settings)
        a, b, c = np.ravel(found(**settings).note.band())
        rows.append((status, f"{middle:.1f} ({low:.1f} to {high:.1f})", f"{high / low:.1f}", f"{b:.1f} ({a:.1f} to {c:.1f})"))
    head = ("where it comes from", "loss factor, 1/1000", "high over low end", "T60 of the chosen note, s")
    return _table(head, rows, "90 of 100 boards, and 90 of 100 necks, lie in the bands.")


def damping_known(*names):
    """Loss factors of the woods named and of every wood with a measured value, with band and standing, and how many pairs of neck woods the bands can tell
    apart. Returns a table to show."""
    woods = list(dict.fromkeys([species(name) for name in names] + [w for w in all_species() if w.loss.status == "published"]))
    rows = [(w.name, f"{1000 * w.loss.value:.1f}", f"{1000 * w.loss.low:.1f} to {1000 * w.loss.high:.1f}", "measured, published" if w.loss.status == "published"
             else "relation, constants from memory") for w in woods]
    neck = [w.loss for w in all_species() if "neck" in w.uses]
    pairs = [(a, b) for i, a in enumerate(neck) for b in neck[i + 1:]]
    apart = sum(a.high < b.low or b.high < a.low for a, b in pairs)
    return _table(("wood", "loss factor, 1/1000", "90 of 100", "standing"), rows,
                  f"At 12 % moisture, along the grain. Of the {len(pairs)} pairs of neck woods in the tables, {apart} have bands that do not overlap: these numbers cannot "
                  "rank woods.")


def _table(head, rows, note):
    cell = lambda tag, text: f"<{tag} style='text-align:left;padding-right:1.5em'>{text}</{tag}>"
    html = (f"<table><caption style='caption-side:bottom;text-align:left'>{note}</caption><thead><tr>{''.join(cell('th', h) for h in head)}</tr></thead><tbody>"
            + "".join(f"<tr>{''.join(cell('td', c) for c in row)}</tr>" for row in rows) + "</tbody></table>")
    return Shown(html, "\n".join([" | ".join(head)] + [" | ".join(row) for row in rows] + [note]))


def answer_seconds():
    """Question: T60 from pitch and loss factor."""
    right = lambda: float(t60(196.0, 0.005))
    return ask_number("A note of 196 Hz has a loss factor of 5 thousandths. How many seconds until it has fallen by 60 dB?", right, "", 0.1,
                      "T60 = 6.908 ÷ (π × pitch × loss factor); 5 thousandths are 0.005.", "6.908 ÷ (3.1416 × 196 × 0.005) = 6.908 ÷ 3.079.",
                      slips=[(lambda: right() * np.pi, "The π in the formula was left out."), (lambda: right() / 2, "That is the time for 30 dB, half of it."),
                             (lambda: right() / 1000, "5 thousandths are 0.005, not 5.")])


def _changes():
    """What four changes do to the start design's D string: its weakest fret, and the median over all notes that ring."""
    base = ring_map()
    changed = {"a 100 g clamp on the head": ring_map(clamp=100.0), f"boards {100 * (STIFFER - 1):.0f} % stiffer": ring_map(stiffer=STIFFER),
               "well-played strings instead of new ones": ring_map(age=1.0)}
    return base, changed


def answer_lower():
    """Question: which change moves the dead note down the board."""
    base, changed = _changes()
    here = worst_fret(base)
    labels = {name: f"Computed: the weakest fret of the D string is then {worst_fret(m)}; it was {here}." for name, m in changed.items()}

    def right():
        return min(labels, key=lambda name: worst_fret(changed[name]))
    return ask(f"A player never uses the D string below fret {here}. Which change moves its dead note from fret {here} to a lower one?", labels, right,
               "A mode sinks when weight is added where it moves much, and rises when the neck gets stiffer.",
               "Only weight at the head lowers the second bending mode here; each semitone it sinks moves the dead note one fret down.")


def answer_strings():
    """Question: what shortens the notes that ring."""
    base, changed = _changes()
    rings = base.ringing
    kept = {name: float(np.median((m.t60 / base.t60)[rings])) for name, m in changed.items()}
    labels = {name: f"Computed: the notes that ring keep {100 * v:.0f} % of their time, in the median." for name, v in kept.items()}
    return ask("Which of these shortens the ordinary, ringing notes most?", labels, lambda: min(kept, key=kept.get),
               "In a ringing note most of the loss is the string's own and the air's.",
               "Set string age from 0 to 100 % on the map and watch a ringing note, then a dead one.")
