"""Own woods in the learner's file: kept, listed, replaced by name, two writers at once lose nothing."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from tonewood.neck import own_file
from tonewood.wood import species as register
from tonewood.wood.own import OwnWood
from tonewood.wood.species import species


@pytest.fixture(autouse=True)
def empty_register(monkeypatch):
    monkeypatch.setattr(register, "_OWN", {})


def wood(name, density=700.0):
    return OwnWood(name=name, density=density)


def test_kept_woods_are_known_again_in_another_process(tmp_path):
    path = tmp_path / "my_woods.json"
    kept = [own_file.add(path, wood("Plum")), own_file.add(path, wood("Pear", 680.0))]
    register._OWN.clear()
    assert [w.own for w in own_file.load(path)] == [w.own for w in kept]
    assert species("plum").density == 700.0
    own_file.add(path, wood("Plum", 720.0))
    assert [w.name for w in own_file.load(path)] == ["Pear", "Plum"] and species("plum").density == 720.0
    own_file.remove(path, "Pear")
    assert [w.name for w in own_file.load(path)] == ["Plum"]
    with pytest.raises(ValueError, match="no own wood 'Pear'; it holds Plum"):
        own_file.remove(path, "Pear")


def test_writers_at_once_lose_nothing(tmp_path):
    path = tmp_path / "my_woods.json"
    with ThreadPoolExecutor(4) as several:
        list(several.map(lambda k: own_file.add(path, wood(f"Plum {k}")), range(20)))
    assert len(own_file.load(path)) == 20


@pytest.mark.parametrize("text, said", [
    ("{", "not a woods file"), ("[]", "schema: 'list' given"),
    ('{"schema": "tonewood own woods", "version": 2, "woods": []}', "version: 2 given"),
    ('{"schema": "tonewood own woods", "version": 1, "woods": [3]}', r"woods\[1\]: 3 given")])
def test_a_damaged_file_is_refused_by_name_and_left_alone(tmp_path, text, said):
    path = tmp_path / "my_woods.json"
    path.write_text(text)
    for job in (lambda: own_file.load(path), lambda: own_file.add(path, wood("Plum"))):
        with pytest.raises(ValueError, match=f"my_woods.json.*{said}"):
            job()
    assert path.read_text() == text
