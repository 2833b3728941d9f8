"""The strip: a neck kept in one figure opens in another as the same design; what is refused is told and
changes nothing."""

from dataclasses import replace
from html import escape

import pytest

from tonewood.lesson.shared.design_strip import SHOPS_OWN, LessonNeck, file_name, with_strip
from tonewood.lesson.shared.shop import NECK_12, changed
from tonewood.neck.design import StringPlan
from tonewood.neck.design_file import load, save
from tonewood.panel.controls import slider
from tonewood.panel.live_figure import LiveFigure


def start(design):
    return {"depth": 1e3 * (design.back.depth_nut + design.fretboard.thickness), "room": 40.0}


def build(design, depth, room, name=None):
    own = start(design)["depth"]
    return changed(design, depth=None if depth == own else depth / 1e3, name=name)


def cannot(design):
    return [] if design.strings.set == "six" else [f"It has strings of the set <{design.strings.set}>; this "
                                                   f"map shows six."]


def setup(fig):
    return fig.subplots().plot([0, 1], [0, 1])


def change(art, subject, held=None, **values):
    design = build(subject, **values)
    if design.name == "Too much":
        raise ValueError("channel <deep>: 14 mm given; accepted: up to 12 mm")
    art[0].set_ydata([0, design.back.depth_nut])
    return f"{design.name}: {1e3 * design.back.depth_nut:.2f} mm of wood."


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def lesson():
    controls = {"depth": slider("Depth", start(NECK_12)["depth"], 15, 30, 0.5, "mm"),
                "room": slider("Humidity at home", 40, 20, 80, 1, "%")}
    live = LiveFigure(setup, change, controls, inches=(3, 2), alt="A neck", subject=NECK_12)
    return with_strip(live, LessonNeck(start, lambda design, values, name: build(design, **values, name=name),
                                       cannot))


def press(live, button):
    live.strip.buttons[button].click()


def chosen(live, words):
    live.strip.list.value = dict(live.strip.list.options)[words]


def test_an_untouched_neck_is_the_shops_own():
    live = lesson()
    assert live.strip.shown == SHOPS_OWN
    assert escape(SHOPS_OWN) in live.strip._told.value
    assert live.strip.missing == ""
    live.strip.keep("Same")
    assert load("my_necks/Same.json") == replace(NECK_12, name="Same")


def test_kept_here_opens_there_as_the_same_design(folder):
    first = lesson()
    first.set(depth=22.5, room=60)
    first.strip.name.value = " Walnut <b> No. 3 "
    press(first, "Keep")
    assert first.strip.reply == ("Kept Walnut <b> No. 3 as my_necks/Walnut_b_No_3.json. Every lesson lists "
                                 "it from now on.")
    assert "&lt;b&gt;" in first.strip._answer.value and "<b>" not in first.strip._answer.value
    assert first.strip.list.value == "my_necks/Walnut_b_No_3.json" and first.strip.name.value == ""
    second = lesson()
    second.units.value = "inches and ounces"
    chosen(second, "Walnut_b_No_3")
    press(second, "Open")
    kept = changed(NECK_12, depth=0.0225, name="Walnut <b> No. 3")
    assert second.subject == kept == load(folder / "my_necks" / "Walnut_b_No_3.json")
    assert second.values == {"depth": 22.5, "room": 40} and second.units.value == "inches and ounces"
    assert second.sentence == "Walnut <b> No. 3: 0.650 in of wood."
    assert second.strip.shown == "Walnut <b> No. 3 (my_necks/Walnut_b_No_3.json)"
    assert "<b>" not in second.strip._told.value
    second.set(depth=25)
    second.reset()
    assert second.values["depth"] == 22.5 and second.subject == kept
    assert build(second.subject, **second.values) == kept


def test_the_list_leads_back_to_the_shops_own_and_a_path_anywhere(folder):
    live = lesson()
    elsewhere = save(changed(NECK_12, depth=0.024, name="Brother's"), folder / "neck.json")
    live.strip.path.value = f'"{elsewhere}" '
    press(live, "Open")
    assert live.subject.name == "Brother's" and live.values["depth"] == 24 and live.strip.path.value == ""
    press(live, "Open")
    assert live.subject == NECK_12 and live.strip.shown == SHOPS_OWN


def test_a_neck_kept_elsewhere_is_listed_on_request():
    live, other = lesson(), lesson()
    other.strip.keep("Late")
    assert "Late" not in dict(live.strip.list.options)
    press(live, "Look again")
    assert "Late" in dict(live.strip.list.options)


def test_a_ghost_stays_the_neck_it_was_kept_of():
    live = lesson()
    live.strip.keep("Second")
    live.hold()
    chosen(live, "Second")
    live.strip.open("my_necks/Second.json")
    assert live.held["subject"] == NECK_12 and live.subject.name == "Second"
    live.reset()
    assert live.held is None and live.subject.name == "Second"


