"""The attack to listen to: pairs of computed sounds, players for them, and a booth for the blind test."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

import ipywidgets

from tonewood import files
from tonewood.lesson.first_moment.model import build
from tonewood.lesson.first_moment.pair import FLEXIBLE, NECKS, STIFF, most_different
from tonewood.lesson.shared.listening import BlindListening, Players
from tonewood.lesson.shared.listening_words import LISTENER
from tonewood.lesson.shared.notes_played import STROKE, note, played
from tonewood.lesson.shared.shop import NECK_12
from tonewood.neck.design import Design
from tonewood.panel import style
from tonewood.panel.asked import page
from tonewood.panel.boxes import buttons, panel
from tonewood.panel.controls import pick, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.page import Shown, table
from tonewood.panel.questions import Prediction
from tonewood.panel.reruns import replace_older
from tonewood.remember import remember
from tonewood.sound.blind import BlindResult, chance_to_pass, needed, trials_needed
from tonewood.sound.pluck import Pluck
from tonewood.sound.record import load_tests
from tonewood.sound.render import Mix, render, sequence

RUN = ((5, 0), (5, 3), (4, 0), (4, 2), (3, 0), (3, 2))
"""An ordinary run of notes, (string, fret)."""
GAP = 0.4
NEAR, FAR = 45.0, 160.0
"""The two places of the pick that anybody should tell apart, mm from the bridge."""
TRIALS = 12
"""Trials of a test to start with."""
RECORD = "my_record.json"
GUESS = (f"A blind test of {TRIALS} trials, an ordinary run of notes, wenge neck against limba neck. How "
         "many of your answers will be right?")
"""The guess made before the blind test."""
SLIDERS = "the sliders against their ghost"


def _run(design: Design) -> Mix:
    starts = [GAP * i for i in range(len(RUN))]
    end = starts[-1] + 1.0
    # a string sounds until it is played again
    until = [next((t for t, (s, _) in zip(starts[i + 1:], RUN[i + 1:], strict=True) if s == string), end)
             for i, (string, _) in enumerate(RUN)]
    return sequence([played(note(design, *place), duration=stop - start)
                     for place, start, stop in zip(RUN, starts, until, strict=True)], starts)


@remember(8)
def sounds(pair: str) -> dict[str, Pluck | Mix]:
    """The two sounds of a pair by their names. pair: a key of PAIRS."""
    if pair == "pick":
        return {f"pick {place:.0f} mm from the bridge": played(note(NECK_12, 4, 5), pick=place)
                for place in (NEAR, FAR)}
    if pair == "run":
        return {name: _run(design) for name, design in NECKS.items()}
    return {name: played(most_different(name)) for name in NECKS}


PAIRS = {"pick": ("warm-up: pick near the bridge or far",
                  "The same neck, string and pull; only the place of the pick differs"),
         "run": ("two necks, a run of notes",
                 f"{STIFF} against {FLEXIBLE}: the same stroke on six ordinary notes"),
         "note": ("two necks, the note they differ on most",
                  f"{STIFF} against {FLEXIBLE} on the note whose first 200 ms differ most")}
_OPTIONS = [(shown, key) for key, (shown, _) in PAIRS.items()]


class Listening:
    """Players for the pairs, and for what the sliders of a live figure show. `.compare`, `.match` (controls),
    `.players`, `.take_over()`, `.widget`."""

    def __init__(self, live: LiveFigure | None = None) -> None:
        self.live, sliders = live, live is not None
        self.compare = pick("Compare", _OPTIONS + ([(SLIDERS, "sliders")] if sliders else []))
        self.match = switch("Match the levels", False)
        self.players = Players(render(self._sounds()), PAIRS["pick"][1])
        row = [buttons(Take_over_what_the_sliders_show=self.take_over)] if sliders else []
        self.widget = ipywidgets.VBox([panel([self.compare, self.match], *row, explain=False),
                                       self.players.widget], layout={"width": "100%"})
        for control in (self.compare, self.match):
            control.observe(self._renew, names="value")
        replace_older(self)

    def take_over(self) -> None:
        """Render the present slider setting and its ghost (the start values if no ghost is kept) and put them
        into the players."""
        if self.compare.value == "sliders":
            self._renew()
        else:
            self.compare.value = "sliders"

    def _sounds(self) -> dict[str, Pluck | Mix]:
        live = self.live
        if self.compare.value != "sliders":
            return sounds(self.compare.value)
        start = {name: control.default for name, control in live.controls.items()}
        named = {"sliders now": live.values, "ghost" if live.held else "start values": live.held or start}
        found = {}
        for name, v in named.items():
            moved = {"subject": live.subject, **v}
            design = build(moved.pop("subject"), **moved)
            of = note(design, v["string"], v["fret"])
            found[f"{name}, {of.name}"] = played(of, v["age"], **{n: v[n] for n in STROKE})
        return found

    def _renew(self, change: Any = None) -> None:
        sliders = "What the sliders above show, and what it is compared with"
        about = PAIRS.get(self.compare.value, (None, sliders))[1]
        self.players.show(render(self._sounds(), match_levels=self.match.value), about)

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> tuple[dict[str, Any], dict]:
        kept, said = self.players._repr_mimebundle_()
        return {**kept, **self.widget._repr_mimebundle_(), "text/plain": kept["text/plain"]}, said


class Booth:
    """The blind test with a choice of pair, level matching and the file that keeps the results.

    `.compare`, `.match`, `.number` (of trials; controls), `.file` (text widget), `.kept_in` (what is said of
    it), `.heard` (the BlindListening under way), `.widget`. Changing pair, matching or trials begins anew.
    """

    def __init__(self, trials: int = TRIALS, seed: int | None = None,
                 record: str | Path | None = RECORD) -> None:
        self._seed = seed
        self.compare = pick("Compare blind", _OPTIONS)
        self.match = switch("Match the levels", True)
        self.number = pick("Trials", [(str(n), n) for n in sorted({trials, *offered()})], trials)
        self.file = ipywidgets.Text(
            value=str(record or ""), description="Keep results in", continuous_update=False,
            style={"description_width": "initial"}, layout={"width": "auto", "max_width": "420px"})
        self.said, self.kept_in = ipywidgets.HTML(), ipywidgets.HTML()
        self._place = ipywidgets.VBox()
        above = panel([self.compare, self.match, self.number], self.file, self.kept_in, self.said,
                      explain=False)
        self.widget = ipywidgets.VBox([above, self._place], layout={"width": "100%"})
        self._renew()
        self._take_file()
        for control in (self.compare, self.match, self.number):
            control.observe(self._renew, names="value")
        self.file.observe(self._take_file, names="value")
        replace_older(self)

    def _path(self) -> str | None:
        return self.file.value.strip() or None

    def _take_file(self, change: Any = None) -> None:
        """Keep results in the file named, and say at once what will come of it: never in the earlier one."""
        path = self.heard.record = self._path()
        try:
            words = "Nothing is kept." if path is None else f"Results go into {path}, a new file."
            if path is not None and files.place(path).exists():
                words = f"Results go into {path}, where {len(load_tests(path))} stand already."
            elif path is not None and not files.place(path).parent.is_dir():
                raise ValueError(f"{path}: there is no such folder; make it first, or choose another")
        except ValueError as problem:
            self.kept_in.value = style.alarm(f"Nothing can be kept there. {problem}.")
        else:
            self.kept_in.value = style.says(escape(words))

    def _renew(self, change: Any = None) -> None:
        pair, trials = sounds(self.compare.value), self.number.value
        self.said.value = (
            f"<p class='tonewood-says'>{power_said(trials)} The file lies in the folder of this notebook "
            "unless you name another; leave it empty to keep nothing. A change of pair, matching or trials "
            "begins a new test, and an unfinished one is not kept.</p>")
        self.heard = BlindListening(render(pair, match_levels=self.match.value), *pair, trials=trials,
                                    seed=self._seed, record=self._path(), guess=self._guessed)
        self._place.children = (self.heard.widget,)

    def _guessed(self, result: BlindResult) -> str:
        """What became of the guess of one's own score, where this is the test it was made for."""
        asked = page.find(GUESS)
        meant = self.compare.value == "run" and result.trials == TRIALS
        return asked.settle(result.right) if meant and isinstance(asked, Prediction) else ""

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> tuple[dict[str, Any], dict]:
        return {**self.widget._repr_mimebundle_(), "text/plain": f"[{self.heard.words()}]"}, {}


