"""Recordings of one's own in lesson 07: taps on a board, and a row of notes beside the map."""

from __future__ import annotations

import io
from collections.abc import Iterable
from pathlib import Path

import ipywidgets
import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from tonewood.lesson.ring_and_decay.decay_map import INK, SHADES, in_the_map, shade
from tonewood.lesson.ring_and_decay.model import STRINGS, defaults, found, model_note, ring_map
from tonewood.lesson.shared.readings_view import together
from tonewood.lesson.shared.shop import NECK_12
from tonewood.lesson.shared.tap_reader import TapReader, tap_reader
from tonewood.panel import stacking, style
from tonewood.panel.controls import pick, slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.microphone import microphone
from tonewood.panel.page import Shown, table
from tonewood.panel.quick_text import Numbers
from tonewood.panel.reckoning import Reckoning, reckon
from tonewood.panel.still import WIDE, still
from tonewood.sound.notes_recorded import notes
from tonewood.sound.recording_file import Recording, read_recording, recording

KINDS = (".wav", ".flac", ".ogg", ".mp3")
PLAYED = range(6, 11)          # around the dead note of the start neck
MODEL = "none: the model plays frets 6 to 10"
ADVICE = "pluck one note after the other and let each ring until it is gone."
LONGEST = 90         # s of recording in the page
PAUSE = 0.3          # s before each note the model plays


def sound_files() -> list[str]:
    """Names of the recordings in the lesson's own folder."""
    return sorted(path.name for path in Path.cwd().glob("*") if path.suffix.lower() in KINDS)


def tap_recorded(live: LiveFigure) -> TapReader:
    """Reader for taps on one's own board, whose button sets *Your tapped loss factor*."""
    return tap_reader(lambda taps: live.set(tapped=round(2000 * taps.loss) / 2))


def model_row(live: LiveFigure | None = None, string: int = 4, frets: Iterable[int] = PLAYED) -> Recording:
    """The model's notes of one string, counted from the treble, fret after fret, as a recording."""
    start, values = (live.subject, live.values) if live else (NECK_12, defaults())
    pieces: list[np.ndarray] = []
    for fret in frets:
        samples, rate = model_note(found(start, **{**values, "string": STRINGS - string, "fret": fret}))
        pieces += [np.zeros(int(PAUSE * rate)), 0.3 * samples / np.abs(samples).max()]
    return recording(np.concatenate(pieces), rate, "the model's own notes")


def notes_beside_the_map(heard: Recording, live: LiveFigure | None = None, string: int = 4) -> Shown:
    """What was heard of one string, counted from the treble, note by note, beside what the map foretells. A
    table to show. Raises ValueError for a recording without notes and a string that is not there."""
    start, values = (live.subject, live.values) if live else (NECK_12, defaults())
    everything = ring_map(start, **values)
    strings, frets = everything.t60.shape
    tuning = [str(name) for name in everything.notes[:, 0]]
    rows, ratios, heard_at = [], [], {}
    for row in notes(heard, tuning, string).to_dict("records"):
        known = row["fret"] is not None and not np.isnan(row["fret"]) and 0 <= row["fret"] < frets
        said = float(everything.t60[strings - string, int(row["fret"])]) if known else float("nan")
        if not row["remark"]:
            ratios.append(row["T60 (s)"] / said)
            heard_at |= {int(row["fret"]): row["T60 (s)"]} if known else {}

        def seconds(value: float) -> str:
            return f"{value:.1f}" if np.isfinite(value) else "–"

        remark = f"at {row['time (s)']:.1f} s: {row['remark']}" if row["remark"] else ""
        rows.append((row["note"], f"{row['fret']:.0f}" if known else "–", seconds(row["T60 (s)"]),
                     seconds(said), ", ".join(seconds(row[f"T60 {when} (s)"]) for when in ("early", "late")),
                     remark))
    told = (f"{len(ratios)} of {len(rows)} notes read; heard ÷ map {min(ratios):.2f} to {max(ratios):.2f}, "
            f"middle {np.median(ratios):.2f}." if ratios else f"None of {len(rows)} notes could be read.")
    head = ("note", "fret", "heard, s", "map, s", "early, late", "remark")
    if not any(row[-1] for row in rows):
        head, rows = head[:-1], [row[:-1] for row in rows]
    read = table(head, rows, f"Read from {heard.name}, T60 of each fundamental, as the map has it. {told}")
    return together([_row_of_the_map(heard_at, everything.t60[strings - string]), read]) if heard_at else read


