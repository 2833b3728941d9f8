"""A brief read aloud: what each wish means in numbers and why, and what wood cannot give; and a form to write
one's own."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets

from tonewood.brief.brief import ATTACKS, AVOID, GIVES, HANDS, LOOKS, Brief, Doubt, load, save, targets
from tonewood.brief.found import Found
from tonewood.lesson.shared.clients import CLIENTS, client
from tonewood.neck.design import StringPlan
from tonewood.panel import boxes, style
from tonewood.panel.controls import Control, pick, slider, switch
from tonewood.panel.page import Shown, bullets, note, table
from tonewood.panel.reckoning import LOOK
from tonewood.panel.reruns import replace_older
from tonewood.strings.pitch import TUNINGS
from tonewood.wood.climate import place, places

PLAIN = {"rod": "truss rod", "seasons": "swing over the year", "weight": "weight", "balance": "balance",
         "dead notes": "notes that must ring", "protected": "protected woods", "price": "price of the wood",
         "stock": "wood on the rack", "stiffness": "feel under the hand",
         "loss factor": "attack (loss factor)", "width": "edges and frets"}


def told(doubt: Doubt) -> str:
    """What wood cannot give, kindly."""
    n = doubt.numbers
    words: dict[str, Any] = {
        "attack": lambda: (
            f"A {n['wish']} attack: wood leans that way a little. Where the pick strikes, the pick and the "
            "pickup do far more (lesson 08), so we choose the wood by touch and weight and set the attack "
            "with those."),
        "notes": lambda: (
            f"Notes that must ring ({n['count']}): the wood can move a dead note by a fret or two, it cannot "
            "promise that no other note is weaker."),
        "too heavy": lambda: (
            f"Weight: the lightest neck we would make brings the instrument to {n['least']:.2f} kg, asked "
            f"were {n['asked']:.2f}. {n['rest']:.2f} kg of it are body and fittings: begin there."),
        "head dives": lambda: (
            f"Level on a strap: the balance lies {1e3 * (n['needed'] - n['best']):.0f} mm too far towards "
            "the head even with the lightest neck. Lighter tuners or a longer horn do more than wood."),
        "stiffness": lambda: (
            f"Feel: these woods give {n['softest']:.0f} to {n['stiffest']:.0f} N·m², asked were "
            f"{n['low']:.0f} to {n['high']:.0f}. A thicker or thinner neck does it; the wood alone does "
            "not."),
        "seasons": lambda: (
            f"The year: even the quietest lay-up moves {1e3 * n['least']:.2f} mm there, asked were "
            f"{1e3 * n['asked']:.2f}. A humidifier does more than wood."),
        "money": lambda: (
            f"Budget: the cheapest wood for it costs {n['least']:.0f}, asked were {n['asked']:.0f}.")}
    return words[doubt.key]()


def targets_table(brief: Brief, whole: Any = None) -> Shown:
    """What a brief means in numbers."""
    rows = [(PLAIN[t.quantity], Found.asked(t), "must" if t.must else "wish", t.why)
            for t in targets(brief, whole)]
    return table(("", "asked", "", "why"), rows, "Scales of feel, swing and attack: judgement, no source.",
                 wrap="24em")


def doubts_told(who: str = "harbour") -> Shown:
    """What wood cannot give a client."""
    found = client(who).doubts()
    return bullets([told(d) for d in found] or ["Nothing in this brief is beyond the wood."])


def written_notes(alive: tuple[tuple[int, ...], ...]) -> str:
    """Notes as the box shows them.

    >>> written_notes(((3, 7), (3, 5)))
    '3/7, 3/5'
    """
    return ", ".join(f"{string}/{fret}" for string, fret in alive)


def read_notes(words: str) -> tuple[tuple[int, int], ...]:
    """Notes of the box, (string from 1 at the bass, fret). Raises ValueError that names what is no note.

    >>> read_notes("3/7, 3/5"), read_notes("")
    (((3, 7), (3, 5)), ())
    """
    found = []
    for part in filter(None, map(str.strip, words.replace(";", ",").split(","))):
        string, _, fret = part.partition("/")
        if not (string.strip().isdigit() and fret.strip().isdigit()):
            raise ValueError(f"note that must ring: {part!r} given; accepted: string/fret, such as 3/7, the "
                             "string counted from the bass")
        found.append((int(string), int(fret)))
    return tuple(found)


class BriefForm:
    """A brief on the page: controls for every wish, what they mean below, *Keep* and *Open*. `.brief`,
    `.keep()`, `.open()`, `.widget`."""

    def __init__(self, who: str = "harbour", folder: str | Path = "my_briefs") -> None:
        self.folder, self.start, self._taking = Path(folder), client(who).brief, False
        b, self._whole = self.start, client(who).whole
        self.controls: dict[str, Control] = {
            "client": pick("Begin with", [(client(key).title, key) for key in CLIENTS], who,
                           "the wishes of an invented client, to change"),
            "tuning": pick("Tuning", list(TUNINGS), b.strings.tuning, "strings and their notes"),
            "gauge": slider("String gauges (100 % is a usual set)", round(100 * b.strings.gauge, 6), 80, 125,
                            1, "%", "thicker strings pull more at the same notes"),
            "hand": pick("How hard they play", list(HANDS), b.hand,
                         "a light hand wants low action, which leaves less room for the year"),
            "give": pick("Under the hand", list(GIVES), b.give,
                         "how the neck should feel when it is pressed"),
            "attack": pick("Attack", list(ATTACKS), b.attack),
            "weight": slider("Weight at most", b.weight or 5.0, 2.0, 6.0, 0.05, "kg",
                             "of the whole instrument"),
            "level": switch("Must hang level on a strap", b.level),
            "look": pick("Colour of the neck", list(LOOKS), b.look),
            "fretboard_look": pick("Colour of the fretboard", list(LOOKS), b.fretboard_look),
            "town": pick("Lives in", [(place(name).listed, name) for name in places()], b.town),
            "avoid": pick("Avoid", list(AVOID), b.avoid,
                          "by the cautions on file; lists change, ask the local authority"),
            "budget": slider("Budget for the neck's wood", b.budget or 500.0, 5.0, 500.0, 5.0, "crowns",
                             "in the money of the rack")}
        self.alive = ipywidgets.Text(
            value=written_notes(b.alive), description="Notes that must ring (string/fret)",
            placeholder="3/7, 3/5", continuous_update=False, style={"description_width": "initial"},
            layout={"width": "auto", "max_width": "420px"})
        self.alive.observe(self._show, names="value")
        self.file = ipywidgets.Text(value="my_client.json", description="File", continuous_update=False,
                                    style={"description_width": "initial"},
                                    layout={"width": "auto", "max_width": "420px"})
        self.meant, self.said = (ipywidgets.HTML(layout={"width": "auto"}) for _ in range(2))
        self.meant.add_class("tonewood-reckoned")
        self.widget = boxes.panel(self.controls.values(), self.alive, self.file,
                                  boxes.buttons(Keep_this_brief=self.keep, Open_a_brief=self.open), self.said,
                                  self.meant)
        for name, control in self.controls.items():
            control.observe(self._another if name == "client" else self._show, names="value")
        self._show()
        replace_older(self)

    @property
    def brief(self) -> Brief:
        """The wishes on show as a Brief."""
        values = {name: c.value for name, c in self.controls.items() if name != "client"}
        tuning, gauge = values.pop("tuning"), values.pop("gauge") / 100
        values["strings"] = StringPlan(set=tuning.split(",")[0], tuning=tuning, gauge=gauge)
        values["alive"] = read_notes(self.alive.value)
        fields = {name: getattr(self.start, name) for name in Brief.__dataclass_fields__} | values
        return Brief(**fields)

    def _another(self, change: Any = None) -> None:
        self._whole = client(self.controls["client"].value).whole
        self._take(client(self.controls["client"].value).brief)

    def _take(self, brief: Brief) -> None:
        self.start = brief
        own = {"tuning": brief.strings.tuning, "gauge": round(100 * brief.strings.gauge, 6)}
        self._taking = True         # half-way the wishes of two clients stand together
        try:
            for name, control in self.controls.items():
                if name != "client":
                    value = own[name] if name in own else getattr(brief, name)
                    control.value = control.high if value is None else value
            self.alive.value = written_notes(brief.alive)
        finally:
            self._taking = False
        self._show()

    def _show(self, change: Any = None) -> None:
        if self._taking:
            return
        try:
            brief = self.brief
        except ValueError as problem:
            self.said.value = style.alarm(f"{problem}.")
            return
        self.said.value = ""
        self.meant.value = LOOK + note(brief.words).html + targets_table(brief, self._whole).html

    def keep(self) -> None:
        """Keep the brief in its file. Raises ValueError."""
        self.folder.mkdir(exist_ok=True)
        self.said.value = style.says(f"Kept as {save(self.brief, self.folder / self.file.value)}.")

    def open(self) -> None:
        """Open the brief of that file. Raises ValueError; what is on show stays."""
        brief = load(self.folder / self.file.value)
        self._take(brief)
        self.said.value = style.says(f"Opened: {brief.client}.")

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        shown = targets_table(self.brief, self._whole)
        return {**self.widget._repr_mimebundle_(), "text/html": note(self.start.words).html + shown.html,
                "text/plain": f"{self.start.words}\n{shown.plain}"}


def the_brief(who: str = "harbour") -> BriefForm:
    """A client's brief, to read, change, keep and open; last line of a cell."""
    return BriefForm(who)
