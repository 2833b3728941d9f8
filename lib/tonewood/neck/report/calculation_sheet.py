"""The whole chain in numbers: boards, section, relief under the strings, rod setting, and a year in the
client's room, necks side by side.

Every number of a column comes from the same draws: draw 7 of "relief, rod slack" is the neck whose rod, year
and weight are draw 7 as well.
"""

from dataclasses import dataclass, field

import numpy as np

from tonewood.neck.report.evaluation import even_stiffness
from tonewood.neck.load.joint import Joint
from tonewood.neck.load.setup import Setup
from tonewood.neck.load.relief import relief
from tonewood.neck.load.rod import Rod, set_rod
from tonewood.neck.seasons.year import year
from tonewood.neck.section.section import section

READ = 8
"""The fret at which relief is read and the rod is set."""


@dataclass(frozen=True)
class Link:
    """One number of the chain: step (boards, section, strings, rod or year), name, unit, decimals to print,
    and its value, a float or (D,), in that unit."""

    step: str
    name: str
    unit: str
    decimals: int
    value: object = field(repr=False)

    @property
    def band(self):
        """5, 50 and 95 % points (3,); three times the value if there is only one."""
        return np.percentile(self.value, [5, 50, 95]) if np.ndim(self.value) else np.full(3, float(self.value))

    def text(self):
        """'middle (low to high) unit'; the value alone where it does not vary."""
        low, middle, high = (f"{v + 0.0:.{self.decimals}f}".replace("-", "−") for v in np.round(self.band, self.decimals))
        return f"{middle} {self.unit}".strip() if low == high else f"{middle} ({low} to {high}) {self.unit}".strip()


def links(neck, strings, place, rod=Rod(), target=0.0002, setup=Setup(), joint=Joint("neck-through"), **season):
    """Every Link of the chain for one neck, in order. neck: with draws, or single, its boards at the
    workshop's moisture. strings: StringSet; place and `season`: as for neck.seasons.year; target: relief (m)
    the rod is set to at fret READ. Raises ValueError."""
    board = neck.fretboard.board
    share = np.diff(np.clip(neck.layup.edges, -neck.outline.end_width / 2, neck.outline.end_width / 2)) / neck.outline.end_width
    stripes = neck.pieces[:-1]

    def mean(value):
        return sum(s * np.asarray(value(b)) for s, b in zip(share, stripes))

    parts = section(neck)
    at = int(np.argmin(np.abs(parts.x - float(neck.fret(READ)))))
    slack = relief(neck, strings, setup, joint)
    setting = set_rod(slack, rod, target, READ)
    gone = year(neck, place, setup_relief=target, points=13, **season)
    seen = 1e3 * (target + gone.relief)
    found = [
        Link("boards", "stiffness along the grain, mean of the stripes", "GPa", 1, 1e-9 * mean(lambda b: b.E_x)),
        Link("boards", "stiffness along the grain, fretboard", "GPa", 1, 1e-9 * np.asarray(board.E_x)),
        Link("boards", "density, mean of the stripes", "kg/m3", 0, mean(lambda b: b.rho)),
        Link("boards", "lengthwise movement per 1 % moisture, stripes less fretboard", "µm/m", 0,
             1e4 * (mean(lambda b: b.swelling_xyz[..., 0, 0]) - board.swelling_xyz[..., 0, 0])),
        Link("section", f"bending stiffness EI at fret {READ}", "N·m²", 0, parts.EI[..., at]),
        Link("section", "bending stiffness EI, one number for the whole neck", "N·m²", 0, even_stiffness(parts.here)),
        Link("section", "weight, nut to last fret", "g", 0, 1e3 * np.trapezoid(parts.mass_per_length, parts.x, axis=-1)),
        Link("strings", "pull of all strings", "N", 0, float(np.sum(strings.tension))),
        Link("strings", f"their moment at fret {READ}", "N·m", 2, slack.moment[..., int(np.argmin(np.abs(slack.x - float(neck.fret(READ)))))]),
        Link("strings", f"relief at fret {READ}, rod slack", "mm", 2, 1e3 * slack.at(READ)),
        Link("rod", f"effort that leaves {1e3 * target:.2f} mm", rod.unit.replace(" ", "·"), 2 if rod.action == "double" else 0, setting.effort),
        Link("rod", "turns from finger tight, at least", "", 2, setting.turns),
        Link("rod", "share of the limit to plan with", "%", 0, 100 * (1 - setting.reserve)),
    ]
    found += [Link("year", f"relief in {month}", "mm", 2, seen[..., t]) for t, month in enumerate(gone.month)][:-1]
    found.append(Link("year", f"relief a year on, {gone.month[-1]}", "mm", 2, seen[..., -1]))
    i = gone.widest
    found += [Link("year", f"predictable part of the change in {gone.month[i]}, the widest month", "mm", 2, 1e3 * float(gone.foreseen[i])),
              Link("year", "coin-toss part in that month", "mm", 2, 1e3 * np.asarray(gone.chance)[..., i])]
    if gone.share_up is not None:
        found.append(Link("year", "necks whose relief has risen then, of 100", "", 0, 100 * float(gone.share_up[i])))
    ends = np.median(gone.fret_end, axis=0) if gone.fret_end.ndim > 1 else gone.fret_end
    found.append(Link("year", f"fret ends stand out, each side, in {gone.month[int(np.argmax(ends))]}", "mm", 2, 1e3 * gone.fret_end[..., int(np.argmax(ends))]))
    return tuple(found)


@dataclass(frozen=True)
class Chain:
    """Necks side by side. necks: {name: tuple of Link}, see links."""

    necks: dict

    def rows(self):
        """[(step, name, unit, {neck: Link})] in order; a month that is the widest of one neck only has a row
        of its own."""
        order = dict.fromkeys((r.step, r.name, r.unit) for links in self.necks.values() for r in links)
        return [(*key, {name: r for name, links in self.necks.items() for r in links if (r.step, r.name, r.unit) == key}) for key in order]

    def table(self):
        """DataFrame: one row a number, for each neck its 5, 50 and 95 % points; rows by step, name and
        unit."""
        import pandas as pd
        index = pd.MultiIndex.from_tuples([row[:3] for row in self.rows()], names=["step", "number", "unit"])
        columns = {(name, point): [row[3][name].band[k] if name in row[3] else np.nan for row in self.rows()]
                   for name in self.necks for k, point in enumerate(("5 %", "middle", "95 %"))}
        return pd.DataFrame(columns, index=index)


def chain(necks, strings, place, **settings):
    """The chain of several necks, {name: Neck}; strings, place, settings: as for links. Returns Chain. Raises
    ValueError if there is no neck."""
    if not necks:
        raise ValueError("necks to compare: 0 given; accepted: at least one Neck by name")
    return Chain({name: links(neck, strings, place, **settings) for name, neck in necks.items()})
