"""The map of strings and frets: how long each note rings, in colour and in figures, dead and ringing notes by their signs."""

import numpy as np
from matplotlib import colormaps
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from tonewood.panel import style
from tonewood.panel.glyphs import Numbers

# Each step of colour is twice as long as the one before. The scale grows evenly lighter, also for eyes that see no red or no green.
STEPS = (1, 2, 4, 8, 16, 32)
SHADES = tuple(tuple(c) for c in colormaps["cividis"](np.linspace(0.0, 1.0, len(STEPS) + 1)))
STEP_NAMES = ("under 1 s", "1 to 2", "2 to 4", "4 to 8", "8 to 16", "16 to 32", "over 32 s")


def shade(seconds):
    """Index of the colour step of each T60 (s), 0 … len(STEPS)."""
    return np.searchsorted(STEPS, seconds, side="right")


def written(seconds):
    """T60 as it stands in the map: one decimal below 10 s, whole seconds above."""
    return f"{seconds:.1f}" if seconds < 9.95 else f"{seconds:.0f}"


def _ink(colours):
    """Black or white, whichever is easier to read on each colour (relative luminance of WCAG 2.2)."""
    rgb = np.asarray(colours)[:, :3]
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return np.where((linear @ [0.2126, 0.7152, 0.0722] > 0.18)[:, None], [[0, 0, 0, 1.0]], [[1.0, 1, 1, 1]])


INK = _ink(SHADES)


class DecayMap:
    """Draws strings × frets on `ax` once; `show` colours, numbers and marks them. `.artists` are what moves.

    strings: names bass to treble, the bass string at the bottom as the player looks down; frets: the last fret, 0 is the open string.
    """

    def __init__(self, ax, strings, frets, title="", size=9.0):
        self.S, self.F = len(strings), frets + 1
        ax.set(xlim=(-0.56, frets + 0.56), ylim=(-0.56, self.S - 0.44), yticks=range(self.S), xticks=range(self.F))
        ax.set_yticklabels(strings)
        ax.set_xticklabels(["open"] + [str(n) for n in range(1, self.F)])
        ax.tick_params(length=0, labelsize=9, pad=2)
        ax.grid(False)
        for spine in ax.spines.values():
            spine.set_visible(False)
        ax.set_title(title, fontsize=11, pad=6)
        s, f = (v.ravel() for v in np.meshgrid(np.arange(self.S), np.arange(self.F), indexing="ij"))
        self.x, self.y = f.astype(float), s.astype(float)
        self.cells = PolyCollection([_box(x, y, 0.47) for x, y in zip(self.x, self.y)], edgecolors="none", zorder=1)
        self.numbers = Numbers(ax, size, zorder=3)
        self.dead = Line2D([], [], linestyle="none", marker="X", markersize=8, markerfacecolor=style.VERMILLION, markeredgecolor="white", zorder=6)
        self.frames = LineCollection([], colors=style.VERMILLION, linewidths=2.6, zorder=5)
        self.halo = LineCollection([], colors="white", linewidths=5.0, zorder=4.5)
        self.ringing = Line2D([], [], linestyle="none", marker="o", markersize=3.4, markerfacecolor="none", markeredgewidth=0.9, zorder=4)
        self.ringing_light = Line2D([], [], linestyle="none", marker="o", markersize=3.4, markerfacecolor="none", markeredgewidth=0.9, zorder=4)
        self.ringing.set_markeredgecolor("black")
        self.ringing_light.set_markeredgecolor("white")
        self.range_halo = LineCollection([], colors="white", linewidths=4.0, zorder=6.5)
        self.range = LineCollection([], colors="black", linewidths=1.5, zorder=7)
        self.earlier = LineCollection([], colors="black", linestyles=[(0, (2.5, 1.5))], linewidths=1.8, zorder=8)
        self.chosen = Line2D([], [], color=style.BLACK, linewidth=2.6, zorder=9)
        self.artists = [self.cells, self.numbers.artist, self.dead, self.frames, self.halo, self.ringing, self.ringing_light, self.range, self.range_halo,
                        self.earlier, self.chosen]
        for artist in self.artists:
            if artist is self.numbers.artist:
                continue
            (ax.add_line if isinstance(artist, Line2D) else lambda a: ax.add_collection(a, autolim=False))(artist)

    def show(self, decay, span=None, chosen=None, earlier=None):
        """decay: Decay of one instrument; span: low and high fret (2, S, F) of each dead note, or None; chosen: (string, fret) framed, or None;
        earlier: another Decay whose dead notes are framed dashed, or None."""
        seconds, dead, ringing = decay.t60.ravel(), decay.dead.ravel(), decay.ringing.ravel()
        step = shade(seconds)
        self.cells.set_facecolor(np.asarray(SHADES)[step])
        self.numbers.show(self.x, self.y + 0.02, [written(t) for t in seconds], INK[step])
        frames = [_loop(x, y, 0.43) for x, y in zip(self.x[dead], self.y[dead])]
        self.frames.set_segments(frames)
        self.halo.set_segments(frames)
        self.dead.set_data(self.x[dead] + 0.30, self.y[dead] + 0.30)
        dark = INK[step][:, 0] > 0.5
        self.ringing.set_data(self.x[ringing & ~dark] + 0.33, self.y[ringing & ~dark] + 0.33)
        self.ringing_light.set_data(self.x[ringing & dark] + 0.33, self.y[ringing & dark] + 0.33)
        spans = [] if span is None else [whisker for s, f in np.argwhere(decay.dead) for whisker in _whisker(*span[:, s, f], s - 0.34, 0.10, self.F)]
        self.range.set_segments(spans)
        self.range_halo.set_segments(spans)
        self.earlier.set_segments([] if earlier is None else [_loop(f, s, 0.35) for s, f in np.argwhere(earlier.dead)])
        self.chosen.set_data(*(np.transpose(_loop(chosen[1], chosen[0], 0.50)) if chosen is not None else ([], [])))


