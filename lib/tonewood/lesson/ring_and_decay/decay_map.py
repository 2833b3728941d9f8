"""The map of strings and frets: how long each note rings, in colour and in figures, dead and ringing notes by
their signs."""

from __future__ import annotations

import numpy as np
from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.colors import to_rgba
from matplotlib.legend import Legend
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from numpy.typing import ArrayLike, NDArray

from tonewood.lesson.ring_and_decay.model import open_notes
from tonewood.panel import stacking, style
from tonewood.panel.quick_text import Numbers
from tonewood.panel.theme import FIXED_BLACK, FIXED_WHITE
from tonewood.sound.decay import DEAD, Decay

Array = NDArray[np.float64]

# Each step of colour is twice as long as the one before. The scale grows evenly lighter, also for eyes that
# see no red or no green.

STEPS = (1, 2, 4, 8, 16, 32)
SHADES = colormaps["cividis"](np.linspace(0.0, 1.0, len(STEPS) + 1))
STEP_NAMES = ("under 1 s", "1 to 2", "2 to 4", "4 to 8", "8 to 16", "16 to 32", "over 32 s")
EARLIER = {"color": "black", "linestyle": (0, (2.5, 1.5)), "linewidth": 1.8}


def shade(seconds: ArrayLike) -> NDArray[np.intp]:
    """Index of the colour step of each T60 (s), 0 … len(STEPS)."""
    return np.searchsorted(STEPS, seconds, side="right")


def in_the_map(seconds: float) -> str:
    """T60 as it stands in the map: one decimal below 10 s, whole seconds above."""
    return f"{seconds:.1f}" if seconds < 9.95 else f"{seconds:.0f}"


def _ink(colours: Array) -> Array:
    """Black or white, whichever is easier to read on each colour (relative luminance of WCAG 2.2)."""
    rgb = colours[:, :3]
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return np.where((linear @ [0.2126, 0.7152, 0.0722] > 0.18)[:, None], [to_rgba(FIXED_BLACK)],
                    [to_rgba(FIXED_WHITE)])


INK = _ink(SHADES)


def rectangle(left: float, right: float, bottom: float, top: float) -> Array:
    """Corners (5, 2) of a rectangle, the first one again at the end."""
    return np.array([(left, bottom), (right, bottom), (right, top), (left, top), (left, bottom)])


def _around(fret: float, string: float, half: float) -> Array:
    return rectangle(fret - half, fret + half, string - half, string + half)


def _marks(colour: str, size: float) -> Line2D:
    return Line2D([], [], linestyle="none", marker="o", markersize=size, markerfacecolor="none",
                  markeredgewidth=0.9, markeredgecolor=colour, zorder=4)


def _dead(small: bool = False) -> Line2D:
    return Line2D([], [], linestyle="none", marker="X", markersize=6 if small else 8,
                  markerfacecolor=style.VERMILLION, markeredgecolor="white", zorder=6,
                  label=f"dead: at least {DEAD:g} dB/s faster{chr(10) if small else ' '}than the frets "
                        "beside")


