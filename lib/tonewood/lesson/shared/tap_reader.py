"""A recording of taps on the page: upload or path, what was heard as pictures, what may be made of it."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import partial
from html import escape

import ipywidgets
import numpy as np
from matplotlib.figure import Figure

from tonewood.bench.made_taps import kept_errors, made_taps
from tonewood.bench.taps import Taps, tap_tones
from tonewood.panel import boxes, stacking, style
from tonewood.panel.microphone import microphone
from tonewood.panel.page import Shown, Worked, table
from tonewood.panel.reruns import replace_older
from tonewood.panel.still import WIDE, still
from tonewood.remember import remember
from tonewood.sound.recording import at_pitch, level_over_time
from tonewood.sound.recording_file import RATE, Recording, read_recording

KINDS = ".wav,.flac,.ogg,.mp3"
ADVICE = "half a second of silence, then three taps a second apart."
SHOWN = 0.6          # s after each tap in the picture


class TapReader(Worked):
    """Upload, microphone or path, the tone expected, *Read*; below it the picture, the numbers, and where
    asked for a button that hands the taps on. Made by `tap_reader`. `.recording` and `.taps` tell the state.
    """

    def __init__(self, use: Callable[[Taps], None] | None = None, **more: Callable[[Taps], None]) -> None:
        self._upload = ipywidgets.FileUpload(accept=KINDS, multiple=False, description="Upload a recording",
                                             layout={"width": "auto"})
        self._path = ipywidgets.Text(placeholder="tap.wav", description="or a file beside this page",
                                     style={"description_width": "initial"},
                                         layout={"width": "300px", "max_width": "95%"})
        self._expected = ipywidgets.Text(placeholder="not known", description="Tone you expect, Hz",
                                         style={"description_width": "initial"},
                                         layout={"width": "260px", "max_width": "95%"})
        self._shown, self._done = boxes.prose("reckoned"), boxes.prose()
        self.recording: Recording = made_taps(rate=RATE)     # nothing to thin
        self.taps: Taps = tap_tones(self.recording)
        uses = ({"Use_it_in_the_figure_above": use} if use is not None else {}) | more
        row = boxes.buttons(Read=self.read, **{words: partial(self._hand_on, use)
                                               for words, use in uses.items()})
        bring = [self._upload, microphone(self._upload, ADVICE), self._path, self._expected]
        self.widget = boxes.panel(bring, row, self._done, self._shown, explain=False)
        self._upload.observe(self._uploaded, names="value")
        self._show("No recording given yet: these taps are made by the page, of a tone of 412 Hz and a loss "
                   "factor of 8.0 thousandths.")
        replace_older(self)

    def _uploaded(self, change: object) -> None:
        if self._upload.value:
            self._path.value = ""                           # what came last is what is meant
            self.read()

    def read(self) -> None:
        """Read what is uploaded or named. A refusal stands where the picture was, the last good reading is
        kept."""
        self._done.value = ""
        try:
            expected = _expected(self._expected.value)
            if self._path.value.strip():
                heard = read_recording(self._path.value.strip())
            elif self._upload.value:
                one = self._upload.value[0]
                heard = read_recording(io.BytesIO(bytes(one["content"])), one["name"])
            else:
                heard = made_taps(rate=RATE)
            taps = tap_tones(heard, expected)
        except ValueError as problem:
            self._shown.value = style.alarm(str(problem))
            return
        self.recording, self.taps = heard, taps
        self._show(f"Read from {heard.name}: {heard.seconds:.1f} s, {heard.kept}.")

    def _hand_on(self, use: Callable[[Taps], None]) -> None:
        if not self.taps.usable:
            raise ValueError("nothing to use yet: this recording gives no loss factor")
        use(self.taps)
        self._done.value = style.says("It stands in the figure above now.")

    def _show(self, caption: str) -> None:
        self.result = told(self.recording, self.taps, caption)
        self._shown.value = f"<div role='status'>{self.result.html}</div>"


def tap_reader(use: Callable[[Taps], None] | None = None, **more: Callable[[Taps], None]) -> TapReader:
    """Reader for a recording of taps; use: what usable Taps are handed to by a button; more: further ones, by
    the button's words with _ for spaces. Raises nothing."""
    return TapReader(use, **more)


