"""The learner's own files: read whole, and written whole or not at all, by one writer at a time.

A new version is written beside the file (`.NAME.part`), brought to the disk and only then put in its place;
the version before stays as `NAME.before`. Writers wait for one another by a lock of the operating system on
`.NAME.lock`, which ends with the process that holds it, so a killed writer blocks nobody; its `.part` is
removed by whoever opens the file next. A link is followed to the file it stands for.
"""

from __future__ import annotations

import errno
import os
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

try:
    import fcntl
except ImportError:                                                     # Windows
    fcntl = None  # type: ignore[assignment]
    import msvcrt

LONGEST_NAME = 200
"""Bytes of a file's name: most systems end at 255, and `.before` or `.part` must fit as well."""

LARGEST = 200_000_000
"""Bytes of a file that is still read whole."""

PATIENCE = 30.0
"""Seconds to wait for another writer; a write takes well under one."""

_WHY = {errno.ENOSPC: "no room left on the disk; make room, then save again",
        errno.EDQUOT: "your share of the disk is used up; make room, then save again",
        errno.EROFS: "the disk is read-only; choose another folder",
        errno.EACCES: "no right to write there, or another program holds the file open",
        errno.EPERM: "no right to write there, or another program holds the file open",
        errno.ENOENT: "there is no such folder; make it first, or choose another"}
_WAITING = (errno.EACCES, errno.EAGAIN, errno.EDEADLK)


def place(path: str | os.PathLike[str]) -> Path:
    """The ordinary file, there or still to be made, that `path` names: ~ filled in, links followed.

    Raises ValueError for a name that is empty, too long or unreadable, and for a folder, pipe or device.
    >>> place("necks/").name
    Traceback (most recent call last):
    ValueError: necks/: a folder's name; accepted: the name of a file, such as no_12.json
    """
    given = os.fspath(path) if isinstance(path, (str, os.PathLike)) else None
    if not isinstance(given, str):
        raise ValueError(f"file: {path!r} given; accepted: the name of a file as text, such as no_12.json")
    if not given.strip() or "\0" in given:
        raise ValueError(f"file: {given!r} given; accepted: a name, such as no_12.json")
    try:
        name = len(os.fsencode(Path(given).name))
        if name > LONGEST_NAME:
            raise ValueError(f"{Path(given).name[:40]}…: a name of {name} bytes; accepted: up to "
                             f"{LONGEST_NAME}")
        found = Path(given).expanduser().resolve()
        if found.is_dir() or given.endswith(("/", os.sep)):
            raise ValueError(f"{given}: a folder's name; accepted: the name of a file, such as no_12.json")
        if os.path.lexists(found) and not found.is_file():
            raise ValueError(f"{given}: not an ordinary file (a pipe or a device?); accepted: the name of a "
                             "file, such as no_12.json")
    except (OSError, RuntimeError, UnicodeError) as problem:
        raise ValueError(f"{given}: cannot be a file ({_reason(problem)})") from None
    return found


def read(path: str | os.PathLike[str], largest: int = LARGEST) -> str:
    """The text of a whole file (UTF-8, with or without a byte order mark; line ends as they stand).

    largest: bytes accepted. Raises ValueError that says what is wrong: not there, no ordinary file, too
    large, no right, not UTF-8.
    >>> read("nowhere.csv")
    Traceback (most recent call last):
    ValueError: nowhere.csv: no such file; accepted: a file that was kept before
    """
    found = place(path)
    if found.with_name(f".{found.name}.part").exists():
        with suppress(ValueError, OSError), _locked(found, patience=0.0):
            pass                                                # a killed writer's draft goes with the lock
    return _text(_bytes(found, path, largest), path)


def _bytes(found: Path, path: str | os.PathLike[str], largest: int) -> bytes:
    try:
        if (size := found.stat().st_size) > largest:
            raise ValueError(f"{path}: {size} bytes; accepted: at most {largest}")
        return found.read_bytes()
    except FileNotFoundError:
        raise ValueError(f"{path}: no such file; accepted: a file that was kept before") from None
    except OSError as problem:
        raise ValueError(f"{path}: cannot be read ({_reason(problem)})") from None


def _text(content: bytes, path: str | os.PathLike[str]) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = content.count(b"\n", 0, problem.start) + 1
        raise ValueError(f"{path}, line {line}: cannot be read as UTF-8 text ({problem.reason}); accepted: "
                         "text kept as UTF-8. Saved by a spreadsheet? Choose CSV UTF-8 there") from None


