"""The words of the lessons, each explained once, with its unit: data/glossary.csv."""

from __future__ import annotations

from html import escape

from tonewood.panel import chosen
from tonewood.panel.page import Shown
from tonewood.tables import Row, read_table


def terms(lesson: int = 0) -> list[Row]:
    """The rows of the glossary whose words stand in a lesson (its number); of all lessons for 0."""
    return [row for row in read_table("glossary.csv") if not lesson or str(lesson) in row["lessons"].split()]


def glossary(lesson: int = 0) -> Shown:
    """A fold with the words of a lesson (its number; 0: of all of them), each in a sentence with its unit."""
    rows = [(row["term"] + (chosen.said(f" ({row['given_in']})") if row["given_in"] else ""), row["meaning"])
            for row in terms(lesson)]
    title = f"The words of {'this lesson' if lesson else 'all lessons'}, and their units ({len(rows)})"
    items = "".join(f"<li><strong>{escape(word)}:</strong> {escape(meaning)}</li>"
                    for word, meaning in rows)
    return Shown(f"<details><summary>{escape(title)}</summary><ul>{items}</ul></details>",
                 "\n".join([f"{title}:", *(f"- {word}: {meaning}" for word, meaning in rows)]))