def _expected(words: str) -> float | None:
    words = words.strip().replace(",", ".")
    if not words:
        return None
    try:
        return float(words)
    except ValueError:
        raise ValueError(f"tone you expect: {words!r} given; accepted: a number in Hz, or nothing") from None


def told(heard: Recording, taps: Taps, caption: str) -> Shown:
    """Picture, numbers and reasons of one reading, to show."""
    if np.isfinite(taps.frequency):
        rows = [("tone", f"{taps.frequency:.1f} Hz, ± {_doubt(2 * taps.frequency_u)}"),
                ("loss factor", f"{1000 * taps.loss:.1f} thousandths, ± {_doubt(2000 * taps.loss_u)}"),
                ("T60", f"{np.log(1000) / (np.pi * taps.frequency * taps.loss):.2f} s"),
                ("taps that count", f"{sum(not tap.reason for tap in taps.taps)} of {len(taps.taps)}")]
    else:
        rows = [("tone", "not read"), ("taps found", str(len(taps.taps)))]
    verdict = "May be used." if taps.usable else "Not to be used."
    shown = table(("from this recording", verdict), rows, caption)
    reasons = "".join(f"<li>{escape(reason[:1].upper() + reason[1:])}{'' if reason[-1] == '?' else '.'}</li>"
                      for reason in taps.reasons)
    reasons = reasons and f"<ul>{reasons}</ul>"
    images = "".join(still(draw, alt, (3.2, 2.9)) for draw, alt in _pictures(heard, taps))
    html = f"<div style='display:flex;flex-wrap:wrap'>{images}</div>{shown.html}{reasons}"
    return Shown(html, "\n".join([shown.plain, *taps.reasons]))


def _doubt(value: float) -> str:
    return f"{value:.1f}" if value >= 0.05 else "under 0.1"


