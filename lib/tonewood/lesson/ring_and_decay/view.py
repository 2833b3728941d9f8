"""The picture of the ringing lesson: decay map above, the neck's modes at lower left, the chosen note's losses at lower right."""

import numpy as np
from matplotlib.collections import LineCollection, PolyCollection

from tonewood.panel import style
from tonewood.lesson.ring_and_decay.decay_map import DecayMap, key
from tonewood.panel.glyphs import Numbers
from tonewood.sound.dead_notes import mode_names

SHOWN = ("bending 1", "bending 2", "bending 3", "twist 1", "twist 2")
CAUSES = ("air", "string itself", "fret end (neck)", "bridge end (body)")
HEAD, TAIL = -0.170, 0.906          # m, ends of the instrument drawn


class RingView:
    """Draws once on a bare figure; `show` moves everything."""

    def __init__(self, fig):
        strings = ("6 E", "5 A", "4 D", "3 G", "2 B", "1 E")
        top = fig.add_axes((0.045, 0.535, 0.945, 0.41))
        self.map = DecayMap(top, strings, 22, "Seconds until each note has fallen by 60 dB (T60); rows are strings, columns are frets")
        key(top)
        self._modes(fig.add_axes((0.012, 0.03, 0.53, 0.35)))
        self._losses(fig.add_axes((0.69, 0.20, 0.17, 0.18)))
        self._gauges(fig.add_axes((0.69, 0.03, 0.215, 0.11)))

    def _modes(self, ax):
        ax.set(xlim=(HEAD - 0.26, TAIL + 0.70), ylim=(-0.6, len(SHOWN) - 0.4), xticks=[], yticks=[])
        ax.grid(False)
        for spine in ax.spines.values():
            spine.set_visible(False)
        ax.set_title("The neck's own vibrations: shape, pitch", fontsize=10, pad=4)
        for row, name in enumerate(SHOWN):
            y = len(SHOWN) - 1 - row
            ax.text(HEAD - 0.02, y, name, ha="right", va="center", fontsize=9)
            ax.plot([HEAD, TAIL], [y, y], color="#cccccc", lw=0.8, zorder=0)
        for x, label in ((0.0, "nut"), (0.324, "fret 12"), (0.466, "22"), (0.648, "bridge")):
            ax.plot([x, x], [-0.45, len(SHOWN) - 0.55], color="#cccccc", lw=0.8, zorder=0)
            ax.text(x, -0.5, label, fontsize=8.5, ha="center", va="top", color="#444444")
        self.shapes = LineCollection([], linewidths=2.0, zorder=3)
        ax.add_collection(self.shapes, autolim=False)
        self.pitches = Numbers(ax, 9, "left")

    def _losses(self, ax):
        ax.set(xlim=(0, 100), ylim=(-0.6, 3.6), yticks=range(4), xticks=[0, 25, 50, 75, 100])
        ax.set_yticklabels(CAUSES[::-1])
        ax.set_xticklabels(["0", "25", "50", "75", "100 %"])
        ax.tick_params(labelsize=9, length=0, pad=3)
        ax.grid(False, axis="y")
        ax.set_title("Where the energy of the note goes", fontsize=10, pad=4, x=-0.77)
        self.bars = PolyCollection([], facecolors=style.BLUE, alpha=0.55, edgecolors="none", zorder=2)
        self.bands = LineCollection([], colors="black", linewidths=1.5, zorder=3)
        self.before = LineCollection([], colors=style.GREY, linestyles=[(0, (2.5, 1.5))], linewidths=2.0, zorder=4)
        for artist in (self.bars, self.bands, self.before):
            ax.add_collection(artist, autolim=False)
        self.shares = Numbers(ax, 9, "left")

    def _gauges(self, ax):
        """Two rows on one axes from 0 to 1, each with its own scale: T60 of the note (doubling steps), loss factor of the main wood."""
        ax.set(xlim=(0, 1), ylim=(-0.95, 1.45), yticks=[0, 1], xticks=[])
        ax.set_yticklabels(["loss factor, main wood", "T60 of the note"])
        ax.tick_params(labelsize=9, length=0, pad=3)
        ax.grid(False)
        ax.spines["bottom"].set_visible(False)
        for value in (0.5, 1, 2, 4, 8, 16, 32, 64):
            ax.plot([_of_time(value)] * 2, [0.70, 1.40], color="#e4e4e4", lw=0.8, zorder=0)
            ax.text(_of_time(value), 0.62, "64 s" if value == 64 else f"{value:g}", fontsize=8.5, ha="center", va="top", color="#444444")
        for value in (0, 5, 10, 15, 20, 25, 30):
            ax.plot([_of_loss(value)] * 2, [-0.35, 0.32], color="#e4e4e4", lw=0.8, zorder=0)
            ax.text(_of_loss(value), -0.42, f"{value:g}", fontsize=8.5, ha="center", va="top", color="#444444")
        ax.text(1.05, -0.57, "1/1000", fontsize=8.5, va="center")
        ax.text(1.05, 1.0, "dotted: the\nstring alone", fontsize=8.5, va="center")
        self.spans = PolyCollection([], facecolors=style.BLUE, alpha=0.35, edgecolors="none", zorder=2)
        self.marks = LineCollection([], colors=[style.BLUE, style.BLACK, style.BLUE], linewidths=[3.0, 1.6, 3.0], linestyles=["-", ":", "-"], zorder=3)
        for artist in (self.spans, self.marks):
            ax.add_collection(artist, autolim=False)

    # ---- moving
    def show(self, now, values, loss, earlier=None):
        """now: Found; values: of the controls; loss: (low, value, high) of the main wood in thousandths; earlier: (Decay, shares in % (4,)) of the
        ghost, or None."""
        s, f = values["string"], int(values["fret"])
        self.map.show(now.map, now.span, (s, f), earlier and earlier[0])
        self._show_modes(now, int(now.map.mode[s, f]))
        rows = np.arange(4)
        share = 100 * now.map.share_by_cause[::-1, s, f]
        low, high = np.percentile(100 * now.note.share_by_cause[:, ::-1, 0, 0], [5, 95], axis=0)
        self.bars.set_verts([_rectangle(0, v, y - 0.32, y + 0.32) for v, y in zip(share, rows)])
        self.bands.set_segments([line for a, b, y in zip(low, high, rows) for line in ([(a, y), (b, y)], [(a, y - .16), (a, y + .16)], [(b, y - .16), (b, y + .16)])])
        self.shares.show(np.full(4, 103.0), rows, [f"{v:.0f} % ({a:.0f} to {b:.0f})" for v, a, b in zip(share, low, high)])
        self.before.set_segments([] if earlier is None else [[(v, y - 0.42), (v, y + 0.42)] for v, y in zip(earlier[1][::-1], rows)])
        low, _, high = np.ravel(now.note.band())
        self.spans.set_verts([_rectangle(_of_time(low), _of_time(high), 0.72, 1.28), _rectangle(_of_loss(loss[0]), _of_loss(loss[2]), -0.28, 0.28)])
        self.marks.set_segments([[(v, y - .36), (v, y + .36)] for v, y in ((_of_time(now.map.t60[s, f]), 1), (_of_time(now.map.alone[s, f]), 1), (_of_loss(loss[1]), 0))])

    def _show_modes(self, now, engaged):
        names = mode_names(now.modes)
        drawn = np.percentile(now.drawn.all_at(0.0)[1], [5, 95], axis=0)
        lines, words, near = [], [], []
        for row, name in enumerate(SHOWN):
            k = names.index(name)
            kind, number = name.split()
            x, shape = (now.modes.x, now.modes.shape) if kind == "bending" else (now.modes.x, now.modes.twist_shape)
            shape = shape[int(number) - 1]
            y = len(SHOWN) - 1 - row
            lines.append(np.column_stack([x, y + 0.38 * shape / np.max(np.abs(shape)) * np.sign(shape[0])]))
            near.append(k == engaged)
            words.append(f"{now.map.mode_frequency[k]:.0f} Hz ({drawn[0, k]:.0f} to {drawn[1, k]:.0f})" + ("  this note" if k == engaged else ""))
        self.shapes.set_segments(lines)
        self.shapes.set_color([style.BLUE if n else style.GREY for n in near])
        self.shapes.set_linewidths([3.0 if n else 1.5 for n in near])
        self.pitches.show(np.full(len(words), TAIL + 0.02), len(SHOWN) - 1 - np.arange(len(words)), words)


def _rectangle(left, right, bottom, top):
    return np.array([(left, bottom), (right, bottom), (right, top), (left, top)])


def _of_time(seconds):
    """Place on the time gauge, 0.3 to 100 s in doubling steps; kept on the gauge."""
    return float(np.clip(np.log(seconds / 0.3) / np.log(100 / 0.3), 0, 1))


def _of_loss(thousandths):
    """Place on the loss gauge, 0 to 30 thousandths; kept on the gauge."""
    return float(np.clip(thousandths / 30, 0, 1))
