"""The listener's file: nothing half-written, the version before kept, bad files refused with a reason."""

import json
import os
import subprocess
import sys
from dataclasses import replace

import pytest

from tonewood.sound import record
from tonewood.sound.blind import plan


def finished(seed=1, pair=("one", "two"), trials=6):
    test = plan(pair, trials, seed)
    while not test.done:
        test = test.answer("A")
    return test


def test_tests_come_back_equal(tmp_path):
    path = tmp_path / "listening.json"
    record.save_test(path, finished(1))
    kept = record.save_test(path, finished(2, ("<b>Ahorn</b> & \"Nuss\"", "Ebenholz, geölt")))
    assert record.load_tests(path) == kept == [finished(1),
                                               finished(2, ("<b>Ahorn</b> & \"Nuss\"", "Ebenholz, geölt"))]


def test_the_version_before_is_kept_and_no_draft_is_left(tmp_path):
    path = tmp_path / "listening.json"
    record.save_test(path, finished(1))
    assert not (tmp_path / "listening.json.before").exists()
    first = path.read_bytes()
    record.save_test(path, finished(2))
    assert (tmp_path / "listening.json.before").read_bytes() == first
    assert sorted(os.listdir(tmp_path)) == ["listening.json", "listening.json.before"]


def test_a_failed_write_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "listening.json"
    record.save_test(path, finished(1))
    before = path.read_bytes()

    def full(handle):
        raise OSError(28, "No space left on device")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ValueError, match="listening.json: not written .no room left"):
        record.save_test(path, finished(2))
    assert path.read_bytes() == before and os.listdir(tmp_path) == ["listening.json"]


def test_an_unfinished_test_is_not_kept(tmp_path):
    with pytest.raises(ValueError, match="0 of 12 trials answered"):
        record.save_test(tmp_path / "listening.json", plan(("one", "two")))
    assert os.listdir(tmp_path) == []


def test_a_foreign_file_is_neither_read_nor_overwritten(tmp_path):
    path = tmp_path / "shopping.json"
    path.write_text('{"milk": 2}')
    with pytest.raises(ValueError, match="shopping.json: not a record of blind tests"):
        record.save_test(path, finished())
    assert path.read_text() == '{"milk": 2}' and os.listdir(tmp_path) == ["shopping.json"]


def good(tmp_path):
    path = tmp_path / "listening.json"
    record.save_test(path, finished(1))
    record.save_test(path, finished(2))
    return path, json.loads(path.read_text())


@pytest.mark.parametrize("spoil, words", [
    (lambda c: c.update(version=2), "version 2"),
    (lambda c: c.update(tests={}), "'tests' should be a list"),
    (lambda c: c["tests"].append("x"), "test 3: str given"),
    (lambda c: c["tests"][1].pop("truth"), "test 2: field 'truth' is missing"),
    (lambda c: c["tests"][1].update(swapped=1), "test 2: field 'swapped' is missing or not a bool"),
    (lambda c: c["tests"][0].update(truth="ABABCC"), "test 1: field 'truth'"),
    (lambda c: c["tests"][0].update(answers="ABAB"), "field 'answers'"),
    (lambda c: c["tests"][0].update(answers="ABABABAB"), "8 answers to 6 trials"),
    (lambda c: c["tests"][0].update(pair=["one", "one"]), "two different names"),
    (lambda c: c["tests"][0].update(pair=["one", "x" * 500]), "two different names"),
    (lambda c: c["tests"][0].update(seed=-4), "field 'seed'")])
def test_damaged_entries_are_refused_whole(tmp_path, spoil, words):
    path, content = good(tmp_path)
    spoil(content)
    path.write_text(json.dumps(content))
    with pytest.raises(ValueError, match=f"listening.json.*{words}"):
        record.load_tests(path)


@pytest.mark.parametrize("data, words",
                         [(b'{"format": "tone', "not a complete JSON file at line 1.*before"),
                          (b"\xff\xfe\x00x", "UTF-8"),
                                         (b"[1, 2]", "not a record"), (b"", "not a complete JSON"),
                                         (b"[" * 200000, "JSON")])
def test_broken_files_are_refused(tmp_path, data, words):
    path = tmp_path / "listening.json"
    path.write_bytes(data)
    with pytest.raises(ValueError, match=words):
        record.load_tests(path)


def test_missing_and_oversized_files(tmp_path):
    with pytest.raises(ValueError, match="no such file"):
        record.load_tests(tmp_path / "none.json")
    (tmp_path / "big.json").write_bytes(b" " * (record.LARGEST + 1))
    with pytest.raises(ValueError, match="at most"):
        record.load_tests(tmp_path / "big.json")


LATER = """
import sys
from tonewood.sound import record
from tonewood.sound.blind import plan
print("ready", flush=True)
for seed in range(30):
    test = plan((sys.argv[2], "two"), 5, seed)
    for _ in range(5):
        test = test.answer("A")
    record.save_test(sys.argv[1], test)
"""


def test_two_listeners_at_once_lose_nothing(tmp_path):
    path = tmp_path / "listening.json"
    pages = [subprocess.Popen([sys.executable, "-c", LATER, path, name]) for name in "ab"]
    assert [page.wait(timeout=60) for page in pages] == [0, 0]
    kept = [(test.pair[0], test.seed) for test in record.load_tests(path)]
    assert sorted(kept) == sorted((name, seed) for name in "ab" for seed in range(30))


@pytest.mark.parametrize("pair", [("", "two"), ("one", " "), ("one", "x" * 201)])
def test_a_name_that_could_not_be_read_again_is_never_kept(tmp_path, pair):
    path = tmp_path / "listening.json"
    record.save_test(path, finished(1))
    with pytest.raises(ValueError, match="names of 1 to 200 letters"):
        plan(pair)
    with pytest.raises(ValueError, match="the test just done.*two different names"):
        record.save_test(path, replace(finished(2), pair=pair))
    assert record.load_tests(path) == [finished(1)]


def test_a_full_record_stays_readable(tmp_path, monkeypatch):
    path = tmp_path / "listening.json"
    record.save_test(path, finished(1))
    monkeypatch.setattr(record, "LARGEST", path.stat().st_size + 10)
    with pytest.raises(ValueError, match="full with 1 tests; name another"):
        record.save_test(path, finished(2))
    assert record.load_tests(path) == [finished(1)]


def test_a_score_written_into_the_file_is_ignored(tmp_path):
    path, content = good(tmp_path)
    honest = record.load_tests(path)[0].result()
    content["tests"][0]["right"] = 6
    path.write_text(json.dumps(content))
    assert record.load_tests(path)[0].result() == honest
