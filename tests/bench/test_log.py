"""The board log: what is kept comes back, whatever spreadsheet had the file in between; a bad row costs
itself alone."""

import csv
import io
import os
import re
import subprocess
import sys
from datetime import date

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from tonewood import files
from tonewood.bench.log import add, read_log
from tonewood.bench.log_columns import BY_NAME, COLUMNS, MEASURED, Measurement, column_of, day
from tonewood.bench.log_text import guarded, rows, unguarded

BEND = Measurement(date="2026-11-27", board="A7", wood="hard maple", measured="bend", load=98.0665, span=0.7,
                   deflection=0.00094, width=0.062, thickness=0.022, moisture=0.085, temperature=20.5,
                   humidity=0.46, who="K.", note="grain up; second try")
TAP = Measurement(date=date(2026, 11, 28), board="A7", measured="tap", frequency=412.3, loss=0.0081)
GAP = Measurement(date="2026-12-01", neck="No. 12", measured="gap, strings on", value=0.31, unit="mm", fret=8)
KEPT = (BEND, TAP, GAP)


def same(one, other):
    """Equal but for the place in a file and the last digit of a number."""
    for column in COLUMNS:
        a, b = getattr(one, column.name), getattr(other, column.name)
        if a != b and (column.type != "number" or a is None or b is None or abs(a - b) > 1e-11 * abs(b)):
            return False
    return True


NUMBER = r"[+-]?\d+([.,]\d+)?([eE][+-]?\d+)?"        # is one, not a formula


def kept(path, *measurements):
    return read_log(add(path, *measurements))


def written(tmp_path, text, name="log.csv"):
    (tmp_path / name).write_bytes(text.encode("utf-8"))
    return tmp_path / name


@pytest.fixture
def path(tmp_path):
    return add(tmp_path / "log.csv", *KEPT)


# ---- what is kept
def test_a_new_log_says_its_units_and_opens_in_a_spreadsheet(path):
    raw = path.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")
    head, first, *_ = csv.reader(io.StringIO(raw.decode("utf-8-sig")))
    row = dict(zip(head, first, strict=True))
    assert row["date"] == "2026-11-27" and row["thickness (mm)"] == "22" and row["load (kg)"] == "10"
    assert row["moisture (%)"] == "8.5" and row["deflection (mm)"] == "0.94"
    assert row["loss factor (thousandths)"] == ""


labels = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12)
notes = st.text(st.characters(exclude_categories=["Cs", "Cc"], include_characters="\t\n\r"), max_size=30) \
    | st.sampled_from(["=1+1", "'=1+1", "''", "@x", '"', '";"', "-", "+49 30", "'tis", "\tx", "=\n", "a\r\n"])


@st.composite
def measurements(draw):
    name = draw(st.sampled_from(sorted(MEASURED)))
    kind, given = MEASURED[name], {}
    for column in COLUMNS:
        needed = column.name in kind.needs
        if column.type == "number" and column.name != "value" and (needed or draw(st.booleans())):
            given[column.name] = draw(st.floats(column.low + 1e-6, column.high * 0.999)) * column.si
    if "value" in kind.needs:
        given["value"] = draw(st.floats(-1e6, 1e6))
        given["unit"] = draw(st.sampled_from(kind.units or ("=m²",)))
    board = draw(labels)
    return Measurement(date=draw(st.dates(date(1900, 1, 1), date(2200, 1, 1))), measured=name, board=board,
                       neck=draw(labels) if board.strip() else "x", who=draw(labels), note=draw(notes),
                       wood=draw(labels), fret=draw(st.none() | st.integers(0, 36)), **given)


@settings(deadline=None, max_examples=60, phases=[Phase.generate])
@given(st.lists(measurements(), min_size=1, max_size=4), st.sampled_from(",;\t"),
       st.sampled_from(["\n", "\r\n", "\r"]), st.booleans())