def _row_of_the_map(heard: dict[int, float], foretold: np.ndarray) -> Shown:
    """The notes heard ({fret: T60 in s}, the latest of each fret) in the map's own colours and numbers, above
    the string's row of the map (F,)."""
    # as two columns, frets downwards, where a telephone has no room for two rows
    def draw(fig: Figure) -> None:
        ax = fig.subplots()
        high = stacking.narrow(fig)
        told: list[tuple[float, float, str, object]] = []
        for y, row in ((1, heard), (0, dict(enumerate(foretold)))):
            for fret, seconds in row.items():
                at, step = np.array((y, fret) if high else (fret, y)), int(shade(seconds))
                ax.add_patch(Rectangle(at - 0.47, 0.94, 0.94, color=SHADES[step], lw=0))
                told.append((*at, in_the_map(seconds), INK[step]))
        Numbers(ax, 10).show(*zip(*told, strict=True))
        both = {"lim": (-0.56, 1.56), "ticks": (0, 1), "ticklabels": ("map", "heard")}
        frets = {"lim": (-0.56, len(foretold) - 0.44), "ticks": range(len(foretold)),
                 "ticklabels": ["open", *map(str, range(1, len(foretold)))]}
        for axis, words in zip("xy", (both, frets) if high else (frets, both), strict=True):
            ax.set(**{axis + name: value for name, value in words.items()})
        ax.tick_params(length=0)
        ax.spines[:].set_visible(False)
        ax.grid(False)

    alt = "Heard, in seconds: " + ", ".join(f"fret {fret} {in_the_map(t)} (map {in_the_map(foretold[fret])})"
                                            for fret, t in sorted(heard.items())) + "."
    return Shown(still(draw, alt, (WIDE, 1.25), high=5.6), alt)


def notes_recorded(live: LiveFigure | None = None) -> Reckoning:
    """Boxes for a recording of notes plucked one after the other, uploaded, recorded in the page or lying in
    the lesson's folder, read beside the map; without one the model plays."""
    start, values = (live.subject, live.values) if live else (NECK_12, defaults())
    strings = ring_map(start, **values).t60.shape[0]

    handed: dict[str, Recording] = {}                       # what came through the page, the latest first

    def work(file: str, string: float) -> Shown:
        heard = handed.get(file) or (model_row(live, int(string)) if file == MODEL else read_recording(file))
        return notes_beside_the_map(heard, live, int(string))

    def there() -> list[str]:
        return [MODEL, *handed, *sound_files()]

    upload = ipywidgets.FileUpload(accept=",".join(KINDS), multiple=False, layout={"width": "auto"},
                                   description="Upload notes of a string")
    refused = ipywidgets.HTML(layout={"width": "auto"})
    file = pick("Your recording of a string", there, MODEL, "WAV, FLAC, OGG or MP3: uploaded, recorded here, "
                "or in the lesson's own folder")

    def uploaded(change: object) -> None:
        refused.value = ""
        try:
            for one in upload.value:
                name = f"{one['name']}, handed in {len(handed) + 1}"
                handed[name] = read_recording(io.BytesIO(bytes(one["content"])), one["name"])
                file.value = name
        except ValueError as problem:
            refused.value = style.alarm(str(problem))

    upload.observe(uploaded, names="value")
    bring = ipywidgets.Box([upload, microphone(upload, ADVICE, LONGEST)],
                           layout={"display": "flex", "flex_flow": "row wrap"})
    return reckon(work, bring, refused, file=file,
                  string=slider("String that was played", min(4, strings), 1, strings, 1,
                                why="counted from the treble"))