def _pictures(heard: Recording, taps: Taps) -> list[tuple[Callable[[Figure], None], str]]:
    """The recording as waveform, spectrum after the taps, fall of the tone with the fit: how each is drawn,
    and its words."""
    rate, read = heard.rate, bool(np.isfinite(taps.frequency))

    def wave(fig: Figure) -> None:
        ax, step = fig.subplots(), max(len(heard.samples) // 4000, 1)
        ax.plot(np.arange(len(heard.samples))[::step] / rate, heard.samples[::step], lw=0.6, color="0.35")
        for tap in taps.taps:
            colour, dashes = (style.VERMILLION, ":") if tap.reason else (style.BLUE, "--")
            ax.axvline(tap.time, color=colour, ls=dashes, lw=1.2)
        ax.set(xlabel="time, s", ylabel="share of full scale", title="What was recorded")

    def tones(fig: Figure) -> None:
        ax = fig.subplots()
        for tap in taps.taps[:8]:
            part = heard.part(tap.time + 0.008, tap.time + SHOWN)
            if len(part) < 256:
                continue
            power = np.abs(np.fft.rfft(part * np.hanning(2 * len(part))[len(part):], 1 << 16))
            f = np.arange(len(power)) * rate / (1 << 16)
            inside = (f > 40) & (f < 2000)
            level = 20 * np.log10(power[inside] / power[inside].max() + 1e-6)
            ax.semilogx(f[inside], level, lw=0.7, color="0.35")
        ax.set(xlabel="frequency, Hz", ylabel="level, dB", title="Its tones", ylim=(-70, 5))
        ax.set_xticks([50, 200, 500, 2000], ["50", "200", "500", "2000"])
        ax.set_xticks([], minor=True)
        if read:
            ax.axvline(taps.frequency, color=style.BLUE, lw=1.2, ls="--")

    slope = 20 / np.log(10) * np.pi * taps.frequency * taps.loss

    def fall(fig: Figure) -> None:
        ax = fig.subplots()
        if read:
            good = next(tap for tap in taps.taps if not tap.reason)
            part = heard.part(good.time, good.time + SHOWN)
            window = max(0.02, 4 / taps.frequency)
            times, level = level_over_time(at_pitch(part, rate, taps.frequency), rate, window)
            ax.plot(times, level - level.max(), ".", ms=4, color="0.35")
            line = times[np.argmax(level):]
            ax.plot(line, -slope * (line - line[0]), color=style.BLUE, lw=1.5)
            ax.set_ylim(-70, 5)
        else:
            ax.text(0.5, 0.5, "no tone read", ha="center", transform=ax.transAxes)
        ax.set(xlabel="time after the tap, s", ylabel="level, dB", title="Its fall, fit in blue")

    tone = f"highest at {taps.frequency:.0f} Hz" if read else "no tone read"
    said = (f"The tone at {taps.frequency:.1f} Hz falls by {slope:.0f} dB a second." if read
            else "No tone was read.")
    return [(wave, f"{len(taps.taps)} taps in {heard.seconds:.1f} s of sound."),
            (tones, f"Level of its tones from 40 to 2000 Hz, {tone}."), (fall, said)]


def error_picture(trials: int = 12) -> Shown:
    """The same as a picture: for each kind of recording the median of the error and its 95th percentile, and
    how many were refused; the table folded below."""
    found = _errors(trials)
    rows = np.arange(len(found))[::-1]
    least = 1e-3

    def draw(fig: Figure) -> None:
        narrow = stacking.narrow(fig)
        tone, loss, refused = axes = fig.subplots(*((3, 1) if narrow else (1, 3)), sharey=True,
                                                  **({} if narrow else {"width_ratios": (2, 2, 1)}))
        for ax, what in ((tone, "frequency"), (loss, "loss")):
            middle, far = (np.maximum(found[f"{what}, {n} (%)"], least) for n in ("median", "95th"))
            ax.hlines(rows, middle, far, color=style.BLUE, lw=3, alpha=0.5)
            ax.plot(middle, rows, "o", color=style.BLUE, label="half of the boards within")
            ax.plot(far, rows, "|", color=style.BLACK, ms=12, mew=2, label="95 of 100 within")
            ax.set_xscale("log")
            ax.set_xticks([least, 0.1, 10], ["≤ 0.001", "0.1", "10"])
            ax.set_xticks([], minor=True)
        tone.set(xlim=(least / 1.5, 30), xlabel="tone off by (%)")
        loss.set(xlim=(least / 1.5, 30), xlabel="loss factor off by (%)")
        refused.barh(rows, found["refused (%)"], color="0.6", height=0.5)
        refused.set(xlim=(0, 100), xlabel="refused (%)")
        tone.set_yticks(rows, list(found.index))
        for ax in axes:
            ax.grid(axis="y", visible=False)
        fig.legend(*tone.get_legend_handles_labels(), loc="outside upper center", ncol=1 if narrow else 2)

    worst = found["loss, 95th (%)"]
    alt = (f"Errors of the reader on made taps, {trials} boards a line: 95 of 100 tones within "
           f"{found['frequency, 95th (%)'].max():.2f} % everywhere, loss factors within {worst.min():.1f} to "
           f"{worst.max():.1f} %, worst with {worst.idxmax()}; refused up to "
           f"{found['refused (%)'].max():.0f} %, with {found['refused (%)'].idxmax()}.")
    return Shown(f"{still(draw, alt, (WIDE, 4.1), 10.4)}<details><summary>The same as a table</summary>"
                 f"{how_well_it_reads(trials).html}</details>", f"{alt}\n{how_well_it_reads(trials).plain}")


_errors = remember(2)(kept_errors)


def how_well_it_reads(trials: int = 6) -> Shown:
    """The reader's own errors on made taps of known tone and loss, as a table to show."""
    found = _errors(trials)
    rows = [(case, *("–" if np.isnan(value) else f"{value:.2f}" for value in row[:4]), f"{row[5]:.0f}")
            for case, row in zip(found.index, found.to_numpy(), strict=True)]
    return table(("made taps", "tone off by, median (%)", "95 of 100 within (%)", "loss off by, median (%)",
                  "95 of 100 within (%)", "refused (%)"), rows,
                 f"{trials} made boards a line, 100 to 900 Hz, 5 to 20 thousandths; percentiles between them "
                 "(estimated by arithmetic). What thread, air and hand take from a real board is not in it.")
