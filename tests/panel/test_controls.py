"""Sliders, number boxes, choices, switches, buttons, panels: values, refusals, labels, both ends."""

from html import unescape

import ipywidgets
import pytest

from tonewood.panel import units
from tonewood.panel.boxes import buttons, panel, relist
from tonewood.panel.controls import pick, slider, switch
from tonewood.panel.units_pick import UnitsPick


def handle(control):
    return control._track


def box(control):
    return control._box


@pytest.fixture
def depth():
    return slider("Depth at the first fret", 21, 18, 24, 0.1, "mm", "thinner leaves no room for the rod")


def test_slider_box_and_value_follow_each_other(depth):
    seen = []
    depth.observe(lambda change: seen.append(change["new"]), names="value")
    handle(depth).value = 20.3
    assert (depth.value, box(depth).value) == (20.3, "20.3")
    box(depth).value = "22.7"
    assert (depth.value, handle(depth).value) == (22.7, pytest.approx(22.7, abs=1e-12))
    depth.value = 18
    assert (handle(depth).value, box(depth).value) == (18, "18")
    assert seen == [20.3, 22.7, 18]


@pytest.mark.parametrize("typed, value, stands", [
    ("0,5", 0.5, 0.5), ("0.5", 0.5, 0.5), (",5", 0.5, 0.5), ("3.8", 3.8, 4.0), ("3,8", 3.8, 4.0),
    ("3.8°", 3.8, 4.0), (" 9,99 ", 9.99, 10.0), ("10", 10.0, 10.0), ("-0", 0.0, 0.0), ("0.06", 0.06, 0.0)])
def test_a_typed_number_is_taken_as_meant_and_stays_exact(typed, value, stands):
    """The page sends the place of the handle back, rounded to the step and a little off: no move of the
    hand."""
    run_out = slider("Run-out", 5, 0, 10, 0.5, "°")
    box(run_out).value = typed
    assert (run_out.value, handle(run_out).value) == (value, stands)
    handle(run_out).value = stands + 1e-13
    assert run_out.value == value and box(run_out).value == f"{value:g}" and run_out._note.value == ""
    handle(run_out).value = 7.5
    assert run_out.value == 7.5 and box(run_out).value == "7.5"


@pytest.mark.parametrize("typed, words", [
    ("6,5 %", "'%' measures fraction"), ("1.2.3", "'1.2.3' given"), ("", "nothing given"),
    ("1,100", "Comma and point both begin the decimals here: write 1100"), ("5 mm", "'mm' measures length"),
    ("30", "30 kg/m³ given; accepted: from 300 to 1300 kg/m³")])
def test_what_cannot_be_meant_is_refused_in_words_and_the_value_stays(typed, words):
    density = slider("Density", 700, 300, 1300, 5, "kg/m³")
    box(density).value = typed
    assert words in unescape(density._note.value) and "Density: " in density._note.value
    assert density.value == 700 and box(density).value == "700"
    box(density).value = "702,5 kg/m3"
    assert density.value == 702.5 and density._note.value == ""


def test_a_refusal_goes_with_enter_even_if_the_number_shown_is_typed_again(depth):
    box(depth).value = "40"
    assert depth._note.value
    depth._box._handle_custom_msg({"event": "submit"}, [])       # the page tells no change, only the key
    assert depth._note.value == ""


def test_what_counts_takes_whole_numbers():
    stripes = slider("Stripes", 7, 1, 11, 1)
    with pytest.raises(ValueError, match="Stripes: 6.5 given; accepted: a whole number from 1 to 11"):
        stripes.value = 6.5
    box(stripes).value = "6,5"
    assert stripes.value == 7 and "accepted: a whole number" in stripes._note.value
    box(stripes).value = "6"
    assert stripes.value == 6 and stripes._note.value == ""


@pytest.mark.parametrize("made", [slider("x", 1, 0, 2, 0.5), slider("x", 1, 0, 2, 1), switch("x"),
                                  pick("x", ["a", "b"])])
