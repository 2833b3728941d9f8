"""The tables in data/: every source resolves and none is left over, and a faulty table is refused by file,
row and column."""

import csv
import shutil
from pathlib import Path

import pytest

import tonewood
from tonewood.schema import STATUSES
from tonewood.tables import TABLES, data_folder
from tonewood.wood.facts import load, rule
from tonewood.wood.species import _catalogue

FILES = ("species.csv", "properties.csv", "rules.csv", "cautions.csv", "sources.csv")


def rows(name, folder=None):
    with open((folder or data_folder()) / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def with_source_column():
    out = {}
    for path in sorted(data_folder().glob("*.csv")):
        if path.name != "sources.csv":
            table = rows(path.name)
            if table and "source" in table[0]:
                out[path.name] = table
    return out


ROWS = [(name, row) for name, table in with_source_column().items() for row in table]


def test_the_tables_of_facts_all_name_sources():
    assert {"properties.csv", "rules.csv", "cautions.csv", "materials.csv", "finishes.csv",
            "towns.csv", "rooms.csv", "indoor_humidity.csv"} <= {name for name, _ in ROWS}


def test_every_source_used_in_a_table_is_listed():
    listed = {row["key"] for row in rows("sources.csv")}
    assert [(name, row) for name, row in ROWS if row["source"] not in listed] == []


def test_every_source_listed_is_used():
    """In a table's source column, in a note, or named by its key in the code that holds the formula."""
    used = {row["source"] for _, row in ROWS}
    text = " ".join(row.get("note") or "" for _, row in ROWS)
    text += "".join(path.read_text(encoding="utf-8") for path in Path(tonewood.__file__).parent.rglob("*.py"))
    assert [row["key"] for row in rows("sources.csv") if row["key"] not in used
            and row["key"] not in text] == []


def test_every_status_is_one_of_the_four_words():
    assert [(name, row) for name, row in ROWS if row.get("status", STATUSES[0]) not in STATUSES] == []


def test_every_table_is_declared():
    """What is declared in TABLES is checked when it is read: columns, units, ranges, words, keys."""
    assert {path.name for path in data_folder().glob("*.csv")} == set(TABLES)


def test_no_rule_is_undeclared_and_no_table_grew_without_its_count():
    assert {row["rule"] for row in rows("rules.csv")} == set(TABLES["rules.csv"].quantities)
    own = ("species.csv", "properties.csv", "cautions.csv", "finishes.csv")
    assert {name: len(rows(name)) for name in own} == {name: TABLES[name].least for name in own}


def test_published_rows_name_a_place():
    assert [row for row in rows("properties.csv") if row["status"] == "published"
            and row["place"] in ("", "none")] == []


def test_citations_are_full():
    assert [row for row in rows("sources.csv")
            if not (len(row["citation"]) > 30 and row["kind"] and row["rights"])] == []


def test_finishes_fade_with_time():
    table = rows("finishes.csv")
    for name in ("shellac", "lacquer", "tung oil"):
        tested = sorted((int(r["days"]), float(r["effectiveness"])) for r in table
                        if r["finish"] == name and r["coats"] == "2")
        series = [effectiveness for _, effectiveness in tested]
        assert len(series) == 3 and series == sorted(series, reverse=True)


@pytest.fixture
def broken(tmp_path):
    """A copy of the tables, and a function that edits one cell or the text of one file."""
    for name in FILES:
        shutil.copy(data_folder() / name, tmp_path / name)

    def edit(name, change):
        table = rows(name, tmp_path)
        table = change(table) or table
        with open(tmp_path / name, "w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, table[0])
            writer.writeheader()
            writer.writerows(table)
        return str(tmp_path)

    return edit


def cell(row, column, value):
    def change(table):
        table[row - 1][column] = value
    return change


def test_a_sound_copy_is_read(broken):
    folder = broken("properties.csv", lambda table: None)
    assert len(_catalogue(folder)[0]) == len(_catalogue()[0])
    assert rule("longitudinal_modulus", folder).value == 1.10


def test_missing_column(broken):
    folder = broken("properties.csv",
                    lambda table: [{k: v for k, v in row.items() if k != "status"} for row in table])
    with pytest.raises(ValueError, match="properties.csv, line 1: column 'status' missing"):
        load(folder)


def test_missing_file(tmp_path):
    with pytest.raises(ValueError, match="sources.csv: no such table"):
        load(str(tmp_path))


def test_text_in_a_number_column(broken):
    with pytest.raises(ValueError, match="properties.csv, line 4, column 'value': 'about 12' given; a num"):
        load(broken("properties.csv", cell(3, "value", "about 12")))


@pytest.mark.parametrize(("column", "value", "message"), [
    ("status", "probably", "line 4, column 'status': 'probably' given; accepted: published"),
    ("source", "somebody", "line 4, column 'source': 'somebody' given; accepted: a key of sources.csv"),
    ("species", "hard_mapel", "line 4, column 'species': 'hard_mapel' given"),
    ("property", "stiffness", "line 4, column 'property': 'stiffness' given; accepted: specific_gravity"),
    ("unit", "lb", "line 4, column 'unit': 'lb' given"),
    ("use", "maybe", "line 4, column 'use': 'maybe' given; accepted: main, alternative"),
    ("value", "-1",
     "line 4, column 'value': -1.0 given; accepted: 0.1 to 1.2; is a unit or a decimal point wrong"),
    ("value", "0",
     "line 4, column 'value': 0.0 given; accepted: 0.1 to 1.2; is a unit or a decimal point wrong"),
    ("value", "700000",
     "line 4, column 'value': 700000.0 given; accepted: .*; is a unit or a decimal point wrong"),
    ("value", "nan", "line 4, column 'value': 'nan' given; a finite number is expected"),
    ("value", "", "line 4, column 'value': empty"),
    ("cov", "14", "line 4, column 'cov': 14.0 given; accepted: .* .a fraction"),
    ("source", "memory", "line 4, .*'from memory' exactly where the source is 'memory'"),
])
def test_faulty_property_row_is_named(broken, column, value, message):
    with pytest.raises(ValueError, match="properties.csv, " + message):
        load(broken("properties.csv", cell(3, column, value)))


def test_same_fact_twice(broken):
    with pytest.raises(ValueError, match="line 7, .*once; it stands in line 3 already"):
        load(broken("properties.csv", lambda table: table[:5] + [table[1]] + table[5:]))


def test_species_twice(broken):
    with pytest.raises(ValueError, match="species.csv, line 3, .*each key once"):
        load(broken("species.csv", lambda table: [table[0], *table]))


def test_two_woods_with_one_name(broken):
    with pytest.raises(ValueError, match="'hardmaple' also belongs to 'hard_maple'"):
        _catalogue(broken("species.csv", cell(2, "synonyms", "Hard Maple")))


@pytest.mark.parametrize(("column", "value"),
                         [("group", "fruitwood"), ("loss_class", "quiet"), ("uses", "neck;banjo")])
def test_faulty_species_row(broken, column, value):
    with pytest.raises(ValueError, match=f"species.csv, line 2, column '{column}'"):
        load(broken("species.csv", cell(1, column, value)))


def test_caution_for_an_unknown_wood(broken):
    with pytest.raises(ValueError, match="cautions.csv, line 8, column 'species'"):
        load(broken("cautions.csv", cell(7, "species", "unobtainium")))


def test_source_key_twice(broken):
    with pytest.raises(ValueError, match="sources.csv, line 3, .*each key once"):
        load(broken("sources.csv", lambda table: [table[0], *table]))


def without(table, wood, names):
    """The table without these properties of a wood; alternative rows of another keep its length."""
    kept = [row for row in table if not (row["species"] == wood and row["property"] in names)]
    return kept + [{**kept[0], "use": "alternative", "note": f"again {i}"}
                   for i in range(len(table) - len(kept))]


def test_main_row_twice_with_another_value(broken):
    with pytest.raises(ValueError, match="line 7, column 'property': .*one main row for each species"):
        load(broken("properties.csv", lambda table: table[:5] + [{**table[1], "value": "700"}] + table[5:]))


def test_wood_without_density_or_specific_gravity(broken):
    names = ("density", "specific_gravity", "specific_gravity_green")

    def drop(table):
        return without(table, "koa", names)
    with pytest.raises(ValueError, match="species 'koa': neither density nor a specific gravity"):
        _catalogue(broken("properties.csv", drop))


def test_wood_without_modulus_is_filled_and_marked(broken):
    folder = broken("properties.csv",
                    lambda table: without(table, "koa", ("bending_modulus",)))
    wood = {w.key: w for w in _catalogue(folder)[0]}["koa"]
    assert wood.status("bending_modulus") == "estimated"
    assert wood.fact("bending_modulus").value == pytest.approx(18.5 * (610 / 1120) ** 0.95, rel=1e-6)


def test_unknown_rule_is_refused():
    with pytest.raises(ValueError, match="rule: 'golden' given; accepted: 'hardwood_E_R_ratio'"):
        rule("golden")


def test_limits_that_are_not_stated_are_refused():
    assert rule("shrinkage_longitudinal").limits == (0.1, 0.2)
    with pytest.raises(ValueError, match="rule: 'fibre_saturation' states no low and high"):
        _ = rule("fibre_saturation").limits