def _box(x, y, half):
    return np.array([(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)])


def _loop(x, y, half):
    return np.vstack([_box(x, y, half), [(x - half, y - half)]])


def _whisker(low, high, y, cap, frets):
    """A line from low to high with end caps, kept on the map."""
    low, high = (min(max(v, -0.5), frets - 0.5) for v in (low, high))
    return [np.array([(low, y), (high, y)])] + [np.array([(x, y - cap), (x, y + cap)]) for x in (low, high)]


def key(ax, span=True, earlier="dead in the ghost"):
    """Legends below the map: the colour steps and the signs. Drawn once, part of the backdrop. span: with the whiskers; earlier: words for dashed frames."""
    steps = [Patch(facecolor=c, edgecolor="#777777", label=name) for c, name in zip(SHADES, STEP_NAMES)]
    signs = [Line2D([], [], linestyle="none", marker="X", markersize=8, markerfacecolor=style.VERMILLION, markeredgecolor="white", label="dead"),
             Line2D([], [], linestyle="none", marker="o", markersize=4, markerfacecolor="none", markeredgecolor="black", label="ringing"),
             Line2D([], [], color=style.BLACK, linewidth=2.6, label="note looked at")]
    if span:
        signs.append(Line2D([], [], color="black", linewidth=1.5, marker="|", markersize=7, label="where the dead note may lie"))
    signs.append(Line2D([], [], color="black", linewidth=1.8, linestyle=(0, (2.5, 1.5)), label=earlier))
    common = {"fontsize": 9, "handletextpad": 0.4, "columnspacing": 1.1, "borderaxespad": 0.0, "frameon": False}
    first = ax.legend(handles=steps, ncol=len(steps), loc="upper left", bbox_to_anchor=(-0.005, -0.085), handlelength=1.3, **common)
    ax.add_artist(first)
    ax.legend(handles=signs, ncol=len(signs), loc="upper left", bbox_to_anchor=(-0.005, -0.165), handlelength=1.8, **common)
