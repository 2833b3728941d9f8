"""Worked numbers of the ringing lesson: a dead note by hand, what the bench job finds, what is known of
damping, and what a tap of one's own board adds."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from tonewood import checks
from tonewood.lesson.ring_and_decay.model import (
    MEASURED,
    OCTAVE,
    PICK,
    PICKUP,
    STRINGS,
    WHOLE,
    D,
    defaults,
    found,
    model_note,
    note_place,
    ring_map,
    string_names,
    worst_fret,
)
from tonewood.lesson.ring_and_decay.recorded import sound_files
from tonewood.lesson.shared.shop import NECK_12
from tonewood.panel.boxes import buttons
from tonewood.panel.controls import pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.page import Shown, table
from tonewood.panel.reckoning import Reckoning, reckon
from tonewood.sound.recording import decay_read
from tonewood.sound.recording_file import read_recording
from tonewood.sound.string_loss import decay_time, loss_from_t60, t60
from tonewood.wood.species import all_species, species


def dead_note_by_hand(fret: int | None = None) -> SimpleNamespace:
    """The D string's dead note (or another fret) from T60 = 6.908 / (pi f eta), beside the library; `lines`
    says it, for `say_all`.

    frequency (Hz). Loss factors: string (with air), ends (by the simple rule), loss (their sum). T60 (s):
    by_hand, by_library from the same sum, together with string and neck solved together. The pair that string
    and mode split into: slow and fast, each (Hz, T60 in s), and mean, the T60 if both shared their losses
    evenly. faster: dB a second beyond the frets beside. drop: dB in the first 200 ms by hand.
    """
    everything = ring_map()
    f = worst_fret(everything) if fret is None else int(fret)
    pitch, together = float(everything.frequency[D, f]), float(everything.t60[D, f])
    total, string = (float(loss_from_t60(pitch, seconds[D, f]))
                     for seconds in (everything.simple, everything.alone))
    partner = complex(everything.partner[D, f])
    pair = (pitch, together), (partner.real / (2 * np.pi), float(decay_time(partner.imag)))
    slow, fast = sorted(pair, key=lambda one: -one[1])
    mean, faster, drop = 2 / (1 / slow[1] + 1 / fast[1]), float(everything.extra_fall[D, f]), 12 / together
    by_hand, by_library = 6.908 / (np.pi * pitch * total), float(t60(pitch, total))
    shows = {together: "what the map shows"}
    lines = [("pitch of the dead note", pitch, "Hz", 0, "estimated by the model"),
             ("loss factor of string and air (thousandths)", 1000 * string, "", 2, "string: from memory"),
             ("loss factor through the ends (thousandths)", 1000 * (total - string), "", 1,
              "estimated, simple rule"),
             ("T60 by hand, 6.908 ÷ (π × pitch × sum of the two)", by_hand, "s", 2, ""),
             ("T60 by the library from the same sum", by_library, "s", 2, ""),
             *((f"T60 of the {which} of the pair, at {hertz:.1f} Hz", seconds, "s", 1, shows.get(seconds, ""))
               for which, (hertz, seconds) in (("slower", slow), ("faster", fast))),
             ("T60 of both if they shared their losses evenly", mean, "s", 1, ""),
             ("falls each second further than the frets beside it (dB)", faster, "", 0, "dead from 5 on"),
             ("fall in the first 200 ms, 12 ÷ T60 (dB)", drop, "", 1, "")]
    return SimpleNamespace(frequency=pitch, string=string, ends=total - string, loss=total, together=together,
                           slow=slow, fast=fast, mean=mean, faster=faster, by_hand=by_hand,
                           by_library=by_library, drop=drop, lines=lines)


def bench_row(live: LiveFigure | None = None, string: int = 4) -> Shown:
    """What the bench job should find on one string, counted from the treble, up to the octave: for each fret
    the seconds of a 30 dB fall and the T60 of the fundamental, and the T60 of the whole level.

    live: the figure whose settings count; the start neck without. Returns a table to show. Raises ValueError
    for a string that is not there."""
    now = found(live.subject, **{**live.values, "level": WHOLE}) if live else found(level=WHOLE)
    strings = len(now.map.t60)
    s = strings - checks.whole("string, counted from the treble", string, 1, strings)
    only, all_of = now.map, now.shown
    rows = [(f or "open", only.notes[s, f], f"{only.frequency[s, f]:.0f}", f"{only.t60[s, f] / 2:.1f}",
             f"{only.t60[s, f]:.1f}", "dead" if only.dead[s, f] else "", f"{all_of.t60[s, f]:.1f}")
            for f in range(min(OCTAVE + 1, only.t60.shape[1]))]
    head = ("fret", "note", "pitch, Hz", "fundamental: 30 dB, s", "fundamental: T60, s", "mark",
            "whole level: T60, s")
    return table(head, rows, f"String {string}, {string_names(now.map)[s]}; estimated by the model for the "
                 "neck whose boards are exactly average. Whole "
                 f"level: plucked {1000 * PICK:.0f} mm and heard {1000 * PICKUP:.0f} mm from the bridge, "
                 "twice the seconds until a level meter stays 30 dB below the start.")


def your_note(file: str | None = None, live: LiveFigure | None = None, string: int = 4,
              fret: int | None = None) -> Shown:
    """T60 of one recorded note, of its fundamental (filtered out at its pitch) and of its whole level, beside
    the map.

    file: a sound file; without one the model plays the note itself. live: the figure whose settings count;
    string: counted from the treble; fret: the D string's dead note unless told. Returns a table to show.
    Raises ValueError for a string or fret that is not there and a file that cannot be read.
    """
    start, values = (live.subject, live.values) if live else (NECK_12, defaults())
    everything = ring_map(start, **values)
    strings, frets = everything.t60.shape
    s = strings - checks.whole("string, counted from the treble", string, 1, strings)
    f = checks.whole("fret", worst_fret(everything) if fret is None else fret, 0, frets - 1)
    now = found(start, **{**values, "string": s - strings + STRINGS, "fret": f})
    heard = read_recording(file) if file else None
    samples, rate = (heard.samples, heard.rate) if heard else model_note(now)
    read = [decay_read(samples, rate, pitch=pitch) for pitch in (float(everything.frequency[s, f]), None)]
    rows = [(name, f"{one.t60:.1f}", f"{one.fall:.0f}", f"{said:.1f}") for name, one, said in zip(
        ("fundamental", "whole level"), read, (everything.t60[s, f], now.whole), strict=True)]
    head = (f"{everything.notes[s, f]}, {note_place(everything, s, f)}", "T60 read, s", "over a fall of, dB",
            "T60 in the map, s")
    return table(head, rows, f"Read from {file}." if file else "No recording given: the model plays the "
                 "note, and is read as a recording would be.")


MODEL = "none: the model plays the note"


def own_note(live: LiveFigure | None = None) -> Reckoning:
    """Boxes for a recording of one's own, a sound file in the folder of the lesson, read by `your_note`."""
    start, values = (live.subject, live.values) if live else (NECK_12, defaults())
    everything = ring_map(start, **values)
    strings, frets = everything.t60.shape

    def work(file: str, string: float, fret: float) -> Shown:
        return your_note(None if file == MODEL else file, live, int(string), int(fret))

    return reckon(work, file=pick("Your recording", [MODEL, *sound_files()], MODEL,
                                  "WAV, FLAC, OGG or MP3 in the lesson's own folder"),
                  string=slider("String of your note", min(4, strings), 1, strings, 1,
                                why="counted from the treble"),
                  fret=slider("Fret of your note", worst_fret(everything), 0, frets - 1, 1,
                              why="0 is the open string"))


