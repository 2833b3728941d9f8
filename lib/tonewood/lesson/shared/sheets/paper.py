"""Sheets as pages: one web page that reads on a screen, prints to A4 or letter, and becomes a tagged PDF or
one PNG a page through the browser of this machine.

Everything a person typed is escaped. Black and white is enough: meaning rests on words, marks and line
styles.
"""

from __future__ import annotations

import base64
import io
import os
import re
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from pathlib import Path

from PIL import Image, ImageChops

from tonewood import checks, files
from tonewood.panel.browser import pictured, printed

PAPERS = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height, mm."""
MARGIN, ABOVE = 14.0, 11.0
"""Margins at the sides, and above and below, mm."""
PIXEL = 25.4 / 96
"""A web page's pixel on paper, mm, by definition."""
SUFFIXES = (".html", ".pdf", ".png")
_LOOK = """
@page {{size:{wide}mm {high}mm; margin:{above}mm {margin}mm}}
* {{box-sizing:border-box}}
body {{margin:0; font:9.5pt/1.36 "DejaVu Sans","Helvetica Neue",Helvetica,Arial,sans-serif; color:#1c1c1c;
  background:#fff; font-variant-numeric:tabular-nums}}
.page {{break-after:page}} .page:last-child {{break-after:auto}}
@media screen {{body {{background:#ececec}}
  .page {{background:#fff; max-width:{wide}mm; min-height:{high}mm; margin:0 auto 6mm;
  padding:{above}mm {margin}mm}}
  body.plain {{background:#fff}} body.plain .page {{margin:0; max-width:none; width:{wide}mm; min-height:0}}}}
@media screen and (max-width:600px) {{.page {{padding:5mm; min-height:0}}}}
h1 {{font-size:18pt; font-weight:600; line-height:1.15; margin:0 0 1mm; letter-spacing:-.01em}}
h2 {{font-size:10.5pt; margin:4mm 0 1.2mm; padding-bottom:.8mm; border-bottom:.3mm solid #1c1c1c;
  break-after:avoid}}
p {{margin:0 0 1.4mm; max-width:118em}} .under {{color:#444; margin-bottom:3mm}}
header {{border-bottom:.6mm solid #1c1c1c; padding-bottom:1.6mm; margin-bottom:2mm}}
.kind {{font-size:8.5pt; letter-spacing:.08em; text-transform:uppercase; color:#444; margin:0}}
figure {{margin:1mm 0 0; break-inside:avoid}} figure img {{display:block; max-width:100%; height:auto}}
figcaption, .small, caption {{font-size:8pt; line-height:1.3; color:#333}}
table {{border-collapse:collapse; width:100%; font-size:8.5pt; line-height:1.28}}
caption {{padding-top:1.2mm; max-width:none !important}}
th, td {{text-align:left; padding:.7mm 2mm .7mm 0; vertical-align:top !important;
  border-bottom:.15mm solid #bbb; max-width:none !important}}
thead th {{font-weight:600; border-bottom:.3mm solid #666}} tbody th {{font-weight:normal}}
th[scope=colgroup] {{font-weight:600; padding-top:2mm}}
td:last-child, th:last-child {{padding-right:0}}
tr, [role=note], blockquote {{break-inside:avoid}}
ul {{margin:0; padding-left:4.5mm}} li {{margin-bottom:.5mm}}
.row {{display:flex; flex-wrap:wrap; gap:6mm}} .row > ul {{flex:1 1 70mm}} .row > figure {{flex:0 1 auto}}
.row figcaption {{max-width:88mm}}
blockquote {{margin:0 0 2mm; padding:0 0 0 3.5mm; border-left:.8mm solid #888; overflow-wrap:anywhere}}
.blank {{display:inline-block; min-width:24mm; border-bottom:.25mm solid #1c1c1c; height:1.1em}}
.signs {{display:flex; gap:8mm; margin-top:7mm; break-inside:avoid}}
.signs div {{flex:1; border-top:.25mm solid #1c1c1c; padding-top:1mm; font-size:8.5pt}}
"""


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A sheet of one or more pages. title; pages: their mark-up; paper: a name in PAPERS."""

    title: str
    pages: tuple[str, ...]
    paper: str = "A4"

    def __post_init__(self) -> None:
        checks.choice("paper", self.paper, PAPERS)

    def _page(self, pages: Iterable[str], kind: str = "") -> str:
        wide, high = PAPERS[self.paper]
        look = _LOOK.format(wide=wide, high=high, margin=MARGIN, above=ABOVE)
        body = "".join(f"<section class='page'>{page}</section>" for page in pages)
        return ("<!doctype html><html lang='en'><head><meta charset='utf-8'>"
                f"<title>{escape(self.title)}</title><meta name='viewport' content='width=device-width, "
                "initial-scale=1'>"
                f"<style>{look}</style>"
                f"</head><body class='{kind}'><main>{body}</main></body></html>")

    @property
    def html(self) -> str:
        """The whole sheet as a web page that needs nothing from elsewhere."""
        return self._page(self.pages)

    def pdf(self) -> bytes:
        """The sheet as a PDF of its paper size, fonts embedded, tagged. Raises ValueError without a
        browser."""
        return printed(self.html)

    def png(self, page: int = 0, density: float = 2.0) -> bytes:
        """One page as a picture, as high as the paper or, where its words need more, as they need; density:
        pixels of the picture to one of the page (2: 192 to the inch). Raises ValueError."""
        wide, high = (round(side / PIXEL) for side in PAPERS[self.paper])
        tall = 2 * high
        made = pictured(self._page([self.pages[page]], "plain"), wide, tall, density)
        picture = Image.open(io.BytesIO(made)).convert("RGB")
        ink = ImageChops.difference(picture, Image.new("RGB", picture.size, "white")).getbbox()
        least = round(high * density)
        used = least if ink is None else max(least, ink[3] + round(ABOVE / PIXEL * density))
        out = io.BytesIO()
        picture.crop((0, 0, picture.width, min(used, picture.height))).save(out, "PNG", optimize=True)
        return out.getvalue()

    def save(self, path: str | os.PathLike[str]) -> tuple[Path, ...]:
        """Write it as .html, .pdf or .png, as the name ends; a PNG of several pages becomes name-1.png,
        name-2.png. Returns what was written. Raises ValueError."""
        path = Path(path).expanduser()
        ending = checks.choice("ending of the file", path.suffix.lower(), SUFFIXES)
        if ending == ".html":
            return (files.write(path, self.html, keep=False),)
        if ending == ".pdf":
            made = {path: self.pdf()}
        elif len(self.pages) == 1:
            made = {path: self.png()}
        else:
            made = {path.with_name(f"{path.stem}-{k + 1}.png"): self.png(k) for k in range(len(self.pages))}
        return tuple(files.write(name, data, keep=False) for name, data in made.items())


def heading(kind: str, title: str, under: str) -> str:
    """The head of a sheet: what sheet it is, the neck's name, one line below; all escaped."""
    return (f"<header><p class='kind'>{escape(kind)}</p><h1>{escape(title)}</h1>"
            f"<p class='under' style='margin:0'>{escape(under)}</p></header>")


