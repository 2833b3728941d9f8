"""Hearing the model: players in the page and a blind test the learner takes by keyboard or mouse.

Nothing plays by itself. Sounds travel to the page inside widgets; beside them a notebook keeps the pair first
shown, packed without loss, and its line of words, for readers who run nothing. A blind test keeps words only.
"""

from __future__ import annotations

import base64
import io
import os
import threading
from collections.abc import Callable, Sequence
from functools import partial
from html import escape
from typing import Any

import ipywidgets

from tonewood.lesson.shared.listening_words import levels_said, progress_said, result_said
from tonewood.panel import style
from tonewood.panel.boxes import button, row
from tonewood.panel.page import table
from tonewood.sound.blind import BlindResult, BlindTest, chance_to_pass, plan
from tonewood.sound.record import save_test
from tonewood.sound.render import Rendering

VOLUME = "Turn the volume down before the first sound, then up to a comfortable level."
SHEET = """
.tonewood-sound {margin:4px 0; max-width:32em}
.tonewood-sound figcaption {font-weight:600; line-height:1.5; color:var(--jp-content-font-color1,#000)}
.tonewood-sound figcaption small {font-weight:400; font-size:12px}
.tonewood-sound audio {width:100%; min-width:220px}
.tonewood-sound audio:focus-visible {outline:3px solid #0072B2; outline-offset:2px}
.tonewood-panel .tonewood-says {line-height:1.45}
.tonewood-panel button:is(.tonewood-answer, .tonewood-again).jupyter-button:focus-visible {
  outline:3px solid #0072B2; outline-offset:2px}
"""


def player(data: bytes, title: str, note: str = "", mark: Any = "") -> str:
    """Mark-up of one sound: caption and the browser's own controls, which work by keyboard. No autoplay, no
    loop.

    data: bytes of a WAV or FLAC file; title: what it is; note: small print beside it; mark: changes the
    mark-up without a visible trace, so that the page loads the sound anew. Returns HTML text; title and note
    are escaped.
    """
    title, note = escape(str(title)), escape(str(note))
    kind, source = "flac" if data.startswith(b"fLaC") else "wav", base64.b64encode(data).decode()
    return (f"<figure class='tonewood-sound' data-mark='{escape(str(mark), quote=True)}'><figcaption>{title} "
            f"<small>{note}</small></figcaption>"
            f"<audio controls preload='auto' aria-label=\"Sound: {title}\" "
            f"src='data:audio/{kind};base64,{source}'></audio></figure>")


def stored(rendering: Rendering, about: str) -> str:
    """Mark-up of sounds as a notebook keeps them for readers who run nothing: the same samples, packed
    without loss (FLAC), to play on a saved page; about: the sentence before them, may be ""."""
    import soundfile

    def packed(name: str) -> bytes:
        samples, rate = soundfile.read(io.BytesIO(rendering.wav(name)), dtype="int16")
        soundfile.write(out := io.BytesIO(), samples, rate, format="FLAC", subtype="PCM_16")
        return out.getvalue()

    made = "".join(player(packed(name), name, f"{rendering.duration(name):.1f} s")
                   for name in rendering.names)
    return (f"{style.says(f'{about} {VOLUME}')}{made}"
            f"{style.says(f'{levels_said(rendering)} {rendering.label}.')}").replace("preload='auto'",
                                                                                   "preload='none'")