@pytest.mark.parametrize("wrong", [None, "c", [1, 2]])
def test_nonsense_is_refused_by_every_kind_and_nothing_changes(made, wrong):
    before = made.value
    with pytest.raises(ValueError, match="x: "):
        made.value = wrong
    assert made.value == before


def test_none_may_be_a_choice():
    made = pick("x", [("none", None), ("one", 1)], 1)
    made.value = None
    assert made.value is None and made._list.value is None


@pytest.mark.parametrize("made, parts", [
    (slider("x", 1, 0, 2, 1), ["_track", "_box"]), (pick("x", ["a", "b"]), ["_list"]),
    (switch("x"), ["_tick"])])
def test_a_control_that_changes_nothing_is_greyed_with_the_reason(made, parts):
    assert made.unless(lambda values: "" if values["on"] else "Counts once <on> is ticked.") is made
    for on in (False, True, False):
        made.ask({"on": on})
        assert [getattr(made, part).disabled for part in parts] == [not on] * len(parts)
        assert (made._reason.value == "") == on
    assert "Counts once &lt;on&gt; is ticked." in made._reason.value
    assert made.widget.children[-1] is made._reason


def test_both_ends_are_reached(depth):
    for end in (depth.low, depth.high):
        handle(depth).value = end
        assert depth.value == end
        box(depth).value = f"{end}"
        assert depth.value == end and depth._note.value == ""


def test_the_picture_comes_before_the_number_box(depth):
    order = []
    depth.observe(lambda change: order.append("picture"), names="value")
    box(depth).observe(lambda change: order.append("box"), names="value")
    handle(depth).value = 19
    assert order == ["picture", "box"]


def test_the_number_box_is_right_even_if_the_figure_fails(depth):
    depth.observe(lambda change: 1 / 0, names="value")
    with pytest.raises(ZeroDivisionError):
        handle(depth).value = 19
    assert box(depth).value == "19"
    assert depth._busy is False


def test_a_typed_number_out_of_range_is_refused_in_words(depth):
    box(depth).value = "40"
    assert depth.value == 21 and box(depth).value == "21"
    assert "role='alert'" in depth._note.value
    assert "40 mm given; accepted: from 18 to 24 mm" in depth._note.value
    handle(depth).value = 20
    assert depth._note.value == ""


def test_code_is_refused_loudly(depth):
    for wrong in (30, float("nan")):
        with pytest.raises(ValueError, match="Depth at the first fret"):
            depth.value = wrong
    assert depth.value == 21


def test_labels_units_and_reasons_are_there(depth):
    assert handle(depth).description == depth.name == "Depth at the first fret"
    assert box(depth).description == "Depth at the first fret, exact number in mm"
    assert depth._unit.value == "mm"
    assert depth.meaning() == "18 to 24 mm: thinner leaves no room for the rod"
    assert handle(depth).tooltip == depth.meaning()
    assert handle(depth).continuous_update


def test_reset(depth):
    depth.value = 24
    depth.reset()
    assert depth.value == depth.default == 21


def test_inches_are_shown_while_millimetres_are_meant(depth):
    system, angle = UnitsPick(), slider("Ring angle", 45, 0, 90, 1, "°")
    system.value = units.INCH
    assert angle._unit.value == "°" and slider("Depth", 20, 18, 24, 1, "mm")._unit.value == "in"
    assert depth.value == 21 and depth._unit.value == "in"
    assert box(depth).value == "0.8268" and handle(depth).step == 0.005
    assert handle(depth).value == pytest.approx(0.825)                      # the round number nearest to it
    assert (handle(depth).min, handle(depth).max) == (pytest.approx(0.71), pytest.approx(0.94))
    box(depth).value = "3/4"
    assert depth.value == pytest.approx(19.05)
    box(depth).value = "18"
    assert depth.value == pytest.approx(19.05)
    assert "accepted: from 0.708661 to 0.944882 in" in depth._note.value
    handle(depth).value = handle(depth).max
    assert depth.value == pytest.approx(0.94 * 25.4)
    box(depth).value = "0.82677"
    assert depth.value == pytest.approx(0.82677 * 25.4) and box(depth).value == "0.82677"
    depth.value = 24
    system.value = units.METRIC
    assert (depth.value, handle(depth).value, handle(depth).step, depth._unit.value) == (24, 24, 0.1, "mm")