def write(path: str | os.PathLike[str], content: str | bytes, keep: bool = True) -> Path:
    """Put `content` in the file, whole or not at all. Returns the file's path as given.

    content: text, which takes the place of text only, or bytes, which take the place of any file; keep: an
    earlier version stays as NAME.before. Raises ValueError that says why nothing was written: see `place`; no
    folder, no right, no room, another writer that does not end, or something else than text in its place.
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     read(write(f"{folder}/notes.txt", "maple"))
    'maple'
    """
    def anew(old: bytes | None) -> bytes:
        if isinstance(content, bytes):
            return content
        _text(old or b"", path)
        return content.encode("utf-8")

    return _change(path, anew, LARGEST, keep)


def update(path: str | os.PathLike[str], change: Callable[[str | None], str], largest: int = LARGEST
           ) -> Path:
    """Read a file, change its text and write it, with no other writer in between: two that do so at once lose
    nothing. Returns the file's path as given.

    change: is given the text that stands there (None where there is no file yet) and returns the new one; if
    it raises, nothing is written. It must be quick: others wait. largest: bytes accepted. Raises ValueError
    as `read` and `write` do.
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     for word in "maple", "wenge":
    ...         kept = update(f"{folder}/notes.txt", lambda old: (old or "") + word + " ")
    ...     read(kept)
    'maple wenge '
    """
    return _change(path, lambda old: change(None if old is None else _text(old, path)).encode("utf-8"),
                   largest, True)


def _change(path: str | os.PathLike[str], change: Callable[[bytes | None], bytes], largest: int, keep: bool
            ) -> Path:
    found = place(path)
    try:
        with _locked(found):
            old = _bytes(found, path, largest) if found.exists() else None
            if old is not None:
                os.close(os.open(found, os.O_RDWR))             # a write-protected file is not replaced
            new = change(old)
            if new != old:                                      # or NAME.before would be the same again
                _replace(found, new, old, keep)
    except UnicodeEncodeError as problem:
        raise ValueError(f"{path}: half a character ({problem.object[problem.start]!r}) cannot be written; "
                         "accepted: text") from None
    except OSError as problem:
        raise ValueError(f"{path}: not written ({_reason(problem)}); the file that was there is as it "
                         "was") from None
    return Path(path)


def _replace(found: Path, content: bytes, old: bytes | None, keep: bool) -> None:
    """Put content in the file's place; both it and a copy of the old are on the disk before any name
    changes."""
    part, before = found.with_name(f".{found.name}.part"), found.with_name(f"{found.name}.before")
    older = found.with_name(f".{found.name}.before.part")
    try:
        _to_disk(part, content)
        if old is not None:
            shutil.copymode(found, part)
        if old is not None and keep:
            _to_disk(older, old)
            os.replace(older, before)
        os.replace(part, found)
        if fcntl:                                                       # the new name too must reach the disk
            with suppress(OSError):
                folder = os.open(found.parent, os.O_RDONLY)
                try:
                    os.fsync(folder)
                finally:
                    os.close(folder)
    finally:
        for draft in (part, older):
            draft.unlink(missing_ok=True)


def _to_disk(path: Path, content: bytes) -> None:
    with open(path, "xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _reason(problem: Exception) -> str:
    """Why, in words a learner can act on."""
    number = getattr(problem, "errno", None)
    return _WHY.get(number or 0) or getattr(problem, "strerror", None) or str(problem)


@contextmanager
def _locked(found: Path, patience: float | None = None) -> Iterator[None]:
    """Hold the file for this writer alone, between processes and threads; drafts of killed writers are gone
    inside. Raises OSError where the folder cannot be used, ValueError when one other writer does not end:
    where several take turns, each turn is waited for anew."""
    lock = found.with_name(f".{found.name}.lock")
    patience = PATIENCE if patience is None else patience
    until, holder = time.monotonic() + patience, None
    while (handle := _take(lock)) is None:
        with suppress(OSError):
            if (now := (lock.stat().st_ino, lock.stat().st_ctime_ns)) != holder:    # made anew at each turn
                holder, until = now, time.monotonic() + patience
        if time.monotonic() > until:
            raise ValueError(f"{found.name}: not written: another program has held the file for "
                             f"{patience:g} seconds; end it, then save again")
        time.sleep(0.002)
    try:
        for draft in (f".{found.name}.part", f".{found.name}.before.part"):
            found.with_name(draft).unlink(missing_ok=True)
        yield
    finally:
        if fcntl:                               # while it is held: who waits for a removed file sees so
            with suppress(OSError):
                lock.unlink()
        os.close(handle)


def _take(lock: Path) -> int | None:
    """The open handle of the lock if it could be had at once."""
    handle = os.open(lock, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o666)
    try:
        if fcntl:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if os.fstat(handle).st_ino == lock.stat().st_ino:
                return handle
        else:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)                  # type: ignore[attr-defined]
            return handle
    except FileNotFoundError:                                           # removed by the one who held it
        pass
    except OSError as problem:
        if problem.errno not in _WAITING:
            os.close(handle)
            raise
    os.close(handle)
    return None