def test_whatever_is_kept_comes_back_in_every_form_of_file(tmp_path_factory, told, separator, end, own):
    path = tmp_path_factory.mktemp("log") / "log.csv"
    names = [column.header for column in COLUMNS]
    names = ["Lager=Ort", *(name.upper() for name in names if name != "string")] if own else names
    path.write_bytes((separator.join(names) + end).encode())
    log = kept(path, *told)
    assert log.faults == () and len(log) == len(told)
    assert all(same(*pair) for pair in zip(log, told, strict=True))
    for line in csv.reader(io.StringIO(log.text, newline=""), delimiter=separator):
        for name, cell in zip(log.form.header, line, strict=True):
            column = column_of(name)
            if line != list(log.form.header) and not (column and column[0].type in ("number", "whole")):
                assert not cell.startswith(tuple("=+-@\t\r")) or re.fullmatch(NUMBER, cell)


@given(st.text(st.sampled_from("'=+-@ab1\t\r\n＝"), max_size=6))
def test_guarding_text_against_formulas_can_be_undone(text):
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(tuple("=@\t\r\n＝"))


# ---- what other programs make of it
GERMAN = ('\ufeffDATE;Board;Lagerort;MEASURED;Mass (kg);Length [cm];width (mm);thickness (mm);Note\r\n'
          '27.11.2026;A7;"Regal; oben";Weigh;0,412;45;44,7;20,05;\r\n\r\n'
          '2026-11-28;A8;=unten;WEIGH;0,398;45;44,7;20;\'=fein\r\n')


def test_a_file_from_another_country_is_read_and_kept_in_its_form(tmp_path):
    path = written(tmp_path, GERMAN)
    log = read_log(path)
    assert log.faults == ()
    first, second = log
    assert (first.date, first.mass, first.length, first.width) == (date(2026, 11, 27), 0.412, 0.45, 0.0447)
    assert first.more == (("Lagerort", "Regal; oben"),) and first.thickness == 0.02005
    assert second.note == "=fein"
    log = log.add(BEND)
    text = path.read_bytes().decode()
    assert text.startswith(GERMAN.replace(";Note", ";Note;wood;load (kg);span (mm);deflection (mm);"
                                          "moisture (%);temperature (°C);humidity (%);who"))
    assert text.endswith('2026-11-27;A7;;bend;;;62;22;"grain up; second try";hard maple;10;700;0,94;8,5;20,5;'
                         "46;K.\r\n")
    assert log.faults == () and same(log.measurements[-1], BEND)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_separators_line_ends_and_the_order_of_columns_do_not_matter(tmp_path, separator, end):
    lines = [["Frequency (kHz)", "neck", "MEASURED", "Board", "date", "temperature (°F)",
              "humidity (fraction)"], ["0.4123", "", "tap", "A7", "2026-11-28", "68", "0.46"],
             ["0.5", "", "tap", "A7", "2026-11-28T10:30", "", ""]]
    path = written(tmp_path, end.join(separator.join(line) for line in lines))
    log = read_log(path)
    assert log.faults == () and [m.frequency for m in log] == [412.3, 500.0]
    assert log.measurements[0].temperature == 20.0 and log.measurements[0].humidity == 0.46
    assert [m.frequency for m in log.add(TAP)] == [412.3, 500.0, 412.3]


def test_the_line_by_which_spreadsheets_tell_the_separator_stays(tmp_path):
    text = "sep=;\ndate;board;measured;mass (g)\n2026-11-27;A7;weigh;412\n"
    log = kept(written(tmp_path, text), TAP)
    assert [m.measured for m in log] == ["weigh", "tap"] and log.text.startswith("sep=;\ndate;")


