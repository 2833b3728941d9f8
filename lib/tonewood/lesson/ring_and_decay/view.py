"""The picture of the ringing lesson: decay map above, the neck's modes at lower left, the chosen note's
losses at lower right."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.figure import Figure
from numpy.typing import NDArray

from tonewood.lesson.ring_and_decay.decay_map import EARLIER, DecayMap, key, rectangle, whisker
from tonewood.lesson.ring_and_decay.model import Found
from tonewood.panel import stacking, style
from tonewood.panel.quick_text import Numbers
from tonewood.sound.dead_notes import mode_names
from tonewood.sound.decay import Decay
from tonewood.strings.pitch import interval

SHOWN = ("bending 1", "bending 2", "bending 3", "twist 1", "twist 2")
CAUSES = ("air", "string itself", "fret end (neck)", "bridge end (body)")
HEAD, TAIL = -0.262, 1.304
"""Ends of neck No. 12's instrument as shares of the scale length; every instrument is drawn to its own scale
length."""
ROWS = np.arange(len(SHOWN))[::-1]
STACK = {"Map": 626, "Vibrations": 380, "Losses": 400}


class RingView:
    """Draws once on a bare figure; `show` moves everything."""

    def __init__(self, fig: Figure) -> None:
        self._slim = stacking.narrow(fig)
        if self._slim:
            low, high, *rest = (fig.add_subplot(stacking.cell(fig, STACK, *given)) for given in (
                ("Map", 34, 6, 64, 376), ("Map", 34, 6, 276, 164), ("Vibrations", 16, 16, 26, 30),
                ("Losses", 16, 30, 26, 194), ("Losses", 16, 30, 240, 26)))
            self.maps = [DecayMap(low, half=0), DecayMap(high, half=1)]
        else:
            low = high = fig.add_axes((0.045, 0.545, 0.945, 0.385))
            self.maps = [DecayMap(low)]
            rest = [fig.add_axes(box) for box in ((0.022, 0.03, 0.52, 0.325), (0.69, 0.205, 0.17, 0.15),
                                                  (0.69, 0.03, 0.215, 0.115))]
        self.title = Numbers(low, align="left", transform=low.transAxes)
        key(high)
        for draw, ax in zip((self._modes, self._losses, self._gauges), rest, strict=True):
            draw(ax)

    def _modes(self, ax: Axes) -> None:
        pitch = 1.6 if self._slim else 1               # where words stand above what they name, not beside it
        self._rows, top = pitch * ROWS, pitch * (len(SHOWN) - 1) + (1.1 if self._slim else 0.6)
        ax.set(xlim=(HEAD, TAIL) if self._slim else (HEAD - 0.40, TAIL + 1.17), ylim=(-0.6, top), xticks=[],
               yticks=[])
        ax.grid(False)
        ax.spines[:].set_visible(False)
        ax.set_title("The neck's own vibrations (◂: this note's)", pad=4)
        for y, name in zip(self._rows, SHOWN, strict=True):
            if self._slim:
                ax.text(HEAD, y + 0.62, name)
            else:
                ax.text(HEAD - 0.03, y, name, ha="right", va="center")
        for x, label in ((0.0, "nut"), (0.5, "fret 12"), (1 - interval(-22), "22"), (1.0, "bridge")):
            ax.plot([x, x], [-0.45, top - 0.15], color="#cccccc", lw=0.8, zorder=0)
            ax.text(x + 0.06 * (label == "fret 12"), -0.5, label,
                    ha="right" if label == "fret 12" else "center",
                    va="top", color="#444444")
        self.still = LineCollection([], colors="#cccccc", linewidths=0.8, zorder=0)
        self.shapes = LineCollection([], linewidths=2.0, zorder=3)
        for lines in (self.still, self.shapes):
            ax.add_collection(lines, autolim=False)
        self.pitches = Numbers(ax, align="right" if self._slim else "left", baseline=self._slim)

    def _losses(self, ax: Axes) -> None:
        self._causes = np.arange(4) * (1.8 if self._slim else 1)
        ax.set(xlim=(0, 100), ylim=(-0.6, self._causes[-1] + (1.2 if self._slim else 0.6)))
        ax.set_yticks(self._causes, [""] * 4 if self._slim else CAUSES[::-1])
        ax.spines["left"].set_visible(not self._slim)
        for y, name in zip(self._causes, CAUSES[::-1] * self._slim, strict=False):
            ax.text(0, y + 0.5, name)
        ax.set_xticks([0, 25, 50, 75, 100], ["0", "25", "50", "75", "100 %"])
        ax.tick_params(length=0, pad=3)
        ax.grid(False, axis="y")
        ax.set_title("Where the fundamental's energy goes", pad=4, x=0 if self._slim else -0.77)
        self.bars = PolyCollection([], facecolors=style.BLUE, alpha=0.55, edgecolors="none", zorder=2)
        self.bands = LineCollection([], colors="black", linewidths=1.5, zorder=3)
        self.before = LineCollection([], colors=style.GREY, linestyles=[EARLIER["linestyle"]], linewidths=2.0,
                                     zorder=4)
        for artist in (self.bars, self.bands, self.before):
            ax.add_collection(artist, autolim=False)
        self.shares = Numbers(ax, align="right" if self._slim else "left", baseline=self._slim)

    def _gauges(self, ax: Axes) -> None:
        """Two rows on one axes from 0 to 1, each with its own scale: T60 of the note (doubling steps), loss
        of the main wood."""
        named = "loss factor, main\nwood (thousandths)", "T60, fundamental"
        up = self._upper = 2.4 if self._slim else 1.35
        ax.set(xlim=(0, 1), ylim=(-0.95, up + (1.6 if self._slim else 0.45)), xticks=[])
        ax.set_yticks([0, up], named)
        if self._slim:
            ax.set_yticks([])
            ax.spines["left"].set_visible(False)
            for y, name in zip((0.0, up), named, strict=True):
                ax.text(0, y + 0.55, name.replace("\n", " "))
        ax.tick_params(length=0, pad=3)
        ax.grid(False)
        ax.spines["bottom"].set_visible(False)
        for values, place, low, high, unit in (((0.5, 2, 8, 32), _of_time, up - 0.3, up + 0.4, " s"),
                                               ((0, 10, 20, 30), _of_loss, -0.35, 0.32, "")):
            for value in values:
                ax.plot([place(value)] * 2, [low, high], color="#e4e4e4", lw=0.8, zorder=0)
                ax.text(place(value), low - 0.075, f"{value:g}" + unit * (value == values[-1]),
                        ha="center", va="top", color="#444444")
        if self._slim:
            ax.text(0, up + 1.15, "line: average, dots: string")
        else:
            ax.text(1.0, up + 0.48, "line: average, dots: string", va="bottom", ha="right")
        self.spans = PolyCollection([], facecolors=style.BLUE, alpha=0.35, edgecolors="none", zorder=2)
        self.marks = LineCollection([], colors=[style.BLUE, style.BLACK, style.BLUE],
                                    linestyles=["-", ":", "-"], linewidths=[3.0, 1.6, 3.0], zorder=3)
        for artist in (self.spans, self.marks):
            ax.add_collection(artist, autolim=False)

    def show(self, now: Found, earlier: tuple[Decay, NDArray[np.float64]] | None = None) -> None:
        """earlier: of the ghost, its Decay shown and the shares by cause of its note looked at, % (4,)."""
        for part in self.maps:
            part.show(now.shown, now.span, now.at, earlier and earlier[0])
        words = [f"Seconds until the {now.level} of each note", " has fallen by 60 dB (T60);",
                 " rows are strings, columns are frets"]
        if self._slim:
            self.title.show([-0.07] * 3, [1.29, 1.18, 1.07], map(str.strip, words))
        else:
            self.title.show([-0.01] * 2, [1.135, 1.05], [words[0] + words[1], words[2].strip()])
        self._show_modes(now)
        rows, share = self._causes, now.shares[:, ::-1].T
        self.bars.set_verts([rectangle(0, v, y - 0.32, y + 0.32) for y,
                             (v, _, _) in zip(rows, share, strict=True)])
        self.bands.set_segments([line for y, (_, low, high) in zip(rows, share, strict=True)
                                 for line in whisker(low, high, y, 0.16)])
        told = [f"{v:.0f} % ({low:.0f} to {high:.0f})" for v, low, high in share]
        self.shares.show(np.full(4, 100.0 if self._slim else 103.0), rows + 0.5 * self._slim, told)
        before = [] if earlier is None else zip(earlier[1][::-1], rows, strict=True)
        self.before.set_segments([[(v, y - 0.42), (v, y + 0.42)] for v, y in before])
        low, _, high = (_of_time(t) for t in now.seconds)
        least, value, most = (_of_loss(v) for v in now.heard.loss[0])
        up = self._upper
        self.spans.set_verts([rectangle(low, high, up - 0.28, up + 0.28),
                              rectangle(least, most, -0.28, 0.28)])
        self.marks.set_segments([[(v, y - .36), (v, y + .36)] for v, y in (
            (_of_time(now.map.t60[now.at]), up), (_of_time(now.map.alone[now.at]), up), (value, 0))])

    def _show_modes(self, now: Found) -> None:
        modes, engaged = now.heard.modes, now.mode[1]
        names = mode_names(modes)
        low, _, high = now.mode_band
        lines, words, near = [], [], []
        for y, name in zip(self._rows, SHOWN, strict=True):
            k, (kind, number) = names.index(name), name.split()
            shape = (modes.shape if kind == "bending" else modes.twist_shape)[int(number) - 1]
            lines.append(np.column_stack([modes.x / now.heard.design.scale_length,
                                          y + 0.38 * shape / np.max(np.abs(shape)) * np.sign(shape[0])]))
            near.append(k == engaged)
            still = high[k] - low[k] < 0.01 * low[k]         # the body's stiffness is one number, not drawn
            reach = "the body's" if still else f"{low[k]:.0f} to {high[k]:.0f}"
            words.append(f"{now.map.mode_frequency[k]:.0f} Hz ({reach})" + " ◂" * near[-1])
        self.still.set_segments([[(line[0, 0], y), (line[-1, 0], y)] for y,
                                 line in zip(self._rows, lines, strict=True)])
        self.shapes.set_segments(lines)
        self.shapes.set_color([style.BLUE if n else style.GREY for n in near])
        self.shapes.set_linewidths([3.0 if n else 1.5 for n in near])
        self.pitches.show(np.full(len(words), TAIL + 0.03 * (not self._slim)), self._rows + 0.62 * self._slim,
                          words)


def _of_time(seconds: float) -> float:
    """Place on the time gauge, 0.3 to 100 s in doubling steps; kept on the gauge."""
    return float(np.clip(np.log(seconds / 0.3) / np.log(100 / 0.3), 0, 1))


def _of_loss(thousandths: float) -> float:
    """Place on the loss gauge, 0 to 30 thousandths; kept on the gauge."""
    return float(np.clip(thousandths / 30, 0, 1))
