"""The file a listener keeps of blind tests: written whole or not at all, the version before kept beside it, bad files refused."""

import json
import os
import tempfile
from pathlib import Path

from tonewood.sound.blind import FEWEST, MOST, BlindTest

FORMAT = "tonewood blind tests"
VERSION = 1
FIELDS = {"pair": list, "truth": str, "answers": str, "swapped": bool, "seed": int}
LARGEST = 5_000_000  # bytes


def save_test(path, test):
    """Add a finished BlindTest to the record file, which is made if missing.

    Writes a temporary file beside it and puts it in place only when complete; the version before stays as `<name>.previous`.
    Returns the list of all tests in the file. Raises ValueError for an unfinished test or an existing file that is not a record.
    """
    path = Path(path)
    test.result()
    tests = (load_tests(path) if path.exists() else []) + [test]
    text = json.dumps({"format": FORMAT, "version": VERSION, "tests": [_plain(t) for t in tests]}, indent=1, ensure_ascii=False)
    handle, draft = tempfile.mkstemp(prefix=path.name, suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            _keep(path)
        os.replace(draft, path)
    except BaseException:
        Path(draft).unlink(missing_ok=True)
        raise
    return tests


def load_tests(path):
    """Read a record file. Returns a list of BlindTest; scores are always computed anew from answers, never read.

    Raises ValueError naming the file, the test and the field; nothing is accepted in part.
    """
    path = Path(path)
    try:
        if path.stat().st_size > LARGEST:
            raise ValueError(f"{path.name}: {path.stat().st_size} bytes; a record of blind tests has at most {LARGEST}")
        content = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise ValueError(f"{path.name}: no such file in {path.parent}") from None
    except UnicodeDecodeError:
        raise ValueError(f"{path.name}: not a UTF-8 text file") from None
    except (json.JSONDecodeError, RecursionError) as problem:
        where = f" at line {problem.lineno}" if isinstance(problem, json.JSONDecodeError) else ""
        raise ValueError(f"{path.name}: not a complete JSON file{where}; the version before may be in {path.name}.previous") from None
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise ValueError(f"{path.name}: not a record of blind tests (its 'format' should read {FORMAT!r})")
    if content.get("version") != VERSION:
        raise ValueError(f"{path.name}: version {content.get('version')!r} given; this program reads version {VERSION}")
    if not isinstance(content.get("tests"), list):
        raise ValueError(f"{path.name}: 'tests' should be a list")
    return [_checked(path.name, place, entry) for place, entry in enumerate(content["tests"], 1)]


def summary(tests):
    """One row per test with names, score and chance; pandas DataFrame. Running many tests finds a lucky one: the table shows them all."""
    import pandas
    rows = [{"first sound": t.pair[0], "second sound": t.pair[1]} | t.result().table().iloc[0].to_dict() for t in tests]
    return pandas.DataFrame(rows)


def _plain(test):
    return {"pair": list(test.pair), "truth": "".join(test.truth), "answers": "".join(test.answers), "swapped": test.swapped, "seed": test.seed}


def _keep(path):
    """Copy the present file to <name>.previous, itself by a temporary file."""
    handle, draft = tempfile.mkstemp(prefix=path.name, suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(path.read_bytes())
        os.replace(draft, path.with_name(path.name + ".previous"))
    except BaseException:
        Path(draft).unlink(missing_ok=True)
        raise


def _checked(name, place, entry):
    def refuse(what):
        raise ValueError(f"{name}, test {place}: {what}")

    if not isinstance(entry, dict):
        refuse(f"{type(entry).__name__} given; an object with {', '.join(FIELDS)} is expected")
    for field, kind in FIELDS.items():
        if type(entry.get(field)) is not kind:
            refuse(f"field {field!r} is missing or not a {kind.__name__}")
    pair, truth, answers = entry["pair"], entry["truth"], entry["answers"]
    if len(pair) != 2 or not all(isinstance(p, str) and 0 < len(p) <= 200 for p in pair) or pair[0] == pair[1]:
        refuse(f"field 'pair': {str(pair)[:80]} given; two different names are expected")
    for field, letters in (("truth", truth), ("answers", answers)):
        if not FEWEST <= len(letters) <= MOST or set(letters) - {"A", "B"}:
            refuse(f"field {field!r}: {letters[:40]!r} given; {FEWEST} to {MOST} letters A or B are expected")
    if len(truth) != len(answers):
        refuse(f"{len(answers)} answers to {len(truth)} trials; only finished tests are kept")
    if not 0 <= entry["seed"] < 2**63:
        refuse(f"field 'seed': {entry['seed']} given; a whole number from 0 is expected")
    return BlindTest(tuple(pair), tuple(truth), entry["swapped"], entry["seed"], tuple(answers))
