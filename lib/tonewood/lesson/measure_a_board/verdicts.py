"""What is said of tapping a board, with the calculation behind it."""

from __future__ import annotations

from tonewood.bench.boards import forecast
from tonewood.panel.verdict import Verdict


def tap_instead_of_bend() -> Verdict:
    """Does a quick test foretell a slow one? Thirty real boards."""
    pairs = [forecast(quick, slow) for quick in ("shock_wave", "vibration")
             for slow in ("static_a", "static_b")]
    r, left, scatter, ratio = ([getattr(f, name) for f in pairs]
                               for name in ("correlation", "left", "scatter", "ratio"))
    return Verdict(
        "tapping a board tells as much as bending it.",
        "30 real boards measured four ways (Johnson and Wichern, see Sources): quick and slow tests "
        f"correlate by {min(r):.2f} to {max(r):.2f}. Boards scatter by {100 * min(scatter):.0f} to "
        f"{100 * max(scatter):.0f} %; knowing the quick test leaves {100 * min(left):.0f} to "
        f"{100 * max(left):.0f} %. The slow tests read {100 * min(1 - v for v in ratio):.0f} to "
        f"{100 * max(1 - v for v in ratio):.0f} % lower than the quick ones.",
        "for sorting boards nearly, for a number only with care. A tap ranks boards well, but never set a "
        "tap value beside a bend value: they differ in level.",
        "high", "what kind of boards they were the source does not tell")
