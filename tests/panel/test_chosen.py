"""Metric or inches and ounces: one choice for the page, kept beside the lessons. Factors: international inch
and avoirdupois pound, exact by definition (1959); standard gravity 9.80665 m/s²."""

import json

import pytest
from matplotlib.figure import Figure

from tonewood.panel import chosen, page, units
from tonewood.panel.controls import slider
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.questions import ask_number, predict
from tonewood.panel.reckoning import reckon
from tonewood.panel.verdict import Verdict


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(chosen, "FILE", str(tmp_path / "my_settings.json"))
    return tmp_path


def opened_anew():
    chosen._chosen.clear()
    return chosen.now()


def test_the_next_lesson_opens_with_the_choice(folder):
    assert chosen.now() == units.METRIC and not list(folder.iterdir())
    (folder / "my_settings.json").write_text('{"other": 3}')
    chosen.choose(units.INCH)
    assert opened_anew() == units.INCH and slider("Depth", 20, 18, 24, 0.5, "mm")._unit.value == "in"
    assert json.loads((folder / "my_settings.json").read_text()) == {"other": 3, "units": units.INCH}
    chosen.choose(units.METRIC)
    assert opened_anew() == units.METRIC
    with pytest.raises(ValueError, match="furlongs"):
        chosen.choose("furlongs")


@pytest.mark.parametrize("content", [b"\xff\xfe{", b"[1, 2]", b"", b'{"units": "furlongs"}',
                                     b'{"units": [1]}', b"[" * 9000])
def test_a_damaged_file_never_stops_a_lesson(folder, content):
    (folder / "my_settings.json").write_bytes(content)
    assert opened_anew() == units.METRIC
    chosen.choose(units.INCH)
    assert opened_anew() == units.INCH


def test_where_nothing_can_be_kept_the_page_follows_all_the_same(folder):
    (folder / "my_settings.json").mkdir()
    chosen.choose(units.INCH)
    assert chosen.now() == units.INCH and opened_anew() == units.METRIC


@pytest.mark.parametrize("metric, inch", [
    ("relief 25.4 mm", "relief 1.00 in"), ("254 mm and 5 kg", "10.0 in and 11 lb"),
    ("28 g, 0.25 mm (90 of 100: 0.20 to 0.31), 3", "1.0 oz, 0.010 in (90 of 100: 0.008 to 0.012), 3"),
    ("weighs 3.79 (3.51 to 4.14) kg", "weighs 8.36 (7.74 to 9.13) lb"),
    ("−0.23 mm in width (−0.29 to −0.18)", "−0.009 inches in width (−0.011 to −0.007)"),
    ("pulls 100 N, 2.0 N·m", "pulls 22.5 lbf, 18 lbf·in"), ("gap (mm)", "gap (in)"), ("mm", "inches"),
    ("how many grams?", "how many ounces?"), ("how it went, mm", "how it went, inches"),
    ("1 mm", "0.04 in"), ("60 × 25 mm", "2.4 × 1.0 in"), ("pulled at 0.6 m of", "pulled at 2 ft of"),
    *[(same, same) for same in (
        "700 kg/m³, 456 N·m², 12 GPa, 20 °C, 1 m/s, 0.3 mm² of it", "(m) partly from memory", "7 stripes", "",
        "3 in 100 such necks", "A7 mmm, 12 gauges, G string")]])
def test_words_are_read_in_inches(metric, inch):
    assert units.said(metric, units.INCH) == inch and units.said(metric, units.METRIC) == metric
    assert units.said(inch, units.INCH) == inch


def figure(**more):
    def setup(fig: Figure):
        ax = fig.subplots()
        ax.set(xlim=(0, 600), ylim=(0, 1), xlabel="from the nut (mm)")
        return {"line": ax.plot([], [])[0], "words": ax.text(0, 0, "")}

    def change(art, depth):
        art["line"].set_data([0, depth], [0, 1])
        art["words"].set_text(f"{depth:.0f} mm")
        return f"It is {depth:.1f} mm deep."
    return LiveFigure(setup, change, {"depth": slider("Depth", 20, 10, 30, 1, "mm", "3 mm at least")},
                      inches=(4, 2), alt="A line of 5 mm", **more)


