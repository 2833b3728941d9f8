"""What a lesson prints between its figures: numbers with unit and label, cautions, people's words made safe."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Any

from tonewood import checks
from tonewood.panel import units


class Shown:
    """Something to show that has both mark-up and plain words, so that it reads in every viewer."""

    def __init__(self, html: str, plain: str) -> None:
        self.html, self.plain = html, plain

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, str]:
        return {"text/html": self.html, "text/plain": self.plain}

    def __repr__(self) -> str:
        return self.plain


def table(head: Sequence[Any], rows: Iterable[Sequence[Any]], caption: str = "", bars: Sequence[float] = ()) -> Shown:
    """A table: table(("wood", "density (kg/m3)"), [("hard maple", "705"), …], "At 12 % moisture.").

    head: one cell a column, the first names the rows; rows: cells as text or anything that prints; a row of one cell is a
    heading between rows; caption: what all cells share, shown below; bars: for each row a length 0…1 drawn behind it.
    Columns of numbers stand to the right, words to the left. Everything is escaped. The plain words of a row are
    "hard maple: density (kg/m3) 705". Raises ValueError for a row of another length.
    """
    head, rows = [str(cell) for cell in head], [[str(cell) for cell in row] for row in rows]
    for row in rows:
        if len(row) not in (1, len(head)):
            raise ValueError(f"row {row[0]!r}: {len(row)} cells given; accepted: {len(head)}, as in the head, or 1 for a heading")
    full = [row for row in rows if len(row) > 1]
    side = ["left"] + ["right" if any(c[:1].isdigit() or c[:1] in "+−-±" for c in column if c) else "left"
                       for column in list(zip(*full, strict=True))[1:]]

    def cell(tag: str, words: str, where: str, more: str = "") -> str:
        return f"<{tag} style='text-align:{where}{more}'>{escape(words)}</{tag.split()[0]}>"

    top = "".join(cell("th scope='col'", h, s, ";vertical-align:bottom;max-width:12em;white-space:normal")
                  for h, s in zip(head, side, strict=True))
    body, across = "", f"th scope='colgroup' colspan='{len(head)}'"
    for number, row in enumerate(rows):
        if len(row) == 1:
            body += f"<tr>{cell(across, row[0], 'left')}</tr>"
            continue
        body += "<tr>" + cell("th scope='row'", row[0], "left", ";font-weight:normal;max-width:20em;white-space:normal")
        body += "".join(cell("td", c, s, ";white-space:nowrap") for c, s in zip(row[1:], side[1:], strict=True))
        if len(bars):
            body += ("<td style='min-width:160px'><div aria-hidden='true' style='background:#0072B2;height:10px;"
                     f"width:{max(1.0, 150 * bars[number]):.0f}px'></div></td>")
        body += "</tr>"
    below = f"<caption style='caption-side:bottom;text-align:left;max-width:60em'>{escape(caption)}</caption>" if caption else ""
    html = (f"<div style='overflow-x:auto'><table>{below}<thead><tr>{top}{'<td></td>' if len(bars) else ''}</tr></thead>"
            f"<tbody>{body}</tbody></table></div>")
    plain = "\n".join(row[0] + (": " + "; ".join(f"{h} {c}" for h, c in zip(head[1:], row[1:], strict=True) if c) if row[1:] else "")
                      for row in rows)
    return Shown(html, plain + (f"\n({caption})" if caption else ""))


def bullets(lines: Iterable[str]) -> Shown:
    """A list of sentences to show, each escaped."""
    lines = [str(line) for line in lines]
    return Shown("<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>",
                 "\n".join(f"- {line}" for line in lines))


def say(name, value, unit="", decimals=2, band=None, label="", system=units.METRIC):
    """Print one number of a lesson: say("relief", 0.213, "mm") prints "relief: 0.21 mm".

    decimals: few enough that rounding noise of computers cannot change the last digit; band: (low, high) within which 90 of 100 such
    boards fall; label: where the number comes from ("published: …", "measured", "estimated by …", "common practice, no source").
    Raises ValueError for anything that is not a finite number, or a band that does not hold low <= high.
    """
    line = f"{name}: {units.text(checks.number(name, value), unit, decimals, system)}"
    if band is not None:
        low, high = (checks.number(f"{name}: band", edge) for edge in band)
        if low > high:
            raise ValueError(f"{name}: band from {low:g} to {high:g} given; accepted: (low, high)")
        line += f"; 90 of 100: {units.text(low, unit, decimals, system)} to {units.text(high, unit, decimals, system)}"
    print(line + (f" [{label}]" if label else ""))


def say_all(rows):
    """Print the lines of a worked calculation. rows: (name, value, unit, decimals, label), each as for `say`."""
    for name, value, unit, decimals, label in rows:
        say(name, value, unit, decimals, label=label)


def caution(*sentences, title="Caution"):
    """A box with the usual cautions, one sentence each, to stand before the work that can hurt. Text is escaped."""
    if not sentences:
        raise ValueError("caution: no sentence given; accepted: at least one")
    items = "".join(f"<li>{escape(str(s))}</li>" for s in sentences)
    html = ("<div role='note' class='tonewood-caution' style='border:2px solid #D55E00;border-left-width:8px;padding:6px 10px;margin:6px 0;max-width:70em'>"
            f"<strong>{escape(title)}</strong><ul style='margin:4px 0'>{items}</ul></div>")
    return Shown(html, f"{title.upper()}\n" + "\n".join(f"- {s}" for s in sentences))


def note(words, longest=2000):
    """A person's own words (a board's nickname, a client's wish) as a quotation that cannot act as mark-up. Longer text is cut, and says so."""
    words = str(words)
    if len(words) > longest:
        words = words[:longest] + f" … ({len(words) - longest} more characters not shown)"
    return Shown(f"<blockquote style='white-space:pre-wrap'>{escape(words)}</blockquote>", words)