class DecayMap:
    """Draws strings × frets on `ax`, the bass string at the bottom as the player looks down; `show` colours,
    numbers and marks them. A map of other strings or more frets is laid out anew. half: 0 for its low frets
    only, 1 for its high ones."""

    def __init__(self, ax: Axes, title: str = "", half: int | None = None) -> None:
        self._ax, self._layout, self._half = ax, None, half
        ax.tick_params(length=0, pad=2)
        ax.set(xticks=[], yticks=[])
        ax.grid(False)
        ax.spines[:].set_visible(False)
        stacking.title(ax, title, pad=6)
        self.cells = PolyCollection([], edgecolors="none", zorder=1)
        self.numbers = Numbers(ax, zorder=3)
        small = half is not None
        self.dead, self.ringing, self.ringing_light = _dead(small), *(
            _marks(colour, 2.6 if small else 3.4) for colour in (FIXED_BLACK, FIXED_WHITE))
        self.frames = LineCollection([], colors=style.VERMILLION, linewidths=1.8 if small else 2.6, zorder=5)
        self.halo = LineCollection([], colors="white", linewidths=2.8 if small else 5.0, zorder=2)
        self.range_halo = LineCollection([], colors="white", linewidths=4.0, zorder=6.5)
        self.range = LineCollection([], colors="black", linewidths=1.5, zorder=7)
        self.earlier = LineCollection([], colors=EARLIER["color"], linestyles=[EARLIER["linestyle"]],
                                      linewidths=EARLIER["linewidth"], zorder=8)
        self.chosen = Line2D([], [], color=style.BLACK, linewidth=2.6, zorder=9)
        for lines in (self.dead, self.ringing, self.ringing_light, self.chosen):
            ax.add_line(lines)
        for boxes in (self.cells, self.frames, self.halo, self.range, self.range_halo, self.earlier):
            ax.add_collection(boxes, autolim=False)

    def _lay_out(self, decay: Decay) -> None:
        notes, (strings, frets) = open_notes(decay), decay.t60.shape
        if self._layout == (notes, frets):
            return
        self._layout = notes, frets
        wide = frets if self._half is None else (frets + 1) // 2
        first = (self._half or 0) * wide
        self._ax.set(xlim=(first - 0.56, first + wide - 0.44), ylim=(-0.56, strings - 0.44))
        self._ax.set_yticks(range(strings), [f"{strings - i} {note}" for i, note in enumerate(notes)])
        shown = range(first, min(first + wide, frets))
        self._ax.set_xticks(shown, [str(fret) if fret else "0" if wide < frets else "open" for fret in shown])
        self.y, self.x = (v.ravel().astype(float) for v in np.indices((strings, frets)))
        self._here = (self.x >= first) & (self.x < first + wide)
        self.cells.set_verts([_around(x, y, 0.47) for x, y in zip(self.x, self.y, strict=True)])

    def show(self, decay: Decay, span: Array | None = None, chosen: tuple[int, int] | None = None,
             earlier: Decay | None = None) -> None:
        """decay: of one instrument; span: low and high fret (2, S, F) of each dead note; chosen: (string,
        fret) framed; earlier: Decay of another whose dead notes are framed dashed, if it has as many strings
        and frets."""
        self._lay_out(decay)
        seconds, dead, ringing = decay.t60.ravel(), decay.dead.ravel(), decay.ringing.ravel()
        step = shade(seconds)
        self.cells.set_facecolor(SHADES[step])
        here = self._here
        small = self._half is not None                    # its cells are no wider than their numbers
        down, corner, edge, low = (-0.06, 0.38, 0.47, 0.38) if small else (0.02, 0.33, 0.43, 0.34)
        self.numbers.show(self.x[here], self.y[here] + down, [in_the_map(t) for t in seconds[here]],
                          INK[step[here]])
        dead, ringing = dead & here, ringing & here
        frames = [_around(x, y, edge) for x, y in zip(self.x[dead], self.y[dead], strict=True)]
        self.frames.set_segments(frames)
        self.halo.set_segments(frames)
        self.dead.set_data(self.x[dead] + corner - 0.03, self.y[dead] + corner - 0.03)
        dark = INK[step][:, 0] > 0.5
        for marks, here in ((self.ringing, ringing & ~dark), (self.ringing_light, ringing & dark)):
            marks.set_data(self.x[here] + corner, self.y[here] + corner)
        spans = []
        for s, f in np.argwhere(decay.dead) if span is not None else ():
            spans += whisker(*np.clip(span[:, s, f], -0.5, decay.t60.shape[1] - 0.5), s - low,
                             0.44 - low)
        self.range.set_segments(spans)
        self.range_halo.set_segments(spans)
        alike = earlier is not None and earlier.dead.shape == decay.dead.shape
        self.earlier.set_segments([_around(f, s, 0.35) for s, f in np.argwhere(earlier.dead)]
                                  if alike else [])
        self.chosen.set_data(*(np.transpose(_around(chosen[1], chosen[0], 0.50))
                               if chosen is not None else ([], [])))


def whisker(low: float, high: float, y: float, cap: float) -> list[Array]:
    """A line from low to high at y with end caps, as three segments."""
    return [np.array([(low, y), (high, y)])] + [np.array([(x, y - cap), (x, y + cap)]) for x in (low, high)]


def key(ax: Axes, span: bool = True, earlier: str = "dead in the ghost") -> None:
    """Legends below the map: the colour steps and the signs. Drawn once, part of the backdrop. span: with the
    whiskers; earlier: words for dashed frames."""
    slim = stacking.narrow(ax.get_figure())
    steps = [Patch(facecolor=c, edgecolor="#777777", label=name)
             for c, name in zip(SHADES, STEP_NAMES, strict=True)]
    signs = [_dead(slim), Line2D([], [], linestyle="none", marker="o", markersize=4, markerfacecolor="none",
                             markeredgecolor="black", label="ringing"),
             Line2D([], [], color=style.BLACK, linewidth=2.6, label="note looked at")]
    if span:
        signs.append(Line2D([], [], color="black", linewidth=1.5, marker="|", markersize=7,
                            label="where it may lie"))
    signs.append(Line2D([], [], label=earlier, **EARLIER))
    tall = 100 * ax.get_figure().get_figheight() * ax.get_position(original=True).height
    look = {"loc": "upper left", "frameon": False, "handletextpad": 0.4, "columnspacing": 0.45,
            "borderpad": 0.1}
    rows = ((steps, 21, 1.1, 4), (signs[:1], 64, 1.2, 1), (signs[1:], 104, 1.2, 2)) if slim else (
        (steps, 21, 1.1, len(steps)), (signs[:2], 42, 1.2, 2), (signs[2:], 62, 1.2, len(signs) - 2))
    for handles, below, length, columns in rows:
        # made without ax.legend, which would keep the last one and draw it twice
        ax.add_artist(Legend(ax, handles, [h.get_label() for h in handles], ncols=columns,
                             bbox_to_anchor=(-0.08 if slim else -0.005, -below / tall),
                             bbox_transform=ax.transAxes, handlelength=length, borderaxespad=0.0, **look))