def your_tap(frequency: float, seconds: float) -> float:
    """Loss factor of your own board in thousandths, from its tap tone (Hz) and the time (s) it takes to fall
    by 60 dB: 1000 ln(1000) / (pi f T60). Raises ValueError."""
    checks.number("pitch of the tap tone", frequency, 20.0, 20000.0, "Hz",
                  lambda v: f"Kilohertz? {v:g} kHz is {1000 * v:g} Hz" if 0 < v < 20 else None)
    checks.number("T60", seconds, 0.0, 60.0, "s",
                  lambda v: f"Milliseconds? {v:g} ms is {v / 1000:g} s" if v > 60 else None, open_low=True)
    return 1000 * float(loss_from_t60(frequency, seconds))


def own_tap(live: LiveFigure | None = None) -> Reckoning:
    """Boxes for a tap of one's own board and its loss factor from `your_tap`; with a figure, a button that
    sets it there."""
    def work(frequency: float, seconds: float) -> Shown:
        return table(("from your tap", "thousandths"),
                     [("loss factor of the board", f"{your_tap(frequency, 2 * seconds):.1f}")],
                     f"{frequency:g} Hz, a fall of 30 dB in {seconds:g} s, so T60 is {2 * seconds:g} s. An "
                     "example, not measured, until you set your own.")

    def use() -> None:
        now = made.values
        live.set(tapped=round(2 * your_tap(now["frequency"], 2 * now["seconds"])) / 2)

    more = [buttons(Use_it_in_the_figure_above=use)] if live else []
    made = reckon(work, *more,
                  frequency=slider("Pitch of the tap tone", 412, 20, 2000, 1, "Hz",
                                   "from a long thin plank to a short bar"),
                  seconds=slider("Seconds for a fall of 30 dB", 0.375, 0.02, 5, 0.005, "s",
                                 "half of T60; wood falls that far in tenths of a second"))
    return made


def what_a_tap_buys(tapped: float = 7.0) -> Shown:
    """Loss factor of the main wood from the table and from your tap, and the dead note's band with each."""
    rows = []
    for value in (0.0, tapped):
        now = found(tapped=value)
        ((low, middle, high), status), (least, _, most) = now.heard.loss, now.seconds
        rows.append((status, f"{middle:.1f} ({low:.1f} to {high:.1f})", f"{high / low:.1f}",
                     f"{least:.1f} to {most:.1f}"))
    head = ("where it comes from", "loss factor, thousandths", "high over low end",
            "T60 of the chosen note, s, 90 of 100 necks")
    return table(head, rows, "90 of 100 boards lie in the brackets. The map shows the neck whose boards are "
                 f"exactly average, T60 {now.map.t60[now.at]:.1f} s.")


def damping_known(*names: str) -> Shown:
    """Loss factors of the woods named and of every wood with a measured value, with band and standing, and
    how many pairs of neck woods the bands can tell apart. Returns a table to show. Raises ValueError for
    unknown woods."""
    woods = dict.fromkeys([*map(species, names), *(w for w in all_species() if w.loss.status in MEASURED)])
    rows = [(w.name, f"{1000 * w.loss.value:.1f}", f"{1000 * w.loss.low:.1f} to {1000 * w.loss.high:.1f}",
             MEASURED.get(w.loss.status, "relation, constants from memory")) for w in woods]
    neck = [w.loss for w in all_species() if "neck" in w.uses]
    pairs = [(a, b) for i, a in enumerate(neck) for b in neck[i + 1:]]
    apart = sum(a.high < b.low or b.high < a.low for a, b in pairs)
    return table(("wood", "loss factor, thousandths", "90 of 100", "standing"), rows,
                 f"At 12 % moisture, along the grain. Of the {len(pairs)} pairs of neck woods in the tables, "
                 f"{apart} have bands that do not overlap: these numbers cannot rank woods.")