BAD = {"2026-11-27,A7,tap,,,4l2,,": "line 3, column 'frequency .Hz.': '4l2' given; accepted: from 5 to 20000",
       "2026-11-27,A7,tap,,,0.412,,": "Did you mean 0.412 kHz, that is 412 Hz",
       "2026-11-27,A7,tap,,,412,0.75,": "column 'loss factor': '0.75' given.*0.75 %, that is 7.5 thousandths",
       "2026-11-27,A7,weigh,0.45,412,,,": "column 'length .mm.': '0.45'.*0.45 m, that is 450 mm",
       "2026-11-27,A7,weigh,450,0.412,,,": "column 'mass .g.': '0.412'.*0.412 kg, that is 412 g",
       "2026-11-27,A7,weigh,450,\"1,412\",,,": "'1,412' given.*without marks between thousands",
       "2026-11-27,A7,weigh,450,1_412,,,": "'1_412' given",
       "2026-11-27,A7,weigh,450,nan,,,": "'nan' given", "2026-11-27,A7,weigh,450,=2+2,,,": "'=2.2' given",
       "2026-02-30,A7,tap,,,412,,": "column 'date': '2026-02-30' given; accepted: year, month and day",
       "11/27/2026,A7,tap,,,412,,": "column 'date': '11/27/2026'", ",A7,tap,,,412,,": "column 'date': empty",
       "2026-11-27,A7,tapp,,,412,,": "column 'measured': 'tapp'.*Did you mean 'tap'",
       "2026-11-27,A7,,,,412,,": "column 'measured': empty; accepted: weigh, bend",
       "2026-11-27,,tap,,,412,,": "column 'board': empty, and so is neck",
       "2026-11-27,A7,tap,,,,,": "column 'frequency .Hz.': empty; accepted: a number, which 'tap'",
       "2026-11-27,A7,tap,,,412,,a,b": "9 cells, the header has 8; is a comma unquoted",
       '2026-11-27,A7,tap,,,412,,"open': "a quote that is not closed",
       '2026-11-27,A7,tap,,,412,,"a"b': "a quote that is not closed, or one too many"}
SHORT = "date,board,measured,length (mm),mass (g),frequency (Hz),loss factor,note\n"


@pytest.mark.parametrize("bad", BAD)
def test_a_row_that_cannot_be_read_is_named_and_nothing_else_is_lost(tmp_path, bad):
    good = "2026-11-27,A7,weigh,450,412,,,first\n", "2026-11-28,A8,tap,,,415,,last\n"
    path = written(tmp_path, SHORT + good[0] + bad + "\n" + good[1])
    log = read_log(path)
    assert [m.note for m in log] == ["first", "last"] and [f.line for f in log.faults] == [3]
    with pytest.raises(AssertionError, match=BAD[bad]):
        raise AssertionError(str(log.faults[0]))
    log = log.add(TAP).edit(2, note="=changed")
    assert [m.note for m in log] == ["=changed", "last", ""]
    assert [f.line for f in log.faults] == [3] and f"\n{bad}\n{good[1]}" in path.read_text("utf-8")


def test_a_bad_row_is_mended_by_its_line(tmp_path):
    path = written(tmp_path, SHORT + "2026-11-27,A7,weigh,0.45,412,,,first\n")
    log = read_log(path)
    with pytest.raises(ValueError, match="line 2, column 'length .mm.': '45000'"):
        log.edit(2, length=45)
    assert read_log(path).text == log.text
    log = log.edit(2, length=0.45)
    assert log.faults == () and log.measurements[0].length == 0.45


def test_a_quote_that_swallows_lines_costs_only_its_own(tmp_path):
    lines = [f"2026-11-27,A{k},weigh,450,412,,," + '"' * (k in (3, 7)) + f"n{k}\n" for k in range(10)]
    log = read_log(written(tmp_path, SHORT + "".join(lines)))
    assert [m.board for m in log] == [f"A{k}" for k in range(10) if k not in (3, 7)]
    assert [f.line for f in log.faults] == [5, 9]


@given(st.text(st.sampled_from('a",;\n\r x'), max_size=40))
def test_rows_joined_are_the_text(text):
    assert "".join(row.text for row in rows(text, ",")) == text
    assert "".join(row.text for row in rows(text, ",", 3)) == text


