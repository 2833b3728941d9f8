"""The register of claims: every claim of the trade that a lesson judges, what the calculation behind its
verdict contains, what it leaves out, and how sure it may therefore be.

Each row of data/claims.csv names what is said to bring the claim about (its causes). A model that leaves one
of them out cannot make a verdict of "sure: high". The verdicts themselves stand in the lessons; they are
computed when asked for and held against the register.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from html import escape
from importlib import import_module
from pathlib import Path
from typing import Any

import ipywidgets

from tonewood.panel import style
from tonewood.panel.page import table
from tonewood.panel.reruns import replace_older
from tonewood.panel.verdict import Verdict
from tonewood.tables import Row, read_table

LESSONS = {"whole_neck": "01 The neck on the bench", "one_board": "02 One board",
           "grain": "03 Which way the grain runs", "laying_up": "04 Laying up",
           "string_pull": "05 String pull", "client_year": "06 Seasons",
           "ring_and_decay": "07 Ring and decay", "first_moment": "08 The attack",
           "measure_a_board": "09 Measure a board",
           "weight_and_balance": "10 Weight and balance",
           "brief_to_neck": "11 From brief to neck"}
"""The lessons that judge claims: folder and title."""

HEAD = ("it is said", "verdict", "how sure", "the model contains", "left out, and could turn it")
_LIST = ("causes", "contains", "leaves_out")


@dataclass(frozen=True, kw_only=True)
class Claim:
    """One row of the register. key: the lesson's function that judges it; lesson: folder, of LESSONS; causes:
    what is said to bring it about; contains, leaves_out: what of that and beside it the model has and has
    not; answer: the first words of the verdict; sure: how sure, as stored."""

    key: str
    lesson: str
    claim: str
    causes: tuple[str, ...]
    contains: tuple[str, ...]
    leaves_out: tuple[str, ...]
    answer: str
    sure: str

    @property
    def omitted(self) -> tuple[str, ...]:
        """The claim's own causes that the model leaves out."""
        return tuple(cause for cause in self.causes if cause in self.leaves_out)

    def computed(self) -> Verdict:
        """The verdict of the lesson, computed now, with its key."""
        judge = getattr(import_module(f"tonewood.lesson.{self.lesson}.verdicts"), self.key, None)
        if judge is None:
            raise ValueError(f"claims.csv, key {self.key!r}: lesson {self.lesson} has no verdict of this "
                             "name")
        return replace(judge(), key=self.key)

    def faults(self, verdict: Verdict) -> list[str]:
        """What is wrong with a computed verdict when held against this row, one sentence each."""
        found = []
        for what, stored, now in (("claim", self.claim, verdict.claim),
                                  ("sureness", self.sure, verdict.sure)):
            if stored != now:
                found.append(f"{self.key}: {what} {stored!r} in the register, {now!r} in the lesson")
        if not verdict.verdict.startswith(self.answer):
            found.append(f"{self.key}: answer {self.answer!r} in the register, the lesson says "
                         f"{verdict.verdict[:60]!r}")
        if verdict.sure == "high" and self.omitted:
            found.append(f"{self.key}: sure: high, but the model leaves out the claim's own cause: "
                         f"{', '.join(self.omitted)}")
        return found


def _claim(row: Row) -> Claim:
    """A Claim of one row; refuses an unknown lesson, and a cause that is not said to be either contained or
    left out."""
    if row["lesson"] not in LESSONS:
        raise row.fault("lesson", ", ".join(LESSONS))
    lists = {name: tuple(part.strip() for part in row[name].split(";")) for name in _LIST}
    for name, words in lists.items():
        if "" in words or len(set(words)) < len(words):
            raise row.fault(name, "words parted by semicolons, each once, none empty")
    for cause in lists["causes"]:
        if (cause in lists["contains"]) == (cause in lists["leaves_out"]):
            raise row.fault("causes", "each cause again under either contains or leaves_out", cause)
    if both := set(lists["contains"]) & set(lists["leaves_out"]):
        raise row.fault("leaves_out", "nothing that stands under contains", ", ".join(sorted(both)))
    plain = {name: row[name] for name in ("key", "lesson", "claim", "answer", "sure")}
    return Claim(**plain, **lists)


def claims(folder: Path | str | None = None) -> tuple[Claim, ...]:
    """The register, in the order of the table. Raises ValueError naming file, line and column."""
    return tuple(_claim(row) for row in read_table("claims.csv", folder=folder))