def running_head(words: str) -> str:
    """One line at the top of a further page, so that loose pages find each other; escaped."""
    return f"<p class='kind'>{escape(words)}</p>"


def blank(key: str) -> str:
    """A line to write a finding on; key: what it is called where it is kept."""
    return f"<span class='blank' data-key='{escape(key, quote=True)}'></span>"


def picture(svg: str, alt: str, wide: float, caption: str = "") -> str:
    """A drawing (SVG) `wide` mm wide on paper, with its words for those who cannot see it."""
    source = base64.b64encode(svg.encode()).decode()
    below = f"<figcaption>{escape(caption)}</figcaption>" if caption else ""
    return (f"<figure><img alt='{escape(alt, quote=True)}' style='width:{wide:g}mm' "
            f"src='data:image/svg+xml;base64,{source}'>{below}</figure>")


def part(title: str, *marked: str) -> str:
    """A part of a sheet: its heading, escaped, and mark-up below."""
    return f"<h2>{escape(title)}</h2>{''.join(marked)}"


def words(text: str, small: bool = False) -> str:
    """Paragraphs of plain text, escaped; an empty line begins another."""
    look = " class='small'" if small else ""
    pieces = filter(None, map(str.strip, re.split(r"\n\s*\n", text)))
    return "".join(f"<p{look}>{escape(piece)}</p>" for piece in pieces)


def signatures(*names: str) -> str:
    """Lines to sign on."""
    return "<div class='signs'>" + "".join(f"<div>{escape(name)}</div>" for name in names) + "</div>"
