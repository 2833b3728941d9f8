"""A claim of the trade, what the model finds, and a plain verdict with how sure it is. Every number in it is
computed when it is shown."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from tonewood import checks
from tonewood.panel import chosen
from tonewood.panel.style import together

SURE = ("high", "medium", "low")


@dataclass(frozen=True)
class Verdict:
    """claim: what is said in the trade (common practice, no source); found: what the calculation gives, with
    numbers; verdict: one plain sentence; sure: one of SURE; why: what limits it; key: its row in the register
    of claims, once it was looked up there. A box, or plain text where no page is at hand.
    """

    claim: str
    found: str
    verdict: str
    sure: str
    why: str = ""
    key: str = ""

    def __post_init__(self) -> None:
        checks.choice("sure", self.sure, SURE)

    def _parts(self) -> tuple[tuple[str, str], ...]:
        return tuple((name, chosen.said(words)) for name, words in (
            ("It is said (common practice, no source)", self.claim), ("Computed here", self.found),
            ("Verdict", self.verdict), ("How sure", self.sure + (f"; {self.why}" if self.why else ""))))

    def __repr__(self) -> str:
        return "\n".join(f"{name}: {text}" for name, text in self._parts())

    def _repr_html_(self) -> str:
        rows = "".join(f"<div style='margin:2px 0'><b>{escape(name)}:</b> {escape(together(text))}</div>"
                       for name, text in self._parts())
        look = "border-left:6px solid #0072B2;padding:4px 12px;margin:8px 0;max-width:70em"
        return f"<div style='{look}'>{rows}</div>"