def faults(verdicts: Mapping[str, Verdict], register: Iterable[Claim]) -> list[str]:
    """What is wrong with computed verdicts, {key: Verdict}, held against a register: one sentence each,
    nothing where they agree."""
    rows = {claim.key: claim for claim in register}
    found = [f"{key}: judged in a lesson, not in the register" for key in verdicts.keys() - rows.keys()]
    found += [f"{key}: in the register, judged in no lesson" for key in rows.keys() - verdicts.keys()]
    return sorted(found) + [words for key, claim in rows.items() if key in verdicts
                            for words in claim.faults(verdicts[key])]


class Register:
    """The register on the page, folded by lesson, with stored answers and sureness (tests hold them against
    the lessons), and a button that computes every verdict now. `.compute()` or a click; `.verdicts` holds
    what was computed, `.widget` is the box."""

    def __init__(self) -> None:
        self.verdicts: dict[str, Verdict] = {}
        self._button = ipywidgets.Button(description="Compute every verdict now",
                                         tooltip="Takes about half a minute",
                                         layout={"width": "auto", "align_self": "flex-start"})
        self._button.on_click(lambda _: self.compute())
        wide = {"width": "auto", "min_width": "0", "max_width": "100%"}
        self._said = ipywidgets.HTML(layout=wide)
        self._shown = ipywidgets.HTML(self._page(), layout=wide)
        self._said.add_class("tonewood-sentence")
        self.widget = ipywidgets.VBox([ipywidgets.HTML(style.sheet(), layout={"height": "0", "margin": "0"}),
                                       self._shown, self._button, self._said])
        self.widget.add_class("tonewood-panel")
        replace_older(self)

    @cached_property
    def claims(self) -> tuple[Claim, ...]:
        """The rows of the register."""
        return claims()

    def compute(self) -> None:
        """Compute all verdicts, show their full words in the tables, and say whether they agree with what is
        stored."""
        try:
            for number, claim in enumerate(self.claims, 1):
                self._say(f"{number} of {len(self.claims)}: {claim.claim}")
                self.verdicts[claim.key] = claim.computed()
        except Exception as error:        # a button's error is otherwise seen by nobody
            self._say(f"This did not work: {error or type(error).__name__}.")
            raise
        wrong = faults(self.verdicts, self.claims)
        self._shown.value = self._page()
        self._say(f"{len(self.verdicts)} verdicts computed. " + (
            " ".join(wrong) if wrong else "Claims, answers and sureness are as stored; none is called sure "
                                          "while its model leaves out the claim's own cause."))

    def _say(self, words: str) -> None:
        self._said.value = style.says(words)

    def _rows(self, lesson: str) -> list[list[str]]:
        rows = []
        for claim in self.claims:
            if claim.lesson == lesson:
                now = self.verdicts.get(claim.key)
                left = [f"{words} (the claim's own cause)" if words in claim.omitted else words
                        for words in claim.leaves_out]
                said, sure = (now.verdict, now.sure) if now else (claim.answer, claim.sure)
                rows.append([claim.claim, said, sure, "; ".join(claim.contains), "; ".join(left)])
        return rows

    @property
    def counted(self) -> str:
        """How many claims there are, and how many verdicts of each sureness."""
        sure = [claim.sure for claim in self.claims]
        return (f"{len(sure)} claims (common practice, no source): " + ", ".join(
            f"{sure.count(word)} verdicts {word}" for word in ("high", "medium", "low"))
                + f"; in {sum(bool(claim.omitted) for claim in self.claims)} the model leaves out one of the "
                  "claim's own causes, and none of these is called high.")

    def _page(self) -> str:
        parts = [f"<p>{escape(self.counted)}</p>"]
        for lesson, title in LESSONS.items():
            rows = self._rows(lesson)
            parts.append(f"<details><summary>{escape(title)}: {len(rows)} claims</summary>"
                         f"{table(HEAD, rows, wrap='17em').html}</details>")
        return "".join(parts)

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        plain = [self.counted] + [f"{title}\n{table(HEAD, self._rows(lesson)).plain}"
                                  for lesson, title in LESSONS.items()]
        return {**self.widget._repr_mimebundle_(), "text/html": self._page(), "text/plain": "\n".join(plain)}


def what_the_trade_says() -> Register:
    """The register of all claims, to show."""
    return Register()
