"""The search on the page: start it, see how far it is, stop it, read the lay-ups that none beats, ask why not
another, lay two side by side, and keep one as a design or a sheet."""

from __future__ import annotations

from html import escape
from pathlib import Path
from threading import Event, Thread
from typing import Any

import ipywidgets

from tonewood.brief.found import Found
from tonewood.brief.scoring import QUANTITIES
from tonewood.brief.search import search
from tonewood.lesson.shared.clients import CLIENTS, Client, client
from tonewood.lesson.shared.sheets.button import SheetMaker
from tonewood.lesson.shared.sheets.client_sheet import Words
from tonewood.lesson.shared.sheets.take_home import compared
from tonewood.neck import design_file
from tonewood.neck.design import Design
from tonewood.panel import boxes, style
from tonewood.panel.controls import pick
from tonewood.panel.page import Shown, table
from tonewood.panel.reckoning import LOOK
from tonewood.panel.reruns import let_go, replace_older

SHOWN = 8
"""Lay-ups that are listed."""
TOLD = ("neck weight", "price", "protected", "stock")
"""Quantities that the list of the best does not repeat."""
NONE = [("–", None)]


def time_left(seconds: float) -> str:
    """Remaining time in words.

    >>> time_left(4.2), time_left(95)
    ('a few seconds', 'about 2 minutes')
    """
    if seconds < 10:
        return "a few seconds"
    return f"about {seconds:.0f} seconds" if seconds < 90 else f"about {seconds / 60:.0f} minutes"


def unbeaten_table(found: Found) -> Shown:
    """The lay-ups none beats, likeliest first, with the middle and band of what the brief asks for."""
    asked = [q for q in dict.fromkeys(t.quantity for t in found.job.targets) if q not in TOLD]
    head = ("lay-up", "meets the brief (of 100 necks)", *(f"{q} ({QUANTITIES[q][0]})" for q in asked),
            "price")
    rows = []
    for i in found.unbeaten[:SHOWN].tolist():
        bands = (found.shown(i, q) for q in asked)
        rows.append((found.space[i].words(), f"{100 * found.scores.chance[i]:.0f}",
                     *(f"{middle:.3g} ({low:.3g} to {high:.3g})" for low, middle, high in bands),
                     f"{found.shown(i, 'price')[1]:.0f}"))
    n, draws = len(found.unbeaten), found.job.terms.draws
    return table(head, rows, f"{n} of {len(found.space)} lay-ups are beaten by no other in everything; the "
                 f"likeliest {min(n, SHOWN)} stand here. Chance counted over {draws} possible necks each, "
                 "the same luck for all; middle and 90 % band of the necks. Run-out, twist and looks are "
                 "left out.", wrap="20em")


