"""Notebooks as web pages for people who read without running: every picture with its alternative text, no
script from elsewhere.

On the command line: jupyter nbconvert --to html
--HTMLExporter.preprocessors=tonewood.panel.export.AlternativeText NOTEBOOK
"""

from __future__ import annotations

import os
from html import escape
from typing import Any

from nbconvert import HTMLExporter
from nbconvert.preprocessors import Preprocessor

_WIDGET = "application/vnd.jupyter.widget-view+json"


class AlternativeText(Preprocessor):
    """Turns pictures that carry words in their metadata into <figure><img alt=…>, and drops live views, which
    a page cannot run."""

    def preprocess_cell(self, cell: Any, resources: Any, index: int) -> tuple[Any, Any]:
        """Rewrite the outputs of one code cell; other cells pass through."""
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            alt = output.get("metadata", {}).get("image/png", {}).get("alt", "")
            if "image/png" in data and alt:
                words, source = escape(alt,
                                       quote=True), f"data:image/png;base64,{data.pop('image/png').strip()}"
                data["text/html"] = (f'<figure><img alt="{words}" style="max-width:100%;height:auto" '
                                     f'src="{source}">'
                                     f"<figcaption>{words}</figcaption></figure>")
            if len(data) > 1:
                data.pop(_WIDGET, None)
        return cell, resources


def to_html(path: str | os.PathLike[str]) -> str:
    """One notebook file as the text of a web page. Raises ValueError if a picture in it has no words."""
    html, _ = HTMLExporter(preprocessors=[AlternativeText]).from_filename(str(path))
    if "No description has been provided" in html:
        raise ValueError(f"{path}: a picture without alternative text; accepted: pictures made by "
                         "LiveFigure, or with metadata image/png alt")
    return html
