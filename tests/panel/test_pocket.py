"""A pocket edition shows what the figure itself shows, in one file that asks nothing of anybody."""

import base64
import io
import json
import re

import numpy as np
import pytest
from bs4 import BeautifulSoup
from PIL import Image

from tonewood.panel import pocket_page
from tonewood.panel.controls import pick, slider, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.pocket import PageMaker, pocket, values_of, viewer_of
from tonewood.panel.pocket_page import Dial, Frame, Viewer, document


def change(art, size, kind, on):
    if size == 3 and kind == "b":
        raise ValueError("size: 3 mm given; accepted: less with <b>")
    art[0].set_ydata([0, size])
    return f"Size {size:g}, kind {kind}, {'on' if on else 'off'} & <b>bold</b>"


@pytest.fixture
def live():
    return LiveFigure(lambda fig: fig.add_axes((0, 0, 1, 1), ylim=(0, 4)).plot([0, 1], [0, 0]), change, {
        "size": slider("Size", 2, 0, 4, 0.5, "mm"), "kind": pick("Kind", [("first", "a"), ("second", "b")]),
        "on": switch("Light")}, inches=(2, 1), alt="A line",
        parts={"left": (0, 0, 0.5, 1), "right": (0.5, 0, 1, 1)})


def pixels(data):
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))


def test_every_frame_is_the_figure_at_that_setting(live):
    seen = viewer_of(live, {"size": [0, 2, 3], "kind": 2})
    assert [dial.shown for dial in seen.dials] == [("0 mm", "2 mm", "3 mm"), ("first", "second")]
    assert live.values == {"size": 2, "kind": "a", "on": False}
    at = 0
    for size in (0, 2, 3):
        for kind in "ab":
            frame, at = seen.frames[at], at + 1
            if (size, kind) == (3, "b"):
                assert frame.picture is None and "accepted: less" in frame.sentence
                continue
            live.set(size=size, kind=kind)
            assert frame.sentence == live.sentence
            assert np.array_equal(pixels(frame.picture), pixels(live.sharp()))
    assert seen.start == 2 and seen.frames[seen.start].sentence.startswith("Size 2, kind a")


def test_the_page_carries_every_picture_and_sentence(live):
    html = pocket(live, {"size": [1, 2], "on": 2}, "A <title>", "Slide.\n\nThen read.")
    page = BeautifulSoup(html, "html.parser")
    data = json.loads(page.select_one(".viewer script").string)
    assert data["dials"] == [["1 mm", "2 mm"], ["off", "on"]] and len(data["frames"]) == 4
    assert len(data["pictures"]) == 2               # the light changes the words alone
    for (place, sentence, sound), row in zip(data["frames"], page.select("details tbody tr"), strict=True):
        assert sentence in row.get_text() and sound == -1
        kind, code = re.fullmatch(r"data:image/(\w+);base64,(.+)", data["pictures"][place]).groups()
        assert kind in ("png", "webp") and pixels(base64.b64decode(code)).shape == (200, 400, 3)
    assert page.title.string == "A <title>" and not page.find_all("b")
    assert "Kind: first" in page.get_text() and "Light: off" not in page.get_text()


def test_nothing_is_asked_of_elsewhere(live):
    html = pocket(live, ["size"])
    page = BeautifulSoup(html, "html.parser")
    assert "default-src 'none'" in page.select_one("meta[http-equiv]")["content"]
    assert not re.search(r"https?://|//\w+\.\w+/", html)
    assert not page.find_all(["link", "iframe"]) and all(not tag.has_attr("src") for tag in page("script"))
    assert all(tag["src"].startswith("data:") for tag in page.find_all("img") if tag.has_attr("src"))


def test_without_script_every_sentence_is_there_to_read(live):
    page = BeautifulSoup(pocket(live, ["size", "kind"]), "html.parser")
    assert page.details.has_attr("open") and page.select_one(".dials").has_attr("hidden")
    frames = viewer_of(live, ["size", "kind"]).frames
    told = [row.get_text() for row in page.select("details tbody tr")]
    assert len(told) == len(frames) and all(f.sentence in row for f, row in zip(frames, told, strict=True))
    assert page.select_one(".whole")["src"].startswith("data:image/")


def test_a_script_in_a_sentence_cannot_end_its_box():
    bad = "</script><script>alert(1)</script>"
    frames = (Frame(None, bad), Frame(None, "b", b"RIFF"))
    view = Viewer(dials=(Dial(bad, (bad, "b")),), frames=frames, alt=bad)
    page = BeautifulSoup(document(bad, view.html), "html.parser")
    assert len(page.find_all("script")) == 2
    assert json.loads(page.select_one(".viewer script").string)["frames"][0][1] == bad


def test_values_stand_for_the_whole_control():
    assert values_of(slider("S", 2, 0, 4, 0.5), 3) == (0, 2, 4)
    assert values_of(slider("S", 1.5, 0, 4, 0.5), 3) == (0, 1.5, 4)
    assert values_of(pick("P", list("abcdef"), "e"), 3) == ("a", "e", "f")
    assert values_of(pick("P", list("abcdef"), "a"), 4) == ("a", "b", "d", "f")
    assert values_of(pick("P", list("ab")), 5) == ("a", "b")
    assert values_of(switch("W")) == (False, True)
    shown = slider("Age", 0.5, 0, 1, 0.1)
    shown.show_in("%", 100, 10)
    assert viewer_of(LiveFigure(lambda fig: fig.subplots().plot([0, 1]), lambda art, age: "x", {"age": shown},
                                inches=(1, 1), alt="a"), {"age": [0, 0.5]}).dials[0].shown == ("0 %", "50 %")


def test_what_cannot_be_packed_is_refused(live, monkeypatch):
    with pytest.raises(ValueError, match="control"):
        pocket(live, ["colour"])
    with pytest.raises(ValueError, match="settings of all dials"):
        viewer_of(live, {"size": list(np.linspace(0, 4, 150)), "kind": 2})
    with pytest.raises(ValueError, match="frames: 1 given; accepted: 2"):
        Viewer(dials=(Dial("a", ("x", "y")),), frames=(Frame(None, ""),), alt="")
    monkeypatch.setattr(pocket_page, "LARGEST", 1000)
    with pytest.raises(ValueError, match="Use fewer values"):
        pocket(live, ["on"])


def test_the_button_writes_the_page_and_tells_how_far_it_is(live, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    made, told = PageMaker("Make", "mine.html", lambda told: pocket(live, ["on"], progress=told)), []
    made.bar.observe(lambda change: told.append(change["new"]), names="value")
    made.button.click()
    assert told[-2:] == [1, 2] and made.bar.max == 2
    html = (tmp_path / "mine.html").read_text(encoding="utf-8")
    assert html == pocket(live, ["on"]) and "Written: mine.html" in made.reply.value
    assert base64.b64encode(html.encode()).decode() in made.reply.value
    made.name.value = "../<b>.txt"
    made.make()
    assert "role='alert'" in made.reply.value and "<b>" not in made.reply.value
    broken = PageMaker("Make", "x.html", lambda progress: document("x" * 10_000_000))
    broken.make()
    assert "Nothing was written" in broken.reply.value and not (tmp_path / "x.html").exists()
    assert not broken.button.disabled
