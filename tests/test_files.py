"""The learner's own files: a killed writer, a second writer, a full disk and a wrong name lose nothing."""

import errno
import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from tonewood import files

WRITER = """
import sys
from tonewood import files
path, count, mark = sys.argv[1], int(sys.argv[2]), sys.argv[3]
print("ready", flush=True)
k = 0
while k < count:
    files.update(path, lambda old: (old or "") + f"{mark}{k}\\n")
    k += 1
"""
REWRITER = """
import itertools, sys
from tonewood import files
print("ready", flush=True)
for k in itertools.count():
    files.write(sys.argv[1], f"{k}\\n" + f"{k % 10}" * 200_000 + "\\nend\\n")
"""


def start(code, *words):
    process = subprocess.Popen([sys.executable, "-c", code, *map(str, words)], stdout=subprocess.PIPE)
    assert process.stdout.readline() == b"ready\n"
    return process


def is_whole(text):
    number, body, end = text.split("\n", 2)
    return end == "end\n" and body == f"{int(number) % 10}" * 200_000


def test_a_killed_writer_leaves_the_old_file_or_the_new_one(tmp_path):
    path, seen = tmp_path / "log.csv", set()
    files.write(path, "0\n" + "0" * 200_000 + "\nend\n")
    for k in range(30):
        process = start(REWRITER, path)
        time.sleep(0.0007 * k)
        process.send_signal(signal.SIGKILL if os.name == "posix" else signal.SIGTERM)
        process.wait()
        seen |= set(os.listdir(tmp_path))
        assert is_whole(path.read_text())
        before = tmp_path / "log.csv.before"
        assert not before.exists() or is_whole(before.read_text())
    assert is_whole(files.read(path))
    files.write(path, "last")
    assert sorted(os.listdir(tmp_path)) == ["log.csv", "log.csv.before"] and files.read(path) == "last"
    assert len(seen) > 2, "no writer was ever killed half-way"


def test_two_writers_lose_nothing(tmp_path):
    path = tmp_path / "log.csv"
    writers = [start(WRITER, path, 60, mark) for mark in "ab"]
    assert [w.wait(timeout=60) for w in writers] == [0, 0]
    lines = path.read_text().split()
    assert [x for x in lines if x[0] == "a"] == [f"a{k}" for k in range(60)]
    assert [x for x in lines if x[0] == "b"] == [f"b{k}" for k in range(60)] and len(lines) == 120
    assert sorted(os.listdir(tmp_path)) == ["log.csv", "log.csv.before"]


@pytest.mark.parametrize("turns", [True, False])
def test_who_waits_through_the_turns_of_others_gets_in_but_not_past_one_that_stays(tmp_path, monkeypatch,
                                                                                   turns):
    path, real, tries = files.write(tmp_path / "log.csv", "maple"), files._take, iter(range(40))

    def held_by_others(lock):
        if next(tries, None) is None:
            return real(lock)
        if turns:
            lock.unlink(missing_ok=True)
        lock.touch(exist_ok=True)
        return None

    monkeypatch.setattr(files, "_take", held_by_others)
    if turns:                                               # 40 turns of 2 ms each, patience for 5
        with files._locked(path, 0.01):
            pass
    else:
        monkeypatch.setattr(Path, "touch", lambda *_, **__: None)
        (tmp_path / ".log.csv.lock").write_text("")
        with pytest.raises(ValueError, match="another program has held the file"), files._locked(path, 0.01):
            pass


def test_the_draft_of_a_killed_writer_goes_at_the_next_reading_but_never_a_living_ones(tmp_path):
    path = files.write(tmp_path / "log.csv", "maple")
    draft, other = tmp_path / ".log.csv.part", tmp_path / ".log.csv.csv.part"
    for file in (draft, other):
        file.write_text("hal")
    with files._locked(path):
        draft.write_text("hal")
        assert files.read(path) == "maple" and draft.exists()
    draft.write_text("hal")
    assert files.read(path) == "maple" and not draft.exists() and other.exists()


