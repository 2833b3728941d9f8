"""A damaged table is refused whole, naming file, row and column."""

import pytest

from tonewood.tables import data_folder, read_table

COLUMNS = {"name": ("maple", "ash", "maple, hard"), "value": float}


@pytest.mark.parametrize("text, words", [
    ("name,number\nmaple,1\n", ["t.csv", "'value'", "name, number"]),
    ("name,value\nmaple,1\nash,heavy\n", ["t.csv", "line 3", "'value'", "'heavy'", "a number"]),
    ("name,value\nmaple,inf\n", ["line 2", "finite"]), ("name,value\n,1\n", ["line 2", "'name'", "empty"]),
    ("name,value\nmaple,1,2\n", ["line 2", "2 cells"]), ("name,value\nmaple\n", ["line 2", "2 cells"]),
    ("name,value\nmaple,1\nash,2\nmaple,3\n", ["t.csv, line 4", "'name'", "'maple'", "each name once"]),
    ("name,value\nstone,1\n", ["t.csv, line 2", "'name'", "'stone'", "accepted: maple, ash, maple, hard"])
])
def test_damaged_table(tmp_path, text, words):
    (tmp_path / "t.csv").write_text(text, encoding="utf-8")
    with pytest.raises(ValueError) as refusal:
        read_table("t.csv", COLUMNS, required=("name",), folder=tmp_path, once=("name",))
    for word in words:
        assert word in str(refusal.value)


def test_missing_file_and_wrong_encoding(tmp_path):
    with pytest.raises(ValueError, match="no such table"):
        read_table("t.csv", COLUMNS, folder=tmp_path)
    (tmp_path / "t.csv").write_bytes(b"name,value\nma\xffple,1\n")
    with pytest.raises(ValueError, match="UTF-8"):
        read_table("t.csv", COLUMNS, folder=tmp_path)


def test_quoted_cells_and_empty_numbers(tmp_path):
    (tmp_path / "t.csv").write_text('name,value\n"maple, hard",\n', encoding="utf-8")
    assert read_table("t.csv", COLUMNS, folder=tmp_path) == [{"name": "maple, hard", "value": None}]


def test_the_data_folder_holds_the_tables():
    assert {"species.csv", "properties.csv", "sources.csv"} <= {p.name for p in data_folder().iterdir()}