@pytest.mark.parametrize("text, words", [
    ("milk,price\nx,1\n", "line 1: no column 'date'; accepted: a log"),
    ("x", "no column 'date'"),
    ("date,measured,board,length\n", "column 'length': no unit that is known; accepted: length .mm., "),
    ("date,measured,board,mass (stone)\n", "column 'mass .stone.': no unit.*mass .g., mass .kg."),
    ("date,measured,board,mass (g),Mass (kg)\n", "column mass: stands twice"),
    ("date,measured,board,shelf,shelf\n", "column shelf: stands twice")])
def test_a_file_that_is_no_log_is_refused_and_left_alone(tmp_path, text, words):
    path = written(tmp_path, text)
    with pytest.raises(ValueError, match=f"log.csv, .*{words}"):
        read_log(path)
    with pytest.raises(ValueError, match=words):
        add(path, TAP)
    assert path.read_text() == text and os.listdir(tmp_path) == ["log.csv"]


def test_an_empty_file_is_an_empty_log(tmp_path):
    log = read_log(written(tmp_path, "\ufeff \n"))
    assert len(log) == 0 and log.faults == () and len(log.add(TAP)) == 1


def test_thousands_that_may_be_decimals_are_refused(tmp_path):
    head = "date;board;measured;mass (g)\n2026-11-27;A7;weigh;%s\n"
    for cell, mass in (("1412", 1.412), ("1412,5", 1.4125), ("412.5", 0.4125), ("0.412", None),
                       ("1.412", None)):
        log = read_log(written(tmp_path, head % cell))
        assert [m.mass for m in log] == ([mass] if mass else []), cell
    assert "without marks between thousands" in str(log.faults[0])


# ---- changes
def test_search_edit_and_label(path):
    log = read_log(path)
    assert [m.line for m in log.search("MAPLE a7")] == [2] == [m.line for m in log.search(measured="Bend")]
    assert log.search("maple", board="A8") == () and len(log.search()) == 3
    assert [m.line for m in log.search(neck="No. 12")] == [4]
    assert [m.line for m in log.search('second "try')] == [2]
    log = log.edit(2, note="", thickness=0.0221, date="2026-11-26", measured="BEND", who="@K")
    first = log.measurements[0]
    assert (first.note, first.thickness, first.date, first.who) == ("", 0.0221, date(2026, 11, 26), "@K")
    assert first.load == pytest.approx(98.0665) and "'@K" in log.text
    log = log.label([2, 3], "B1")
    assert [m.board for m in log] == ["B1", "B1", ""] and files.read(f"{path}.before") != log.text
    assert list(log.table().columns[:3]) == ["line", "date", "board"]
    assert len(log.table(log.search("B1"))) == 2 and [m.line for m in log.search("B1")] == [2, 3]
    for call, words in ((lambda: log.edit(9, note="x"), "line 9: no measurement stands there"),
                        (lambda: log.edit(1, note="x"), "line 1: no measurement"),
                        (lambda: log.edit(2, thicknes=1), "Did you mean 'thickness'"),
                        (lambda: log.edit(2, thickness=22), "'22000' given.*accepted"),
                        (lambda: log.edit(2, load=None), "cannot do without"),
                        (lambda: log.edit(2, mass="heavy"), "mass: 'heavy' given"),
                        (lambda: log.label([2], " "), "board: nothing given"),
                        (lambda: log.search(measured="tab"), "Did you mean 'tap'")):
        with pytest.raises(ValueError, match=words):
            call()
    assert read_log(path).text == log.text


def test_a_row_that_somebody_else_moved_is_found_and_one_changed_is_not_written_over(path):
    mine = read_log(path)
    lines = path.read_text("utf-8-sig").splitlines(keepends=True)
    path.write_text("\ufeff" + "".join([lines[0], lines[3], *lines[1:3]]), "utf-8", newline="")
    log = mine.edit(2, note="moved")
    assert [m.note for m in log] == ["", "moved", ""]
    with pytest.raises(ValueError, match="line 2: somebody else changed this row"):
        mine.edit(2, note="late")
    assert read_log(path).text == log.text