@pytest.mark.parametrize("value, low, high, step, words", [
    (5, 0, 4, 1, "5 mm given; accepted: from 0 to 4 mm"), (1, 2, 2, 1, "high end"),
    (1, 0, 4, 3, "divides the range"),
    (1, 0, 4, 0, "step"), (1, 0, 4, 5, "step"), ("x", 0, 4, 1, "a number")])
def test_slider_refuses(value, low, high, step, words):
    with pytest.raises(ValueError, match=words):
        slider("Depth", value, low, high, step, "mm")


def test_pick():
    wood = pick("Fretboard wood", [("African ebony", "ebony"), ("Hard maple", "maple")], "maple")
    assert wood.value == wood.default == "maple" and wood._list.description == "Fretboard wood"
    wood._list.value = "ebony"
    assert wood.value == "ebony" and wood._list.tooltip == "African ebony"
    wood.value = "maple"
    assert wood._list.value == "maple" and wood._list.tooltip == "Hard maple"
    with pytest.raises(ValueError, match="Did you mean 'maple'"):
        wood.value = "mapel"
    with pytest.raises(ValueError, match="Fretboard wood"):
        pick("Fretboard wood", ["ebony"], "oak")
    assert pick("x", ["a", "b"]).value == "a"


def test_switch():
    rod = switch("Rod slack", True)
    rod._tick.value = False
    assert rod.value is False
    rod.reset()
    assert rod.value is True and rod._tick.value is True


def test_buttons_do_what_they_say():
    done = []
    row = buttons(Keep_this_design=lambda: done.append("kept"), Reset=lambda: done.append("reset"))
    assert [b.description for b in row.children[:2]] == ["Keep this design", "Reset"]
    row.children[0].click()
    row.children[1].click()
    assert done == ["kept", "reset"] and row.children[2].value == ""


def test_every_button_marks_itself_when_its_action_is_done():
    """The page waits for that mark, else it says that the notebook is still working."""
    def fails():
        raise ValueError("no")

    for action in (lambda: None, fails):
        made, = buttons(Do=action).children[:1]
        marks = []
        made.observe(lambda change, marks=marks: marks.append(change["new"]), names="_dom_classes")
        for _ in range(2):
            made.click()
        assert [("tonewood-done" in classes) for classes in marks] == [True, False]


def test_a_button_that_fails_says_so():
    row = buttons(Save=lambda: open("/nowhere/<b>"))
    row.children[0].click()
    assert "role='alert'" in row.children[1].value and "/nowhere/&lt;b&gt;" in row.children[1].value


def test_panel_wraps_and_tells_the_ranges_escaped(depth):
    odd = slider("a <b> & c", 1, 0, 2, 1, why="<script>")
    made = panel([depth, odd, ipywidgets.HTML("plain")])
    words = " ".join(w.value for w in made.children if isinstance(w, ipywidgets.HTML))
    assert "a &lt;b&gt; &amp; c" in words and "&lt;script&gt;" in words and "<script>" not in words
    assert "18 to 24 mm: thinner leaves no room for the rod" in words
    row = next(w for w in made.children if depth.widget in getattr(w, "children", ()))
    assert row.layout.flex_flow == "row wrap"


def test_controls_show_themselves(depth):
    assert depth._repr_mimebundle_()["text/plain"] == "[Depth at the first fret: 21.0 mm]"


def test_a_list_of_other_options_shows_what_is_chosen():
    told = []
    made = ipywidgets.Dropdown(options=[("–", ""), ("a", "a")])
    made.observe(lambda change: told.append(change["new"]), names="index")
    relist(made, [("–", ""), ("b", "b")])
    assert told == [None, 0] and made.value == ""       # the page hears of the same choice
    relist(made, ["x", "y"], "y")
    assert made.value == "y"
    relist(made, [], "y")
    assert made.value is None