@pytest.mark.parametrize("text, words", [
    ("{", "neck.json: not a design file"), ('{"schema": "tonewood design", "version": 99}',
                                            "A newer edition"),
    (None, "no such file"), ("Too much", "channel <deep>: 14 mm given; accepted: up to 12 mm")])
def test_what_cannot_be_opened_is_told_and_the_old_figure_stays(folder, text, words):
    live = lesson()
    live.set(depth=21.5, room=70)
    def seen():
        return (live.png, live.values, live.subject, live.sentence, live.strip.shown,
                live.controls["depth"].default)
    before = seen()
    if text == "Too much":
        save(changed(NECK_12, depth=0.024, name=text), folder / "neck.json")
    elif text:
        (folder / "neck.json").write_text(text)
    live.strip.path.value = "neck.json"
    press(live, "Open")
    assert words in live.strip.reply and live.strip.reply.endswith("The neck on show is as it was.")
    assert "role='alert'" in live.strip._answer.value and "<deep>" not in live.strip._answer.value
    assert before == seen()
    assert live.strip.path.value == "neck.json" and live.error is None and live.alert.value == ""
    with pytest.raises(ValueError):
        live.strip.open("neck.json")


@pytest.mark.parametrize("name, words", [("  ", "name of the neck: nothing given"),
                                         ("../..", "'../..' given; accepted: a name with a letter")])
def test_a_neck_without_a_name_is_not_kept(folder, name, words):
    live = lesson()
    live.strip.name.value = name
    press(live, "Keep")
    assert words in live.strip.reply and "role='alert'" in live.strip._answer.value
    assert live.strip.name.value == name and not (folder / "my_necks").exists()


def test_an_earlier_neck_of_that_name_is_kept_beside(folder):
    live = lesson()
    live.strip.keep("Mine")
    live.strip.keep("Mine")
    assert "earlier" not in live.strip.reply and not (folder / "my_necks" / "Mine.json.before").exists()
    live.set(depth=24)
    live.strip.keep("Mine")
    assert "The earlier neck of that name is now Mine.json.before." in live.strip.reply
    assert load("my_necks/Mine.json").back.depth_nut == pytest.approx(0.018)
    assert load("my_necks/Mine.json.before") == replace(NECK_12, name="Mine")
    assert [shown for shown, _ in live.strip.list.options] == [SHOPS_OWN, "Mine"]


def test_a_folder_that_cannot_be_made_is_told(folder):
    (folder / "my_necks").write_text("a shopping list")
    live = lesson()
    live.strip.name.value = "Mine"
    press(live, "Keep")
    assert "folder my_necks: cannot be made here" in live.strip.reply and live.strip.name.value == "Mine"
    assert (folder / "my_necks").read_text() == "a shopping list"


def test_what_the_lesson_cannot_show_is_said_escaped(folder):
    live = lesson()
    live.strip.open(str(save(replace(NECK_12, name="Eight", strings=StringPlan(set="eight", tuning="eight")),
                             folder / "neck.json")))
    assert live.strip.missing == "It has strings of the set <eight>; this map shows six."
    assert "&lt;eight&gt;" in live.strip._told.value


@pytest.mark.parametrize("name, file", [("a/b\\c:d", "a_b_c_d.json"), ("../../etc/x", "etc_x.json"),
                                        ("Ahorn für Jörg", "Ahorn_für_Jörg.json"),
                                        ("con", "con_neck.json"), ("-rf", "rf.json"),
                                        ("x" * 300, "x" * 60 + ".json")])
def test_names_are_made_safe(name, file):
    assert file_name(name) == file


def test_every_part_has_a_name_for_screen_readers():
    strip = lesson().strip
    assert [w.description for w in (strip.list, strip.path, strip.name, *strip.buttons.values())] == [
        "Open a neck", "or the file at", "Keep this neck as", "Open", "Look again", "Keep"]
    assert "tonewood-sentence" in strip._answer._dom_classes
    assert "tonewood-sentence" in strip._told._dom_classes


def test_a_figure_about_something_else_is_refused():
    with pytest.raises(ValueError, match="accepted: a Design"):
        with_strip(LiveFigure(setup, lambda art: None, {}, inches=(2, 1), alt="x"),
                   LessonNeck(start, build, cannot))


def test_the_figure_goes_away_as_one_page(folder):
    live = lesson()
    live.set(depth=22.0)
    live.strip.away.button.click()
    page = (folder / "to_take_away.html").read_text(encoding="utf-8")
    assert live.values["depth"] == 22.0 and "22 mm" in page
    assert "Not possible: " in page                 # 15 mm leaves no wood under the channel
    for depth in (22.0, 30.0):
        live.set(depth=depth)
        assert escape(live.sentence) in page
