"""The attack to listen to: pairs of computed sounds, players for them, and a booth for the blind test."""

from functools import lru_cache
from pathlib import Path

import ipywidgets

from tonewood.lesson.first_moment.figure import defaults
from tonewood.lesson.first_moment.model import note_name, played
from tonewood.lesson.first_moment.pair import FLEXIBLE, NECKS, STIFF, STROKE, most_different
from tonewood.panel.controls import buttons, panel, pick, switch
from tonewood.lesson.shared.listening import BlindListening, Players
from tonewood.sound.blind import needed
from tonewood.sound.render import render, sequence

SECONDS = 2.0
RUN = ((5, 0), (5, 3), (4, 0), (4, 2), (3, 0), (3, 2))
"""An ordinary run of notes, (string, fret)."""
GAP = 0.4
NEAR, FAR = 45.0, 160.0
"""The two places of the pick that anybody should tell apart, mm from the bridge."""
TRIALS = 12
RECORD = "my_record.json"
SLIDERS = "the sliders against their ghost"


def _note(design, string, fret, seconds=SECONDS, age=0.0, **changes):
    return played(design, string, fret, age, seconds, **{name: value for name, value in {**defaults(), **changes}.items() if name in STROKE})[1]


def _run(design):
    starts = [GAP * i for i in range(len(RUN))]
    end = starts[-1] + 1.0
    until = [next((t for t, (s, _) in zip(starts[i + 1:], RUN[i + 1:]) if s == string), end) for i, (string, _) in enumerate(RUN)]
    return sequence([_note(design, string, fret, stop - start) for (string, fret), start, stop in zip(RUN, starts, until)], starts)


@lru_cache(maxsize=8)
def sounds(pair):
    """The two sounds of a pair, {name: Pluck or Mix}. pair: a key of PAIRS."""
    if pair == "pick":
        design = {name: defaults()[name] for name in ("wood", "stripes", "depth")}
        return {f"pick {place:.0f} mm from the bridge": _note(design, 4, 5, pick=place) for place in (NEAR, FAR)}
    if pair == "run":
        return {name: _run(design) for name, design in NECKS.items()}
    string, fret = most_different()
    return {name: _note(design, string, fret) for name, design in NECKS.items()}


PAIRS = {
    "pick": ("warm-up: pick near the bridge or far", "The same neck, string and pull; only the place of the pick differs"),
    "run": ("two necks, a run of notes", f"{STIFF} against {FLEXIBLE}: the same stroke on six ordinary notes"),
    "note": ("two necks, the note they differ on most", f"{STIFF} against {FLEXIBLE} on the note whose first 200 ms differ most"),
}
_OPTIONS = [(shown, key) for key, (shown, _) in PAIRS.items()]


class Listening:
    """Players for the pairs, and for what the sliders of a live figure show. `.compare`, `.match` (controls), `.players`, `.take_over()`, `.widget`."""

    def __init__(self, live=None):
        self.live = live
        self.compare = pick("Compare", _OPTIONS + ([(SLIDERS, "sliders")] if live is not None else []))
        self.match = switch("Match the levels", False)
        self.players = Players(render(self._sounds()), PAIRS["pick"][1])
        row = [buttons(Take_over_what_the_sliders_show=self.take_over)] if live is not None else []
        self.widget = ipywidgets.VBox([panel([self.compare, self.match], *row, explain=False), self.players.widget], layout={"width": "100%"})
        for control in (self.compare, self.match):
            control.observe(self._renew, names="value")

    def take_over(self):
        """Render the present slider setting and its ghost (the start values if no ghost is kept) and put them into the players."""
        if self.compare.value == "sliders":
            self._renew()
        else:
            self.compare.value = "sliders"

    def _sounds(self):
        if self.compare.value != "sliders":
            return sounds(self.compare.value)
        ghost = self.live.held or {name: control.default for name, control in self.live.controls.items()}
        named = {"sliders now": self.live.values, "ghost" if self.live.held else "start values": ghost}
        return {f"{name}, {note_name(v['string'], v['fret'])}": _note({k: v[k] for k in ("wood", "stripes", "depth")}, v["string"], v["fret"], SECONDS, v["age"], **{k: v[k] for k in STROKE})
                for name, v in named.items()}

    def _renew(self, change=None):
        about = PAIRS[self.compare.value][1] if self.compare.value in PAIRS else "What the sliders above show, and what it is compared with"
        self.players.show(render(self._sounds(), match_levels=self.match.value), about)

    def _repr_mimebundle_(self, include=None, exclude=None):
        return {**self.widget._repr_mimebundle_(), "text/plain": f"[sound: {self.players.words()}]"}, {}


class Booth:
    """The blind test with a choice of pair, level matching and the file that keeps the results.

    `.compare`, `.match` (controls), `.file` (text widget), `.heard` (the BlindListening under way), `.widget`. Changing pair or matching begins anew.
    """

    def __init__(self, trials=TRIALS, seed=None, record=RECORD):
        self.trials, self._seed = trials, seed
        self.compare = pick("Compare blind", _OPTIONS)
        self.match = switch("Match the levels", True)
        self.file = ipywidgets.Text(value=str(record or ""), description="Keep results in", continuous_update=False, style={"description_width": "initial"},
                                    layout={"width": "auto", "max_width": "420px"})
        said = ipywidgets.HTML(f"<p class='tonewood-says'>{trials} trials, fixed before you start; {needed(trials)} right are needed. The file lies in the folder of this notebook unless "
                               "you name another; leave it empty to keep nothing. A change of pair or matching begins a new test, and an unfinished one is not kept.</p>")
        self._place = ipywidgets.VBox()
        self.widget = ipywidgets.VBox([panel([self.compare, self.match], self.file, said, explain=False), self._place], layout={"width": "100%"})
        self._renew()
        for control in (self.compare, self.match):
            control.observe(self._renew, names="value")
        self.file.observe(lambda change: setattr(self.heard, "record", self._path()), names="value")

    def _path(self):
        return Path(self.file.value.strip()).expanduser() if self.file.value.strip() else None

    def _renew(self, change=None):
        pair = sounds(self.compare.value)
        self.heard = BlindListening(render(pair, match_levels=self.match.value), *pair, trials=self.trials, seed=self._seed, record=self._path())
        self._place.children = (self.heard.widget,)

    def _repr_mimebundle_(self, include=None, exclude=None):
        return {**self.widget._repr_mimebundle_(), "text/plain": f"[{self.heard.words()}]"}, {}


def listen(live=None):
    """Players for the pairs of this lesson and for the live figure given. Returns a Listening; last line of a cell."""
    return Listening(live)


def blind_test(trials=TRIALS, seed=None, record=RECORD):
    """The booth. trials: fixed before the start; seed: draws the order, secret if None; record: file that keeps results, None for none. Returns a Booth."""
    return Booth(trials, seed, record)