def test_a_measurement_that_cannot_be_is_refused_before_it_is_written(tmp_path):
    good = {"date": "2026-11-27", "board": "A7", "measured": "weigh", "mass": 0.4}
    for change, words in (({"length": 450}, "length: 450000 mm given.*SI units count: 450 mm is 0.45"),
                          ({"mass": 412}, "mass: 412000 g.*412 g is 0.412"), ({"mass": None}, "mass: empty"),
                          ({"moisture": 8}, "moisture: 800 % given.*8 % is 0.08"),
                          ({"loss": 0.75}, "0.75 thousandths is 0.00075"),
                          ({"temperature": 68}, "68 °F, that is 20 °C"), ({"frequency": 0.412}, "412 Hz"),
                          ({"mass": float("nan")}, "mass: nan given"), ({"mass": "0,4"}, "mass: '0,4' given"),
                          ({"board": " "}, "board: empty"), ({"date": "27/11/2026"}, "date: '27/11/2026'"),
                          ({"measured": "wiegh"}, "Did you mean 'weigh'"), ({"fret": 2.5}, "a whole number"),
                          ({"note": "x" * 2001}, "up to 2000 signs"), ({"note": "a\0"}, "no control signs"),
                          ({"measured": "twist", "value": 0.3, "unit": "cm"}, "'cm'.*accepted: mm or")):
        with pytest.raises(ValueError, match=words):
            Measurement(**{**good, **change})
    for header in ("", "Mass (kg)", "board"):
        with pytest.raises(ValueError, match="column"):
            add(tmp_path / "log.csv", Measurement(**good, more=((header, "x"),)))
    assert os.listdir(tmp_path) == []
    assert kept(tmp_path / "log.csv", Measurement(**good, more=(("shelf", "3"),))).measurements[0].more == \
        (("shelf", "3"),)


def test_headers_and_dates():
    assert column_of("LOAD [N]")[0] is BY_NAME["load"] and column_of("board_colour") is None
    assert day("2026-1-5") == date(2026, 1, 5) and day("5.1.2026") == date(2026, 1, 5)
    for text in ("2026-13-01", "26-01-05", "0001-01-01", "1.2", "46353"):
        with pytest.raises(ValueError, match="year, month and day"):
            day(text)


PAGE = """
import sys
from tonewood.bench.log import add
from tonewood.bench.log_columns import Measurement
for k in range(40):
    add(sys.argv[1], Measurement(date="2026-11-27", board=sys.argv[2], measured="tap", frequency=100 + k))
"""


def test_two_notebooks_open_at_once_lose_nothing(tmp_path):
    path = tmp_path / "log.csv"
    pages = [subprocess.Popen([sys.executable, "-c", PAGE, path, board]) for board in "AB"]
    assert [page.wait(timeout=100) for page in pages] == [0, 0]
    log = read_log(path)
    assert log.faults == () and sorted((m.board, m.frequency) for m in log) == \
        [(board, 100.0 + k) for board in "AB" for k in range(40)]


@pytest.mark.parametrize("header, cell", [("loss factor", "0.0081"), ("loss factor (%)", "0.81"),
                                          ("loss factor (thousandths)", "8.1"), ("loss", "0.0081")])
def test_a_loss_factor_under_any_header_a_log_ever_had_is_the_same(tmp_path, header, cell):
    log = read_log(written(tmp_path, f"date,board,measured,frequency (Hz),{header}\n"
                                     f"2026-11-27,A7,tap,412,{cell}\n2026-11-28,A8,tap,412,0.0001\n"))
    assert [m.loss for m in log] == pytest.approx([0.0081])
    assert "from 0.5 to 300 thousandths" in str(log.faults[0])