def test_a_figure_follows_and_comes_back(folder):
    live, other = figure(narrow={"Line": 200}), figure()
    ax, png, drawn = live.fig.axes[0], live.png, live.stagings
    assert live.laid_out(True) != png       # for a telephone, as the page asks; then the wide one goes on
    assert live.png == png and live.stagings == drawn and live.fig.axes == [ax]
    live.units.value = units.INCH
    assert other.units.value == units.INCH and other.sentence == live.sentence == "It is 0.79 in deep."
    assert live.words().startswith("A line of 0.2 in. It is") and live.art["words"].get_text() == "0.8 in"
    assert ax.get_xlabel() == "from the nut (in)"
    places, told = ax.get_xticks(), [t.get_text() for t in ax.get_xticklabels()]
    assert told[:2] == ["0", "5"] and places[1] == pytest.approx(5 * 25.4)
    assert live.controls["depth"].meaning() == "0.394 to 1.18 in: 0.12 in at least"
    live.set(depth=25.4)
    assert live.sentence == "It is 1.00 in deep." and live.art["line"].get_xdata()[1] == 25.4
    live.set(depth=20)
    live.units.value = units.METRIC
    assert live.png == png and live.sentence == "It is 20.0 mm deep." == other.sentence


def test_what_stands_between_figures_follows_when_made(folder, capsys):
    chosen.choose(units.INCH)
    page.say("width (mm)", 25.4, "mm", 1)
    assert capsys.readouterr().out == "width (in): 1.00 in\n"
    page.say("couple (N·m)", 2.0, "", 2, label="of 25.4 mm")
    assert capsys.readouterr().out == "couple (lbf·in): 17.7 [of 1.00 in]\n"
    rows = page.table(("", "one piece", "mm"), [("relief (mm)", "0.31 (0.25 to 0.38)", "2.54"),
                                                ("of it", "3", "5.1")])
    assert rows.plain.splitlines() == ["relief (in): one piece 0.012 (0.010 to 0.015); inches 0.100",
                                       "of it: one piece 3; inches 0.20"]
    every = page.table(("", "twist"), [("as sawn", "±0.254")], "All in mm, shop to home.")
    assert every.plain == "as sawn: twist ±0.0100\n(All in inches, shop to home.)"
    shown = page.table(("board", "sag, mm", "weight (g)", "says"), [
        ("of 50 mm", "0.254", "28.3 to 56.7", "10 mm")])
    assert shown.plain == "of 2.0 in: sag, inches 0.0100; weight (oz) 1.00 to 2.00; says 0.4 in"
    box = Verdict("a 5 mm fretboard", "10 mm", "no", "low", "3 kg")
    assert " mm" not in repr(box) + box._repr_html_() and "0.4 in" in repr(box) and "7 lb" in repr(box)
    own = reckon(lambda gap: page.table(("board", "gap (mm)"), [("A7", f"{gap:.2f}")]),
                 gap=slider("Gap", 1, 0, 2, 0.1, "mm"))
    assert own.result.plain == "A7: gap (in) 0.039"
    chosen.choose(units.METRIC)
    assert own.result.plain == "A7: gap (mm) 1.00"


def test_questions_take_a_bare_number_in_the_unit_they_name(folder):
    asked = ask_number("How far, of 50 mm?", lambda: 12.7, "mm", 0.2, "Half of 25.4 mm.", "It is 12.7 mm.")
    chosen.choose(units.INCH)
    inch = ask_number("How far, of 50 mm?", lambda: 12.7, "mm", 0.2, "Half of 25.4 mm.", "It is 12.7 mm.")
    assert (asked._entry.description, inch._entry.description) == ("Your answer in mm", "Your answer in in")
    for question, answer in ((asked, "12.7"), (asked, "1/2 in"), (inch, "1/2"), (inch, "12.7 mm")):
        question.answer = answer
        assert question.check(), (question, answer)
    told = inch._reply.value + inch._extra.value + inch._static()[0]
    assert "it is 0.500 in." in told and "of 1.00 in." in told and " mm" not in told
    guess = predict("How far?", ["about 10 mm", "about 50 mm"], right=lambda: "about 50 mm")
    assert [shown for shown, _ in guess._entry.options] == ["about 0.4 in", "about 2.0 in"]
    guess.answer = "about 50 mm"
    guess.commit()
    assert "2.0 in" in guess._reply.value and guess.guess == "about 50 mm"
