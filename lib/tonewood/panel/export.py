"""Lessons as web pages and PDFs for people who read without running: every picture with its words, no code,
nothing fetched from elsewhere. On the command line: tonewood page 01 --to lesson.html --pdf lesson.pdf."""

from __future__ import annotations

import os
import re
from html import escape
from pathlib import Path
from typing import Any

import nbformat
from nbconvert import HTMLExporter
from nbconvert.preprocessors import Preprocessor, TagRemovePreprocessor

from tonewood import files
from tonewood.panel import style
from tonewood.panel.browser import printed

_WIDGET = "application/vnd.jupyter.widget-view+json"
_LOOK = """<style>
body.jp-Notebook {max-width:76em; margin:0 auto; padding:16px; overflow:visible}
.jp-Notebook .jp-Cell {padding:2px 0; border:none} .jp-RenderedMarkdown {max-width:70em}
.jp-OutputArea-output pre {white-space:pre-wrap; overflow-wrap:anywhere}
figure {margin:8px 0} figcaption {max-width:70em}
.jp-RenderedHTMLCommon :is(th, td) {white-space:normal !important; min-width:0 !important;
  overflow-wrap:anywhere}
.jp-RenderedHTMLCommon table {table-layout:auto; max-width:100%; font-size:13px}
@media (max-width:600px) {.jp-RenderedHTMLCommon table {font-size:11px}
  .jp-RenderedHTMLCommon :is(th, td) {padding:2px 3px}}
audio {display:block; width:min(100%, 32em)}
@media print {audio {display:none} figure:has(audio)::after {content:'A sound: it plays on the web page.';
  font-style:italic}}
@media print {body.jp-Notebook {max-width:none; padding:0} figure, table, tr, li, p {break-inside:avoid}
  .jp-Cell, .jp-Cell-outputWrapper, .jp-OutputArea, .jp-OutputArea-child {break-inside:auto !important}
  h1, h2, h3 {break-after:avoid} .jp-RenderedHTMLCommon table {font-size:10px}}
</style></head>"""


class AlternativeText(Preprocessor):
    """Turns pictures that carry words in their metadata into <figure><img alt=…>, and replaces live views,
    which a page cannot run, by their words."""

    def preprocess_cell(self, cell: Any, resources: Any, index: int) -> tuple[Any, Any]:
        """Rewrite the outputs of one code cell; other cells pass through."""
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            told = output.get("metadata", {}).get("image/png", {})
            alt, narrow = told.get("alt", ""), told.pop("narrow", "")
            if "image/png" in data and alt:
                words, source = escape(alt,
                                       quote=True), f"data:image/png;base64,{data.pop('image/png').strip()}"
                stacked = (f'<source media="(max-width:600px)" srcset="data:image/png;base64,{narrow}">'
                           if narrow else "")
                data["text/html"] = (f'<figure><picture>{stacked}<img alt="{words}" style="max-width:100%;'
                                     f'height:auto" src="{source}"></picture>'
                                     f"<figcaption>{words}</figcaption></figure>")
            if _WIDGET in data and len(data) > 1:
                del data[_WIDGET]
                if "text/html" not in data and "image/png" not in data:
                    words = data["text/plain"].strip("[]")
                    data["text/html"] = f"<p><em>In the live lesson:</em> {escape(words)}</p>"
        return cell, resources


def _dark(exporter: HTMLExporter) -> str:
    """The page's colours where the reader's machine is set dark; its pictures stay light, on a card."""
    files = (Path(folder) / "static" / "theme-dark.css" for folder in exporter.template_paths)
    rules = "".join(file.read_text(encoding="utf-8") for file in files if file.is_file())
    return (f"<style media='screen and (prefers-color-scheme:dark)'>{rules} "
            f"{style.variables(dark=True)} :root {{color-scheme:dark}} "
            "img {background:#fff; padding:6px; border-radius:4px; box-sizing:border-box}</style>")


def to_html(path: str | os.PathLike[str], unfold: bool = False) -> str:
    """One notebook file as the text of a web page; unfold: with everything folded laid open, for paper.
    Raises ValueError if a picture in it has no words."""
    book = nbformat.read(path, 4)
    words = "\n".join(c.source for c in book.cells if c.cell_type == "markdown")
    heading = re.search(r"^# (.+)$", words, re.M)
    book.metadata["title"] = heading[1] if heading else Path(path).stem
    made = HTMLExporter(preprocessors=[TagRemovePreprocessor(remove_cell_tags={"lab"}, enabled=True),
                                       AlternativeText],
                        exclude_input=True, exclude_input_prompt=True, exclude_output_prompt=True)
    html, _ = made.from_notebook_node(book)
    if "No description has been provided" in html:
        raise ValueError(f"{path}: a picture without alternative text; accepted: pictures made by "
                         "LiveFigure, or with metadata image/png alt")
    html = re.sub(r"<script\b.*?</script>", "", html, flags=re.S)
    html = html.replace("</head>", f"{_dark(made)}{_LOOK}", 1)
    return html.replace("<details>", "<details open>") if unfold else html


def to_pdf(path: str | os.PathLike[str], target: str | os.PathLike[str]) -> None:
    """One notebook file as a PDF. Raises ValueError as `printed` and files.write do."""
    files.write(target, printed(to_html(path, unfold=True)), keep=False)
