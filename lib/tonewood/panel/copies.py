"""The learner's own copies of the lessons: made once, never written over, so that the lessons as shipped stay
as they are."""

from __future__ import annotations

import hashlib
import json
import os
import re
from html import escape
from pathlib import Path
from typing import Any

from tonewood import files

_WIDGET = "application/vnd.jupyter.widget-view+json"
_WAITS = "This part waits until the page is run: <em>Run › Run All Cells</em> in the menu above."
REGISTER = ".copied.json"
"""In a folder of copies: which file belongs to which edition of a lesson (its digest)."""


def notebooks_folder() -> Path:
    """The folder with the lessons as shipped: inside the installed package, or in the project's own folder.
    Raises FileNotFoundError where there is neither."""
    here = Path(__file__).resolve().parents[1]
    for folder in (here / "notebooks", here.parents[1] / "notebooks"):
        if any(folder.glob("[0-9][0-9]_*.ipynb")):
            return folder
    raise FileNotFoundError(f"the lessons were found neither in {here} nor beside it; "
                            "install the package again")


def lessons() -> dict[str, Path]:
    """{two-digit number: notebook as shipped}, in the order of the numbers."""
    return {path.name[:2]: path for path in sorted(notebooks_folder().glob("[0-9][0-9]_*.ipynb"))}


def title(path: Path) -> str:
    """A lesson's own title: its first heading; the file's name where there is none."""
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        if found := re.search(r"^# (.+)$", "".join(cell["source"]), re.M):
            return found[1]
    return path.stem


def lesson(number: str) -> Path:
    """The shipped notebook of a lesson: "1", "01" or its name. Raises ValueError for one not there."""
    there = lessons()
    given = str(number).strip()
    by_name = {path.stem: number for number, path in there.items()}
    wanted = given.zfill(2) if given.isdigit() else by_name.get(given.removesuffix(".ipynb"))
    if wanted not in there:
        raise ValueError(f"lesson {given!r}: there is none of that number; accepted: {', '.join(there)} "
                         "(tonewood lessons lists them)")
    return there[wanted]


def waiting(book: dict[str, Any]) -> dict[str, Any]:
    """A notebook as it opens before it has run: where something live will stand, its words and that it
    waits. Changes and returns `book`."""
    for cell in book["cells"]:
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            if _WIDGET not in data:
                continue
            del data[_WIDGET]
            plain = "".join(data.get("text/plain", ""))
            data["text/html"] = f"<p>{_WAITS}</p>" + "".join(data.get("text/html", f"<p>{escape(plain)}</p>"))
            data.pop("image/png", None)
            output.get("metadata", {}).pop("image/png", None)
    return book


def own_copy(path: Path, folder: str | os.PathLike[str]) -> tuple[Path, str]:
    """The learner's copy of the lesson `path` in `folder`, made if it is not there, and a sentence about it.

    A copy is never written over: when the shipped lesson has changed, its new edition is laid beside the old
    one, as name_2.ipynb. Raises ValueError where the folder cannot be used.
    """
    home = Path(folder).expanduser()
    if home.resolve() == path.parent.resolve():
        raise ValueError(f"folder {home}: the lessons as shipped lie there; accepted: a folder of your own")
    shipped = path.read_bytes()
    edition = hashlib.sha256(shipped).hexdigest()
    try:
        home.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ValueError(f"folder {home}: cannot be made ({error.strerror}); accepted: a folder of your "
                         "own, named with --folder") from None
    copy, words = home, ""

    def registered(register: str | None) -> str:
        nonlocal copy, words
        try:
            known = {} if register is None else dict(json.loads(register))
        except (ValueError, TypeError):
            raise ValueError(f"{home / REGISTER}: not readable; remove it, your lessons stay") from None
        if edition in known and (home / known[edition]).is_file():
            copy, words = home / known[edition], "Your own copy, as you left it."
            return register or ""
        older = sorted(home.glob(f"{path.stem}*.ipynb"))
        names = (path.name if k == 1 else f"{path.stem}_{k}.ipynb" for k in range(1, 1000))
        copy = home / next(name for name in names if not (home / name).exists())
        files.write(copy, json.dumps(waiting(json.loads(shipped)), ensure_ascii=False, indent=1) + "\n")
        words = (f"The lesson has changed since; your earlier work stays in {older[-1].name}." if older
                 else "A copy of your own: what you change stays there.")
        return json.dumps({**known, edition: copy.name}, indent=1)

    files.update(home / REGISTER, registered)
    return copy, words
