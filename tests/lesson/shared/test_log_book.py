"""The log in the page, driven without a browser: write down, find, mend, label, sum up; what is refused."""

import os

import pytest

from tonewood.bench.log import add, read_log
from tonewood.bench.log_columns import BY_NAME, MEASURED, Measurement
from tonewood.lesson.shared.log_book import PAGE, LogBook, log_book, told
from tonewood.lesson.shared.own_woods import FILE as WOODS
from tonewood.neck import own_file
from tonewood.wood.species import forget, species


@pytest.fixture
def book(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return log_book()


def opened(book):
    book._summed.layout.display = ""
    return book._boards.value


def put(book, measured, **given):
    book.kind.value = measured
    for name, text in given.items():
        book.boxes[name].value = text
    book.buttons["Add to the log"].click()
    return book


def shown(book):
    return {name for name, holder in book._cells.items() if holder.layout.display != "none"}


def test_nothing_is_written_before_the_first_measurement(book, tmp_path):
    assert "made with the first measurement" in book._told.value
    assert "Nothing is written down" in book._list.value
    assert os.listdir(tmp_path) == [] and "0 measurements" in book.words()


def test_a_board_is_written_down_and_summed_up(book):
    put(book, "weigh", board="A7", wood="hard maple", mass="412,5", length="450", width="44.7",
        thickness="20.05", moisture="8,5")
    assert "Kept: A7, weigh" in book.reply and "my_boards.csv" in book.reply
    assert book.boxes["mass"].value == ""
    assert book.boxes["board"].value == "A7" and book.boxes["width"].value == "44.7"
    put(book, "bend", load="10", deflection="0.94", span="400", note="=grain up")
    first, second = read_log("my_boards.csv")
    assert (first.mass, first.moisture) == (0.4125, 0.085) and second.note == "=grain up"
    assert second.load == pytest.approx(98.0665) and second.length is None
    assert book._boards.value == "" and "1023 ± 10" in opened(book)
    assert "It holds 2 measurements" in book._told.value


@pytest.mark.parametrize("measured", MEASURED)
def test_each_kind_asks_for_what_it_cannot_do_without_and_keeps_it(book, measured):
    kind = MEASURED[measured]
    book.kind.value = measured
    assert set(kind.needs) <= shown(book) and ("units" in shown(book)) == (len(kind.units) > 1)
    assert {"board", "neck"} & shown(book) and ("mass" in shown(book)) == ("mass" in kind.needs
                                                                          or measured in ("tap", "twist tap"))
    given = {name: f"{max(BY_NAME[name].low, 1) * 5:g}" for name in set(kind.needs) - {"value", "unit"}}
    given |= {"value": "3.5"} if "value" in kind.needs else {}
    given |= {"unit": "cents"} if "unit" in kind.needs else {}
    put(book, measured, **{"board" if "board" in shown(book) else "neck": "X"}, **given)
    [kept] = read_log("my_boards.csv")
    assert kept.measured == measured and told(kept) and kept.unit == given.get("unit", (*kind.units, "")[0])


def test_what_is_not_shown_is_not_written(book):
    put(book, "weigh", board="A7", mass="400", length="450", width="45", thickness="20")
    put(book, "gap, strings on", neck="No. 12", value="-0,31", fret="8")
    gap = read_log("my_boards.csv").measurements[1]
    assert (gap.board, gap.length, gap.value, gap.unit, gap.fret) == ("", None, -0.31, "mm", 8)


def test_a_slip_is_told_and_the_boxes_stay(book, tmp_path):
    for given, words in (({"mass": "0,412"}, "Mass (g): '0,412' given; accepted: from 1 to 100000 g. Did you "
                          "mean 0.412 kg, that is 412 g? The log is as it was."),
                         ({"mass": "heavy"}, "'heavy' given"),
                         ({"mass": "400", "date": "27/11/26"}, "Date: '27/11/26' given"),
                         ({"mass": "400", "date": ""}, "date: nothing given"),
                         ({"mass": "", "date": "2026-11-27"}, "mass: empty"),
                         ({"mass": "400", "date": "2026-11-27", "length": "0.45"}, "0.45 m, that is 450 mm")):
        put(book, "weigh", board="A7", **given)
        assert words in book.reply and "role='alert'" in book._answer.value and os.listdir(tmp_path) == []
        assert book.boxes["mass"].value == given["mass"]


def test_find_change_and_label(book):
    add("my_boards.csv", *[Measurement(date="2026-11-27", board=f"A{k}", measured="tap", frequency=400 + k,
                                       note="'tis" if k == 3 else "") for k in range(20)])
    book.buttons["Read the file again"].click()
    assert f"1 to {PAGE} of 20 found, newest first" in book._list.value and book.buttons["Newer"].disabled
    for words in ("9 to 16", "17 to 20"):
        book.buttons["Older"].click()
        assert words in book._list.value
    assert book.buttons["Older"].disabled
    book.find.value = "tap a3"
    assert [m.line for m in book.found] == [5] and book.row.value == 5
    book.buttons["Edit this row"].click()
    assert book.boxes["frequency"].value == "403" and book.boxes["note"].value == "'tis"
    assert book.buttons["Add to the log"].layout.display == "none"
    book.boxes["frequency"].value = "0.41"
    book.buttons["Save the change"].click()
    assert "410 Hz" in book.reply and book._line == 5
    book.boxes["frequency"].value = "410,5"
    book.buttons["Save the change"].click()
    assert "Line 5 is changed" in book.reply and book.log.measurements[3].frequency == 410.5
    assert book.buttons["Save the change"].layout.display == "none"
    book.label.value = "Shelf 2"
    book.buttons["Label all found"].click()
    assert book.reply == "1 row carries the label Shelf 2 now."
    assert book.log.measurements[3].board == "Shelf 2"
    book.find.value = ""
    book.label.value = "all of them"
    book.buttons["Label all found"].click()
    assert "every row of the log would get this label" in book.reply
    book.find.value = "A4"
    book.buttons["Edit this row"].click()
    book.buttons["Leave it as it was"].click()
    assert book.reply == "Nothing was changed." and book.boxes["frequency"].value == ""
    book.find.value = "no such words"
    book.buttons["Edit this row"].click()
    assert "row: none chosen" in book.reply and "Nothing found" in book._list.value


def test_a_row_that_cannot_be_read_is_named_and_words_cannot_act_as_markup(book):
    evil = "<img src=x onerror=alert(1)>"
    add("my_boards.csv", Measurement(date="2026-11-27", board=evil, measured="tap", frequency=400, note=evil))
    with open("my_boards.csv", "a", encoding="utf-8") as file:
        file.write(f"2026-11-27,A8,,,{evil}\r\n")
    book.buttons["Read the file again"].click()
    assert "line 3, column &#x27;measured&#x27;" in book._faults.value
    assert "They stay in the file" in book._faults.value
    assert book._faults_button.layout.display == "" and "not used" in opened(book)
    assert not any("<img" in part.value for part in (book._list, book._faults, book._boards, book._told))


def test_a_file_that_is_no_log_is_told_in_the_page(tmp_path):
    path = tmp_path / "shopping.csv"
    path.write_text("milk,price\n")
    book = LogBook(path)
    assert "no column 'date'" in book.reply and "role='alert'" in book._answer.value
    put(book, "tap", board="A7", frequency="400")
    assert "no column 'date'" in book.reply and path.read_text() == "milk,price\n"
    for name in (tmp_path, "x" * 300):
        other = put(LogBook(name), "tap", board="A7", frequency="400")
        assert "accepted" in other.reply and "Kept" not in other.reply


def test_a_board_of_the_log_goes_onto_the_shelf_that_every_lesson_lists(book):
    put(book, "weigh", board="A7", wood="hard maple", mass="390", length="500", width="50", thickness="22")
    opened(book)
    book.buttons["Put it on the shelf"].click()
    assert "moisture of board A7: none measured" in book.reply and not os.path.exists(WOODS)
    put(book, "bend", load="10", deflection="0.45", span="400", moisture="8.5")
    book.shelf.value = "A7"
    book.buttons["Put it on the shelf"].click()
    assert "A7 is on the shelf" in book.reply
    [wood] = own_file.load(WOODS)
    try:
        assert wood.one_board and wood.name == "A7"
        assert wood.cov_modulus < species("hard maple").cov_modulus / 3
    finally:
        forget(wood)


def test_a_row_is_deleted_and_brought_back(book, tmp_path):
    for label in ("A7", "A8"):
        put(book, "tap", board=label, frequency="412", note="=soft")
    book.find.value = "A7"
    other = log_book()                                                  # a second page writes meanwhile
    put(other, "tap", board="B1", frequency="300")
    book.buttons["Delete this row"].click()
    assert "Deleted: A7, tap" in book.reply and [m.board for m in read_log("my_boards.csv")] == ["A8", "B1"]
    assert "A7" in (tmp_path / "my_boards.csv.before").read_text(encoding="utf-8")
    assert book.buttons["Bring it back"].layout.display == ""
    book.buttons["Bring it back"].click()
    assert [(m.board, m.note) for m in read_log("my_boards.csv")] == [
        ("A8", "=soft"), ("B1", ""), ("A7", "=soft")]
    assert book.buttons["Bring it back"].layout.display == "none"
    book.buttons["Bring it back"].click()
    assert "none was deleted here" in book.reply
    book.find.value = "nothing like it"
    book.buttons["Delete this row"].click()
    assert "none chosen" in book.reply and len(read_log("my_boards.csv")) == 3