def test_the_version_before_is_kept_and_the_same_again_keeps_it(tmp_path):
    path = tmp_path / "log.csv"
    for text in ("one", "two", "two", "two"):
        files.write(path, text)
    assert path.read_text() == "two" and (tmp_path / "log.csv.before").read_text() == "one"


def test_bytes_take_the_place_of_anything_and_need_leave_no_version_before(tmp_path):
    path = files.write(tmp_path / "sheet.pdf", b"\xff\xd8one", keep=False)
    assert files.write(path, b"\xfftwo", keep=False).read_bytes() == b"\xfftwo"
    assert os.listdir(tmp_path) == ["sheet.pdf"]


def test_text_comes_back_as_it_was(tmp_path):
    text = "\ufeffNußbaum;1,5\r\nrow\n\r\"a\tb\"\r\n"
    assert files.read(files.write(tmp_path / "a", text)) == text[1:]
    assert files.read(files.write(tmp_path / "a", "")) == ""


def test_rights_are_kept_and_a_new_file_has_the_usual_ones(tmp_path):
    plain, path = tmp_path / "plain", files.write(tmp_path / "log.csv", "one")
    plain.write_text("")
    assert path.stat().st_mode == plain.stat().st_mode
    path.chmod(0o640)
    files.write(path, "two")
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_link_is_written_through_even_one_that_leads_to_nothing_yet(tmp_path):
    (tmp_path / "kept").mkdir()
    link = tmp_path / "log.csv"
    link.symlink_to(tmp_path / "kept" / "real.csv")
    for text in ("one", "two"):
        files.write(link, text)
        assert link.is_symlink() and (tmp_path / "kept" / "real.csv").read_text() == text == files.read(link)
    assert sorted(os.listdir(tmp_path / "kept")) == ["real.csv", "real.csv.before"]


def no_file(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "ring").symlink_to(tmp_path / "ring")
    (tmp_path / "plain").write_text("x")
    return {"a folder's name": [tmp_path, f"{tmp_path}/new/", ".", "/"],
            "not an ordinary file": [tmp_path / "pipe", "/dev/null"],
            "a name, such as": ["", "  ", "a\0b"],
            "accepted: up to 200": [tmp_path / ("n" * 201), tmp_path / ("ß" * 120)],
            "the name of a file as text": [None, 3, b"log.csv"],
            "cannot be a file|not an ordinary": [tmp_path / "ring", tmp_path / ("n" * 300) / "log.csv"],
            "no such f|cannot be read|not written": [tmp_path / "none" / "log.csv",
                                                     tmp_path / "plain" / "log.csv"]}


def test_what_is_no_file_is_refused_by_every_call(tmp_path):
    for words, given in no_file(tmp_path).items():
        for path in given:
            for call in (files.read, lambda p: files.write(p, "x"), lambda p: files.update(p, str)):
                with pytest.raises(ValueError, match=words):
                    call(path)
    assert sorted(os.listdir(tmp_path)) == ["pipe", "plain", "ring"]


def test_no_text_is_named_by_its_line_and_never_written_over(tmp_path):
    path = tmp_path / "picture.csv"
    path.write_bytes(b"fine\n\xff\xd8\xff")
    for call in (files.read, lambda p: files.write(p, "x")):
        with pytest.raises(ValueError, match="picture.csv, line 2: cannot be read as UTF-8.*CSV UTF-8"):
            call(path)
    assert path.read_bytes() == b"fine\n\xff\xd8\xff" and os.listdir(tmp_path) == ["picture.csv"]
    with pytest.raises(ValueError, match="5 bytes; accepted: at most 4"):
        files.read(files.write(tmp_path / "big", "maple"), largest=4)
    with pytest.raises(ValueError, match="half a character"):
        files.write(tmp_path / "half", "\ud800")


@pytest.mark.parametrize("call", ["fsync", "replace", "open"])
@pytest.mark.parametrize("number, words", [(errno.ENOSPC, "no room left on the disk; make room"),
                                           (errno.EROFS, "read-only"), (errno.EACCES, "no right"),
                                           (errno.EIO, "error")])
