"""How fast: the decay map against a note-by-note loop, and two seconds of sound against a plain sum of
decaying cosines.

Run: python tests/benchmarks/sound_speed.py   (some seconds). Prints times and ratios; asserts nothing.
"""

import cmath
import os
import platform
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from tonewood.neck.layup.neck import Back, Channel, Fretboard, Neck, Outline, striped
from tonewood.sound.coupled import string_ends
from tonewood.sound.decay import decay_of
from tonewood.sound.instrument import Instrument
from tonewood.sound.modes import modes as modes_of
from tonewood.sound.partials import speaking_string
from tonewood.sound.pluck import pluck
from tonewood.strings.sets import string_set
from tonewood.strings.wire import StringSet
from tonewood.wood.board import Board
from tonewood.wood.species import species

FRETS = np.arange(23)


def best(task, repeat=7):
    """Shortest of `repeat` times, s; the first run is not counted. Returns (time, last result)."""
    task()
    times = []
    for _ in range(repeat):
        begin = time.perf_counter()
        result = task()
        times.append(time.perf_counter() - begin)
    return min(times), result


def one_note_at_a_time(modes, strings, places, bridge):
    """T60 (s) of every note by asking for one string at one fret, 138 times. The nut goes along, since
    open strings fix the tension."""
    rows = []
    for i, string in enumerate(strings.strings):
        alone = StringSet((string,), (strings.tuning[i],), float(strings.length[i]))
        rows.append([decay_of(modes, alone, np.unique([places[0], x]), bridge).t60[0, -1] for x in places])
    return np.array(rows)


def plain_sum(rates, amplitudes, count, rate):
    """The signal as one would first write it: a loop over samples, a loop over partials."""
    out = []
    for k in range(count):
        out.append(sum(2 * (a * cmath.exp(r * k / rate)).real
                       for r, a in zip(rates, amplitudes, strict=False)))
    return np.array(out)


def main():
    maple, rosewood = Board(species("hard maple")), Board(species("Indian rosewood"))
    neck = Neck(striped(maple, maple, maple, 7), Outline(), Back("D"), Fretboard(rosewood), Channel())
    strings, found = string_set("six"), modes_of(Instrument(neck))
    places = neck.scale_length * (1 - 2 ** (-FRETS / 12))
    print(f"{platform.python_version()}, NumPy {np.__version__}, {os.cpu_count()} cores, load"
          f" {os.getloadavg()[0]:.1f}")
    whole, table = best(lambda: decay_of(found, strings, places, neck.scale_length))
    single, loop = best(lambda: one_note_at_a_time(found, strings, places, neck.scale_length), 1)
    print(f"decay map, 6 strings x 23 notes: {1e3 * whole:.1f} ms; note by note {1e3 * single:.0f} ms; ratio"
          f" {single / whole:.0f}; largest difference {100 * np.max(np.abs(loop / table.t60 - 1)):.2g} %")
    string = speaking_string(strings, 2, 5)
    ends = string_ends(found, float(neck.fret(5)), neck.scale_length, 0.0, 0.0)
    sound, note = best(lambda: pluck(string, ends, duration=2.0))
    count = 2000
    loop_time, short = best(lambda: plain_sum(note.rates, note.amplitudes, count, note.rate), 1)
    loop_time *= len(note.samples) / count
    print(f"2 s of sound: {1e3 * sound:.0f} ms; plain loop {1e3 * loop_time:.0f} ms (scaled from {count}"
          f" samples); ratio {loop_time / sound:.0f}; largest difference"
          f" {np.max(np.abs(short - note.samples[:count])) / np.max(np.abs(note.samples)):.1g} of the peak")


if __name__ == "__main__":
    main()