class Players:
    """The sounds of one comparison side by side, all at one gain, with what was done to the levels said
    below.

    rendering: sound.render.Rendering; about: one sentence that says what is compared. `.show(rendering,
    about)` puts other sounds in place; `.widget` is the box, `.words()` what a reader without sound gets.
    """

    def __init__(self, rendering: Rendering, about: str) -> None:
        self._row = row([])
        self._about, self._said = ipywidgets.HTML(), ipywidgets.HTML()
        self._said.add_class("tonewood-sentence")
        self.widget = ipywidgets.VBox([_head(), self._about, self._row, self._said])
        self.widget.add_class("tonewood-panel")
        self.show(rendering, about)

    def show(self, rendering: Rendering, about: str | None = None) -> None:
        """Put the sounds of another rendering in place of the present ones; about: the sentence that goes
        with them, if it changes."""
        if about is not None:
            self.about = _sentence("about", about)
            self._about.value = style.says(f"{self.about} {VOLUME}")
        while len(self._row.children) > len(rendering.names):
            self._row.children = self._row.children[:-1]
        while len(self._row.children) < len(rendering.names):
            self._row.children += (ipywidgets.HTML(layout={"flex": "1 1 260px", "width": "auto"}),)
        for place, name in zip(self._row.children, rendering.names, strict=True):
            place.value = player(rendering.wav(name), name, f"{rendering.duration(name):.1f} s")
        self.rendering = rendering
        self._said.value = style.says(f"{levels_said(rendering)} {rendering.label}.")

    def words(self) -> str:
        """The comparison in words: sounds, lengths, levels, what it is not."""
        sounds = ", ".join(f"{name} ({self.rendering.duration(name):.1f} s)" for name in self.rendering.names)
        return f"{self.about} {sounds}. {levels_said(self.rendering)} {self.rendering.label}."

    def _repr_mimebundle_(self, include: Any = None,
                          exclude: Any = None) -> tuple[dict[str, Any], dict[str, Any]]:
        return {**self.widget._repr_mimebundle_(), "text/html": stored(self.rendering, self.about),
                "text/plain": f"[sound: {self.words()}]"}, {}