class SearchBox:
    """`.client` (control), `.start()`, `.stop()`, `.found`, `.chosen()`, `.widget`. The search runs beside
    the page, which stays awake."""

    def __init__(self, who: str = "harbour", folder: str | Path = "my_necks") -> None:
        self.folder, self.found, self._stop, self._thread = Path(folder), None, Event(), None
        self.client = pick("Client", [(client(key).title, key) for key in CLIENTS], who)
        self.bar = ipywidgets.FloatProgress(
            value=0.0, min=0.0, max=1.0, description="Lay-ups", style={"description_width": "initial"},
            layout={"width": "auto", "max_width": "420px"})
        self.told, self.best, self.why, self.apart, self.kept = (
            ipywidgets.HTML(layout={"width": "auto"}) for _ in range(5))
        for part in (self.told, self.why, self.apart):
            part.add_class("tonewood-sentence")
        for part in (self.best, self.apart):
            part.add_class("tonewood-reckoned")
        self.one, self.other, self.asked = (ipywidgets.Dropdown(
            options=NONE, description=words, style={"description_width": "initial"},
            layout={"width": "auto", "max_width": "100%"})
            for words in ("This lay-up", "Beside it", "Why not this one?"))
        self.sheets = SheetMaker(self.chosen, self._words, self.folder)
        self._after = ipywidgets.VBox([
            self.best, self.asked, self.why, self.one, self.other,
            boxes.buttons(What_tells_them_apart=self.side_by_side, Keep_as_a_design=self.keep), self.apart,
            self.kept, *boxes.fold("A sheet of it", self.sheets.widget)])
        self._after.layout.display = "none"
        self.widget = boxes.panel([self.client], boxes.buttons(Search=self.start, Stop=self.stop), self.bar,
                                  self.told, self._after, explain=False)
        self.client.observe(self._new_client, names="value")
        self.asked.observe(self._why, names="value")
        self._say(f"{len(self._now().space())} lay-ups to try.")
        replace_older(self)

    def close(self) -> None:
        """Stop the search, wait for its last bundle, and let go of everything."""
        self.stop()
        if self._thread is not None:
            self._thread.join()
        let_go(self)

    def _now(self) -> Client:
        return client(self.client.value)

    def _say(self, words: str) -> None:
        self.told.value = style.says(words)

    def _new_client(self, change: Any = None) -> None:
        self.stop()
        self.found, self.bar.value = None, 0.0
        self._after.layout.display = "none"
        self._say(f"{len(self._now().space())} lay-ups to try.")

    @property
    def running(self) -> bool:
        """Whether a search is under way."""
        return self._thread is not None and self._thread.is_alive()

    def start(self, wait: bool = False) -> None:
        """Search, or go on with a search that was stopped. wait: until it is done."""
        if self.running:
            return
        one, earlier = self._now(), self.found if self.found is not None and not self.found.whole else None
        stop = self._stop = Event()

        def work() -> None:
            try:
                found = search(one.space(), one.job(), progress=self._progress, stop=stop, bundle=20,
                               earlier=earlier)
                if self.client.value == one.key:
                    self._done(found)
            except Exception as fault:  # nobody sees what a thread raises
                self.told.value = style.alarm(f"The search failed: {fault}.")

        self._thread = Thread(target=work, daemon=True)
        self._thread.start()
        if wait:
            self._thread.join()

    def stop(self) -> None:
        """Stop; what is done is kept."""
        self._stop.set()

    def _progress(self, done: int, total: int, left: float) -> None:
        self.bar.value = done / total
        self._say(f"{done} of {total} lay-ups; {time_left(left)} left.")

    def _done(self, found: Found) -> None:
        self.found = found
        done, total = int(found.scores.done.sum()), len(found.space)
        if not len(found.unbeaten):
            self._say(f"{done} of {total} lay-ups tried: none meets every limit in even one neck. "
                      "Ask the client which wish may give way.")
        else:
            self._say(f"{done} of {total} lay-ups tried" + (
                "." if found.whole else "; stopped, what was done is kept. Search goes on from here."))
        self.best.value = LOOK + unbeaten_table(found).html if len(found.unbeaten) else ""
        listed = [(found.space[i].words(), i) for i in found.unbeaten[:SHOWN].tolist()]
        beaten = sorted((i for i in range(total) if found.scores.done[i] and i not in set(found.unbeaten)),
                        key=lambda i: -found.scores.chance[i])[:: max(total // 60, 1)]
        for drop, at in ((self.one, 0), (self.other, 1)):
            boxes.relist(drop, listed or NONE)
            drop.index = min(at, len(drop.options) - 1)
        self.asked.options = [*NONE, *((found.space[i].words(), i) for i in beaten)]
        self._after.layout.display = ""

    def _why(self, change: Any = None) -> None:
        if self.found is None or self.asked.value is None:
            self.why.value = ""
            return
        said = self.found.why_not(int(self.asked.value))
        self.why.value = "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in said) + "</ul>"

    def chosen(self) -> Design:
        """The lay-up picked as a Design. Raises ValueError before a search."""
        if self.found is None or self.one.value is None:
            raise ValueError("lay-up: none chosen; accepted: one of the list, after a search")
        return self.found.space[int(self.one.value)].design(self._now().base)

    def side_by_side(self) -> None:
        """Show what tells the two picked lay-ups apart."""
        one = self.chosen()
        if self.other.value is None or self.other.value == self.one.value:
            raise ValueError("lay-ups to compare: the same one twice; accepted: two different ones")
        other = self.found.space[int(self.other.value)].design(self._now().base)
        self.apart.value = LOOK + compared({"this one": one, "the other": other}, whole=self._now().whole)

    def keep(self) -> None:
        """Keep the picked lay-up as a design file, for the other lessons."""
        self.folder.mkdir(exist_ok=True)
        path = design_file.save(self.chosen(), self.folder / f"{self._now().key}.json")
        self.kept.value = style.says(f"Kept as {path}; open it in lessons 01 and 03 to 08.")

    def _words(self) -> Words:
        """What the sheets say beside the numbers of the lay-up picked."""
        one, found, number = self._now(), self.found, int(self.one.value)
        return Words(client=one.brief.client, why=one.brief.words, chosen=(
            ("The lay-up", found.space[number].words()),
            ("How sure", f"{100 * float(found.scores.chance[number]):.0f} of 100 possible necks meet the "
                         f"brief, counted over {found.job.terms.draws}.")))

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        words = f"[a search over {len(self._now().space())} lay-ups for {self._now().brief.client}]"
        return {**self.widget._repr_mimebundle_(), "text/plain": words}


def search_box(who: str = "harbour") -> SearchBox:
    """A SearchBox for a client; last line of a cell."""
    return SearchBox(who)