def offered() -> tuple[int, ...]:
    """Numbers of trials to choose from; the third is the fewest with which 80 of 100 listeners of this hit
    rate pass."""
    return TRIALS, 16, trials_needed(LISTENER), 30, 40


def power_said(trials: int) -> str:
    """What a test of so many trials can tell, in words."""
    return (f"{trials} trials, fixed before you start; {needed(trials)} right are needed, which one guesser "
            f"in {1 / chance_to_pass(0.5, trials):.0f} reaches. A listener who is right {100 * LISTENER:.0f} "
            f"% of the time fails in {100 * (1 - chance_to_pass(LISTENER, trials)):.0f} of 100 such tests.")


def trials_table() -> Shown:
    """What blind tests of several lengths can tell: right answers needed, lucky guessers, and who fails.
    Returns a table to show."""
    rates = (0.6, LISTENER, 0.9)
    rows = [(n, needed(n), f"1 in {1 / chance_to_pass(0.5, n):.0f}",
             *(f"{100 * (1 - chance_to_pass(rate, n)):.0f}" for rate in rates)) for n in (*offered(), 100)]
    head = ("trials", "right needed", "guessers who pass",
            *(f"of 100 listeners right {100 * rate:.0f} % of the time, fail" for rate in rates))
    return table(head, rows, f"Computed, binomial. {trials_needed(LISTENER)} trials are the fewest with "
                 f"which 80 of 100 listeners who are right {100 * LISTENER:.0f} % of the time pass.")


def listen(live: LiveFigure | None = None) -> Listening:
    """Players for the pairs of this lesson and for the live figure given; last line of a cell."""
    return Listening(live)


def blind_test(trials: int = TRIALS, seed: int | None = None, record: str | Path | None = RECORD) -> Booth:
    """The booth. trials: fixed before the start; seed: draws the order, secret if None; record: file that
    keeps results, None for none."""
    return Booth(trials, seed, record)