class BlindListening:
    """A blind test in the page: A and B are the two sounds in secret order, X is one of them; say which,
    trial after trial.

    rendering: holds both sounds, equally long; first, second: their names; trials: fixed before the start (5
    to 100); seed: draws the order, secret if None; record: path of the listener's file, or None to keep
    nothing; guess: what is said of a guess made before the test. `.answer("A")` or a click on `.buttons["A"]`
    drives it; `.test`, `.result`, `.saved`, `.progress` (HTML widget) tell the state. The score stays hidden
    to the end. Raises ValueError.
    """

    def __init__(self, rendering: Rendering, first: str, second: str, trials: int = 12,
                 seed: int | None = None, record: str | os.PathLike[str] | None = None,
                 guess: Callable[[BlindResult], str] | None = None) -> None:
        lengths = {name: len(rendering.samples[rendering.index(name)]) for name in (first, second)}
        if len(set(lengths.values())) > 1:
            raise ValueError("blind test: " + ", ".join(f"{name} is {n / rendering.rate:.3f} s long" for name,
                                                        n in lengths.items())
                             + "; the player would give X away by its length. Render both equally long")
        self.rendering, self.pair, self.trials, self.record = rendering, (first, second), trials, record
        self._seed, self._lock, self._guess = seed, threading.RLock(), guess
        self._wav = {name: rendering.wav(name) for name in (first, second)}
        self.places = {k: ipywidgets.HTML(layout={"flex": "1 1 220px", "width": "auto"}) for k in "ABX"}
        self.buttons = {k: button(f"X is {k}", partial(self.answer, k),
                                  f"In this trial X is the same sound as {k}") for k in "AB"}
        for made in self.buttons.values():
            made.add_class("tonewood-answer")
        self.again = button("New test", self.start)
        self.again.add_class("tonewood-again")
        self.progress, self.alert, self.kept = ipywidgets.HTML(), ipywidgets.HTML(), ipywidgets.HTML()
        self.progress.add_class("tonewood-sentence")
        self.alert.add_class("tonewood-alert")
        how = style.says("A and B are two sounds in an order you are not told. X is one of them. Play all "
                         "three as often as you like, then say which one X is. Guess if you hear no "
                         "difference. "
                         f"{levels_said(rendering)} {VOLUME}")
        self.widget = ipywidgets.VBox([_head(), ipywidgets.HTML(how),
                                       row(list(self.places.values())),
                                       row([*self.buttons.values(), self.again]),
                                       self.progress, self.alert, self.kept])
        self.widget.add_class("tonewood-panel")
        self.start()

    def start(self) -> None:
        """Begin a new test: a new secret order, or the next seed if one was given."""
        with self._lock:
            self.test = plan(self.pair, self.trials, self._seed)
            if self._seed is not None:
                self._seed += 1
            self.result, self.saved, self.alert.value, self.kept.value = None, False, "", ""
            for letter in "AB":
                self.places[letter].value = player(self._wav[self.test.sound(letter)], letter,
                                                   mark=self.test.seed)
            self._next()

    def answer(self, letter: str) -> None:
        """Give the answer "A" or "B" to the trial at hand."""
        with self._lock:
            self.test = self.test.answer(letter)
            if self.test.done:
                self._finish()
            else:
                self._next()

    def _next(self) -> None:
        # The mark makes the page load X anew even when it is the same sound again: a player left standing
        # would give it away.
        trial = f"{self.test.seed}-{len(self.test.answers)}"
        self.places["X"].value = player(self._wav[self.test.sound("X")], "X", mark=trial)
        self._ready(True)
        self._say(f"{progress_said(self.test)} Which one is X?")

    def _finish(self) -> None:
        self.result = self.test.result()
        self._ready(False)
        told = f"A was {self.test.sound('A')}, B was {self.test.sound('B')}."
        if self.record is not None:
            try:
                kept = save_test(self.record, self.test)
                self.saved, told = True, f"{told} Kept as test {len(kept)} of your record."
                self.kept.value = _all_tests(kept)
            except (ValueError, OSError) as problem:
                self.alert.value = style.alarm(f"Not kept: {problem}. The result above still stands.")
        guess = self._guess(self.result) + " " if self._guess else ""
        self._say(f"{progress_said(self.test)} {guess.lstrip()}{result_said(self.result)} {told} "
                  f"{self.rendering.label}.")

    def _ready(self, running: bool) -> None:
        for made in self.buttons.values():
            made.disabled = not running
        self.again.disabled = running

    def _say(self, sentence: str) -> None:
        self.sentence = sentence
        self.progress.value = style.says(sentence).replace("<p ", "<p role='status' aria-live='polite' ", 1)

    def words(self) -> str:
        """The test in words for a reader without the page."""
        return (f"Blind listening test: {self.pair[0]} against {self.pair[1]}, {self.trials} trials. "
                f"{levels_said(self.rendering)} {self.rendering.label}.")

    def _repr_mimebundle_(self, include: Any = None,
                          exclude: Any = None) -> tuple[dict[str, Any], dict[str, Any]]:
        return {**self.widget._repr_mimebundle_(), "text/plain": f"[{self.words()}]"}, {}


def _all_tests(tests: Sequence[BlindTest]) -> str:
    """Mark-up of every test in a record: looking at the lucky ones only would make guessing look like
    hearing."""
    found = [test.result() for test in tests]
    rows = ((k, *test.pair, f"{result.right} of {test.trials}", f"{100 * result.probability:.1f} %")
            for k, (test, result) in enumerate(zip(tests, found, strict=True), 1))
    shown = table(("test", "one sound", "the other", "right", "by guessing"), rows)
    lucky = sum(chance_to_pass(0.5, test.trials) for test in tests)
    return (f"<details class='tonewood-means'><summary>All tests in your record ({len(tests)})</summary>"
            f"{shown.html}<p>By guessing alone {lucky:.2f} of these {len(tests)} would be passed, on "
            "average. Count them all.</p></details>")


def _head() -> ipywidgets.HTML:
    return ipywidgets.HTML(f"{style.sheet()}<style>{SHEET}</style>", layout={"height": "0", "margin": "0"})


def _sentence(name: str, text: str) -> str:
    text = str(text).strip()
    if not text:
        raise ValueError(f"{name}: nothing given; accepted: one sentence that says what is compared")
    return text if text.endswith((".", "?", "!")) else text + "."