def test_a_disk_that_refuses_is_reported_and_nothing_is_lost(tmp_path, monkeypatch, call, number, words):
    path = tmp_path / "log.csv"
    for text in ("one", "two"):
        files.write(path, text)

    def refuse(*_, **__):
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as patch:
        patch.setattr(files.os, call, refuse)
        with pytest.raises(ValueError, match=f"log.csv: not written .*{words}.*as it was"):
            files.write(path, "three")
    assert path.read_text() == "two" and (tmp_path / "log.csv.before").read_text() == "one"
    assert sorted(os.listdir(tmp_path)) == ["log.csv", "log.csv.before"]
    files.write(path, "three")
    assert path.read_text() == "three"


def test_a_disk_that_is_really_full(tmp_path, monkeypatch):
    """Where there is a device that is always full, the draft goes there: the write itself fails."""
    path, honest = files.write(tmp_path / "log.csv", "one"), open

    def full(name, mode="r", *rest, **more):
        if not str(name).endswith(".part"):
            return honest(name, mode, *rest, **more)
        if not os.path.exists("/dev/full"):
            raise OSError(errno.ENOSPC, "full")
        return honest("/dev/full", "wb")

    monkeypatch.setattr("builtins.open", full)
    with pytest.raises(ValueError, match="no room left"):
        files.write(path, "two")
    monkeypatch.undo()
    assert path.read_text() == "one" and os.listdir(tmp_path) == ["log.csv"]


@pytest.fixture
def common_user():
    """A folder of somebody who is no superuser; the test is that person."""
    with tempfile.TemporaryDirectory() as name:
        folder, superuser = Path(name), getattr(os, "geteuid", lambda: 1)() == 0
        if superuser:
            os.chown(folder, 65534, 65534)
            os.seteuid(65534)
        try:
            yield folder
        finally:
            if superuser:
                os.seteuid(0)


def test_a_read_only_folder_or_file(common_user):
    path = files.write(common_user / "log.csv", "one")
    for thing, rights in ((common_user, 0o500), (path, 0o400)):
        thing.chmod(rights)
        try:
            with pytest.raises(ValueError, match="not written .no right.*as it was"):
                files.write(path, "two")
            assert files.read(path) == "one"
        finally:
            thing.chmod(0o700)
    assert os.listdir(common_user) == ["log.csv"]


def test_a_change_that_fails_writes_nothing_and_lets_the_next_in(tmp_path):
    path = files.write(tmp_path / "log.csv", "one")
    with pytest.raises(KeyError):
        files.update(path, lambda old: {}[old])
    assert files.update(path, lambda old: old + " two").read_text() == "one two"


def test_a_writer_that_never_ends_is_told_of(tmp_path, monkeypatch):
    path = files.write(tmp_path / "log.csv", "one")
    monkeypatch.setattr(files, "PATIENCE", 0.05)
    with files._locked(path), pytest.raises(ValueError, match="another program has held the file"):
        files.write(path, "two")
    assert path.read_text() == "one" and files.write(path, "two").read_text() == "two"


WINDOWS = """
import errno, fcntl, types
from tonewood import files

def locking(handle, mode, count):
    assert (mode, count) == (7, 1)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise PermissionError(errno.EACCES, "Permission denied") from None

files.fcntl, files.msvcrt = None, types.SimpleNamespace(LK_NBLCK=7, locking=locking)
"""
"""A machine without fcntl: what msvcrt.locking does there, and how it says that another holds the byte."""


def test_two_writers_lose_nothing_by_the_lock_of_windows(tmp_path):
    path = tmp_path / "log.csv"
    both = [start(WINDOWS + WRITER, path, 60, mark) for mark in "ab"]
    assert [one.wait(60) for one in both] == [0, 0]
    assert sorted(files.read(path).split()) == sorted(f"{mark}{k}" for mark in "ab" for k in range(60))
    left = sorted(name.name for name in tmp_path.iterdir())
    assert left == [".log.csv.lock", "log.csv", "log.csv.before"]       # there the lock file stays
