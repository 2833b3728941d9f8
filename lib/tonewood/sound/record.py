"""The file a listener keeps of blind tests: written whole or not at all, the version before kept beside it,
bad files refused."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from tonewood.sound.blind import FEWEST, MOST, BlindTest

if TYPE_CHECKING:
    import pandas

FORMAT = "tonewood blind tests"
VERSION = 1
FIELDS = {"pair": list, "truth": str, "answers": str, "swapped": bool, "seed": int}
LARGEST = 5_000_000  # bytes


def save_test(path: str | Path, test: BlindTest) -> list[BlindTest]:
    """Add a finished BlindTest to the record file, which is made if missing.

    Writes a temporary file beside it and puts it in place only when complete; the version before stays as
    `<name>.previous`. Returns the list of all tests in the file. Raises ValueError for an unfinished test or
    an existing file that is not a record.

    >>> from tonewood.sound.blind import plan
    >>> test = plan(("maple", "limba"), 5, seed=1)
    >>> for letter in "ABABA": test = test.answer(letter)
    >>> with tempfile.TemporaryDirectory() as folder: len(save_test(f"{folder}/record.json", test))
    1
    """
    path = Path(path)
    test.result()
    tests = (load_tests(path) if path.exists() else []) + [test]
    content = {"format": FORMAT, "version": VERSION, "tests": [_plain(t) for t in tests]}
    draft = _draft(path, json.dumps(content, indent=1, ensure_ascii=False).encode("utf-8"))
    try:
        if path.exists():
            os.replace(_draft(path, path.read_bytes()), path.with_name(path.name + ".previous"))
        os.replace(draft, path)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise
    return tests


def load_tests(path: str | Path) -> list[BlindTest]:
    """Read a record file. Returns a list of BlindTest; scores are always computed anew from answers, never
    read.

    Raises ValueError naming the file, the test and the field; nothing is accepted in part.

    >>> load_tests("no such record.json")
    Traceback (most recent call last):
    ValueError: no such record.json: no such file in .
    """
    path = Path(path)
    try:
        if path.stat().st_size > LARGEST:
            raise ValueError(f"{path.name}: {path.stat().st_size} bytes; a record of blind tests has at most "
                             f"{LARGEST}")
        content = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise ValueError(f"{path.name}: no such file in {path.parent}") from None
    except UnicodeDecodeError:
        raise ValueError(f"{path.name}: not a UTF-8 text file") from None
    except (json.JSONDecodeError, RecursionError) as problem:
        where = f" at line {problem.lineno}" if isinstance(problem, json.JSONDecodeError) else ""
        raise ValueError(f"{path.name}: not a complete JSON file{where}; the version before may be in "
                         f"{path.name}.previous") from None
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise ValueError(f"{path.name}: not a record of blind tests (its 'format' should read {FORMAT!r})")
    if content.get("version") != VERSION:
        raise ValueError(f"{path.name}: version {content.get('version')!r} given; this program reads version "
                         f"{VERSION}")
    if not isinstance(content.get("tests"), list):
        raise ValueError(f"{path.name}: 'tests' should be a list")
    return [_checked(path.name, place, entry) for place, entry in enumerate(content["tests"], 1)]


def summary(tests: Iterable[BlindTest]) -> pandas.DataFrame:
    """One row per test with names, score and chance; DataFrame. Running many tests finds a lucky one: all are
    shown.

    >>> len(summary([]))
    0
    """
    import pandas
    return pandas.DataFrame([{"first sound": t.pair[0], "second sound": t.pair[1]}
                             | t.result().table().iloc[0].to_dict() for t in tests])


def _plain(test: BlindTest) -> dict[str, Any]:
    return {"pair": list(test.pair), "truth": "".join(test.truth), "answers": "".join(test.answers),
            "swapped": test.swapped, "seed": test.seed}


def _draft(path: Path, content: bytes) -> Path:
    """A whole file beside `path`, ready to be put in its place; nothing is left of it if it cannot be
    written."""
    handle, name = tempfile.mkstemp(prefix=path.name, suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _checked(name: str, place: int, entry: Any) -> BlindTest:
    def refuse(what: str) -> NoReturn:
        raise ValueError(f"{name}, test {place}: {what}")

    if not isinstance(entry, dict):
        refuse(f"{type(entry).__name__} given; an object with {', '.join(FIELDS)} is expected")
    for field, kind in FIELDS.items():
        if type(entry.get(field)) is not kind:
            refuse(f"field {field!r} is missing or not a {kind.__name__}")
    pair, truth, answers = entry["pair"], entry["truth"], entry["answers"]
    named = all(isinstance(p, str) and 0 < len(p) <= 200 for p in pair)
    if len(pair) != 2 or not named or pair[0] == pair[1]:
        refuse(f"field 'pair': {str(pair)[:80]} given; two different names are expected")
    for field, letters in (("truth", truth), ("answers", answers)):
        if not FEWEST <= len(letters) <= MOST or set(letters) - {"A", "B"}:
            refuse(f"field {field!r}: {letters[:40]!r} given; {FEWEST} to {MOST} letters A or B are expected")
    if len(truth) != len(answers):
        refuse(f"{len(answers)} answers to {len(truth)} trials; only finished tests are kept")
    if not 0 <= entry["seed"] < 2**63:
        refuse(f"field 'seed': {entry['seed']} given; a whole number from 0 is expected")
    return BlindTest(tuple(pair), tuple(truth), entry["swapped"], entry["seed"], tuple(answers))
