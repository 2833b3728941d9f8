"""The file a listener keeps of blind tests: nothing bad is read or written, nothing kept is lost (see
tonewood.files)."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any, NoReturn

from tonewood import files
from tonewood.sound.blind import FEWEST, LONGEST_NAME, MOST, BlindTest

FORMAT = "tonewood blind tests"
VERSION = 1
FIELDS = {"pair": list, "truth": str, "answers": str, "swapped": bool, "seed": int}
LARGEST = 5_000_000  # bytes


def save_test(path: str | os.PathLike[str], test: BlindTest) -> list[BlindTest]:
    """Add a finished BlindTest to the record file, which is made if missing; the version before stays as
    `<name>.before`. Returns the list of all tests in the file.

    Raises ValueError, with the file as it was, for an unfinished test or one that could not be read again, an
    existing file that is not a record, one that is full, and as files.update does.

    >>> import tempfile
    >>> from tonewood.sound.blind import plan
    >>> test = plan(("maple", "limba"), 5, seed=1)
    >>> for letter in "ABABA": test = test.answer(letter)
    >>> with tempfile.TemporaryDirectory() as folder: len(save_test(f"{folder}/record.json", test))
    1
    """
    test.result()
    files.place(path)
    name, tests = Path(path).name, [_checked("the test just done", 1, _plain(test))]

    def longer(text: str | None) -> str:
        tests[:0] = [] if text is None else _tests(text, name)
        content = {"format": FORMAT, "version": VERSION, "tests": [_plain(t) for t in tests]}
        whole = json.dumps(content, indent=1, ensure_ascii=False)
        if len(whole.encode("utf-8")) > LARGEST:
            raise ValueError(f"{name}: full with {len(tests) - 1} tests; name another file for the next")
        return whole

    files.update(path, longer, LARGEST)
    return tests


def load_tests(path: str | os.PathLike[str]) -> list[BlindTest]:
    """Read a record file. Returns a list of BlindTest; scores are always computed anew from answers, never
    read.

    Raises ValueError naming the file, the test and the field; nothing is accepted in part.

    >>> load_tests("no such record.json")
    Traceback (most recent call last):
    ValueError: no such record.json: no such file; accepted: a file that was kept before
    """
    return _tests(files.read(path, LARGEST), Path(path).name)


def _tests(text: str, name: str) -> list[BlindTest]:
    """The tests of a record's text; `name`: its file, for refusals."""
    try:
        content = json.loads(text)
    except (json.JSONDecodeError, RecursionError) as problem:
        where = f" at line {problem.lineno}" if isinstance(problem, json.JSONDecodeError) else ""
        raise ValueError(f"{name}: not a complete JSON file{where}; the version before may be in "
                         f"{name}.before") from None
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise ValueError(f"{name}: not a record of blind tests (its 'format' should read {FORMAT!r})")
    if content.get("version") != VERSION:
        raise ValueError(f"{name}: version {content.get('version')!r} given; this program reads version "
                         f"{VERSION}")
    if not isinstance(content.get("tests"), list):
        raise ValueError(f"{name}: 'tests' should be a list")
    return [_checked(name, place, entry) for place, entry in enumerate(content["tests"], 1)]


def _plain(test: BlindTest) -> dict[str, Any]:
    return {"pair": list(test.pair), "truth": "".join(test.truth), "answers": "".join(test.answers),
            "swapped": test.swapped, "seed": test.seed}


def _checked(name: str, place: int, entry: Any) -> BlindTest:
    def refuse(what: str) -> NoReturn:
        raise ValueError(f"{name}, test {place}: {what}")

    if not isinstance(entry, dict):
        refuse(f"{type(entry).__name__} given; an object with {', '.join(FIELDS)} is expected")
    for field, kind in FIELDS.items():
        if type(entry.get(field)) is not kind:
            refuse(f"field {field!r} is missing or not a {kind.__name__}")
    pair, truth, answers = entry["pair"], entry["truth"], entry["answers"]
    named = all(isinstance(p, str) and p.strip() and len(p) <= LONGEST_NAME for p in pair)
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
