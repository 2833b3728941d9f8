"""What a lesson prints between its figures: numbers with unit and label, tables, cautions, people's words
made safe."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any

from tonewood import checks
from tonewood.panel import chosen, units


class Shown:
    """Something to show that has both mark-up and plain words, so that it reads in every viewer."""

    def __init__(self, html: str, plain: str) -> None:
        self.html, self.plain = html, plain

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, str]:
        return {"text/html": self.html, "text/plain": self.plain}

    def __repr__(self) -> str:
        return self.plain


class Worked:
    """Boxes (`widget`) over what was worked out from them (`result`), which stands alone where no Python
    runs."""

    widget: Any
    result: Shown

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        return {**self.widget._repr_mimebundle_(), **self.result._repr_mimebundle_()}


def as_read(cell: Any) -> str:
    """What a cell says, its unit as people write it.

    >>> as_read("870 kg/m3")
    '870 kg/m³'
    """
    return str(cell).replace("kg/m3", "kg/m³")


def table(head: Sequence[Any], rows: Iterable[Sequence[Any]], caption: str = "",
          bars: Sequence[float] = (), wrap: str = "") -> Shown:
    """A table: table(("wood", "density (kg/m3)"), [("hard maple", "705"), …], "At 12 % moisture.").

    head: one cell a column, the first names the rows; rows: cells as text or anything that prints; a row of
    one cell is a heading between rows, a Shown brings its own mark-up; caption: what all cells share, shown
    below; bars: for each row a length 0…1 drawn behind it; wrap: width at which the words of a cell may wrap
    ("16em"). Columns of numbers stand to the right, words to the left. All else is escaped. The plain words
    of a row are "hard maple: density (kg/m3) 705". Raises ValueError for a row of another length.
    """
    rows = [list(row) for row in rows]
    marked = [[cell.html if isinstance(cell, Shown) else "" for cell in row] for row in rows]
    rows = [[as_read(cell) for cell in row] for row in rows]
    head, rows, caption = _in_units([as_read(cell) for cell in head], rows, caption)
    for row in rows:
        if len(row) not in (1, len(head)):
            raise ValueError(f"row {row[0]!r}: {len(row)} cells given; accepted: {len(head)}, as in the "
                             "head, or 1 for a heading")
    columns = list(zip(*(row for row in rows if len(row) > 1), strict=True))
    side = ["right" if k and any(c[:1].isdigit() or c[:1] in "+−-±" for c in column if c) else "left"
            for k, column in enumerate(columns)]
    wraps = "white-space:normal;max-width"
    body_look = f"{wraps}:{wrap};vertical-align:top" if wrap else "white-space:nowrap"

    def cell(tag: str, words: str, where: str, more: str, own: str = "") -> str:
        return f"<{tag} style='text-align:{where};{more}'>{own or escape(words)}</{tag.split()[0]}>"

    def line(row: list[str], own: list[str], bar: float | None) -> str:
        if len(row) == 1:
            return cell(f"th scope='colgroup' colspan='{len(head)}'", row[0], "left", "")
        drawn = "" if bar is None else ("<td style='min-width:160px'><div aria-hidden='true' "
                                        "style='background:#0072B2;"
                                        f"height:10px;width:{max(1.0, 150 * bar):.0f}px'></div></td>")
        cells = [cell("td", c, s, body_look, o) for c, s, o in zip(row[1:], side[1:], own[1:], strict=True)]
        first = f"font-weight:normal;{wraps}:20em" + (";vertical-align:top" if wrap else "")
        return "".join((cell("th scope='row'", row[0], "left", first), *cells, drawn))

    top = "".join(cell("th scope='col'" if h else "td", h, s, f"vertical-align:bottom;{wraps}:12em")
                  for h, s in zip(head, side, strict=True)) + ("<td></td>" if len(bars) else "")
    body = "".join(f"<tr>{line(row, marked[k], bars[k] if len(bars) else None)}</tr>"
                   for k, row in enumerate(rows))
    below = f"<caption style='caption-side:bottom;text-align:left;max-width:60em'>{escape(caption)}</caption>"
    html = (f"<div style='overflow-x:auto'><table>{below if caption else ''}<thead><tr>{top}</tr></thead>"
            f"<tbody>{body}</tbody></table></div>")
    plain = [": ".join([row[0], "; ".join(f"{h} {c}" for h, c in zip(head[1:], row[1:], strict=True) if c)]
                       if len(row) > 1 else row) for row in rows]
    return Shown(html, "\n".join(plain + [f"({caption})"] if caption else plain))


_UNIT_LAST = re.compile(r"(?:^|\(|, )(mm|cm|kg|g|N·m|N)\)?$")


def _in_units(head: list[str], rows: list[list[str]], caption: str
              ) -> tuple[list[str], list[list[str]], str]:
    """A table in the units chosen: numbers without a unit are in the one that ends the head of their column
    or the name of their row, "(mm)", or in that of the whole ("All in mm")."""
    if chosen.now() == units.METRIC:
        return head, rows, caption
    whole = re.match(r"All in (mm)\b", caption)
    columns = [_UNIT_LAST.search(name) for name in head[1:]]

    def read(cell: str, unit: re.Match[str] | None) -> str:
        said = chosen.said(cell)
        return said if unit is None or said != cell else chosen.converted(cell, unit[1])

    rows = [[chosen.said(row[0]), *(read(cell, unit or _UNIT_LAST.search(row[0]) or whole)
                                    for cell, unit in zip(row[1:], columns, strict=False))] for row in rows]
    return [chosen.said(name) for name in head], rows, chosen.said(caption)


def bullets(lines: Iterable[str]) -> Shown:
    """A list of sentences to show, each escaped."""
    lines = [str(line) for line in lines]
    return Shown("<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>",
                 "\n".join(f"- {line}" for line in lines))


def say(name: str, value: float, unit: str = "", decimals: int = 2, label: str = "") -> None:
    """Print one number of a lesson, in the units chosen: say("relief", 0.213, "mm") prints "relief: 0.21 mm".

    decimals: few enough that rounding noise of computers cannot change the last digit; label: where the
    number comes from ("published: …", "measured", "estimated by …", "common practice, no source"). Raises
    ValueError for anything that is not a finite number.
    """
    own = _UNIT_LAST.search("" if unit else name)       # "rod couple (N·m)", the number without its unit
    text = units.text(checks.number(name, value), unit, decimals, chosen.now())
    text = chosen.converted(text, own[1]) if own else text
    print(f"{chosen.said(name)}: {text}" + (f" [{chosen.said(label)}]" if label else ""))


def say_all(rows: Iterable[tuple[str, float, str, int, str]]) -> None:
    """Print the lines of a worked calculation. rows: (name, value, unit, decimals, label), each as for
    `say`."""
    for name, value, unit, decimals, label in rows:
        say(name, value, unit, decimals, label)


def caution(*sentences: str, title: str = "Caution",
            folded: Mapping[str, Sequence[str]] | None = None) -> Shown:
    """A box with the usual cautions, one sentence each (a single one on the line of the title), to stand
    before the work that can hurt; folded: {summary: sentences}, what stands behind them. Text is escaped."""
    if not sentences:
        raise ValueError("caution: no sentence given; accepted: at least one")
    shown = bullets(sentences)
    # its look is written out, since a saved page has no style sheet
    look = "border:1px solid #D55E00;border-left-width:6px;padding:4px 10px;margin:4px 0;max-width:72em"
    between = "" if len(sentences) > 1 else " " if title.endswith(".") else ": "
    html = (f"<div role='note' style='{look}'><strong>{escape(title)}{between}"
            f"</strong>{escape(sentences[0]) if len(sentences) < 2 else shown.html}")
    plain = [title.upper(), shown.plain]
    html += "<div style='display:flex;flex-flow:row wrap;column-gap:2em'>" * bool(folded)
    for summary, lines in (folded or {}).items():
        html += f"<details><summary>{escape(summary)}</summary>{bullets(lines).html}</details>"
        plain += [f"{summary}:", bullets(lines).plain]
    html += "</div>" * bool(folded)
    return Shown(f"{html}</div>", "\n".join(plain))


def note(words: str, longest: int = 2000) -> Shown:
    """A person's own words (a board's nickname, a client's wish) as a quotation that cannot act as mark-up.
    Longer text is cut, and says so."""
    words = str(words)
    if len(words) > longest:
        words = words[:longest] + f" … ({len(words) - longest} more characters not shown)"
    return Shown(f"<blockquote style='white-space:pre-wrap'>{escape(words)}</blockquote>", words)
