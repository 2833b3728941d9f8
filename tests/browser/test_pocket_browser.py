"""A page to take away, in a real browser, without a network: it slides, it asks nobody, it reads without
script."""

import io
import wave

import pytest
from PIL import Image

from tonewood.panel.pocket_page import Dial, Frame, Viewer, document


def picture(shade):
    out = io.BytesIO()
    Image.new("RGB", (1000, 400), (shade, 90, 200 - shade)).save(out, "PNG")
    return out.getvalue()


def sound():
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1), file.setsampwidth(2), file.setframerate(8000)
        file.writeframes(bytes(8000))
    return out.getvalue()


@pytest.fixture
def address(tmp_path):
    frames = tuple(Frame(picture(20 * k), f"Setting {k} of <six>.", sound() if k % 2 else None) for k in range(6))
    view = Viewer(dials=(Dial("Wood", ("maple", "wenge"), ordered=False), Dial("Month", ("Jan", "Feb", "Mar"), 1)),
                  frames=frames, alt="A plain picture.", parts={"left": (0, 0, 0.5, 1), "right": (0.5, 0, 1, 1)})
    path = tmp_path / "page.html"
    path.write_text(document("A page", "<h1>A page</h1>", view.html), encoding="utf-8")
    return path.as_uri()


@pytest.fixture
def opened(browser, address):
    made = []

    def go(width, height, script=True):
        context = browser.new_context(viewport={"width": width, "height": height}, java_script_enabled=script,
                                      offline=True)
        made.append(context)
        page = context.new_page()
        page.asked, page.wrong = [], []
        page.on("request", lambda r: page.asked.append(r.url) if not r.url.startswith(("data:", "file:")) else 0)
        page.on("pageerror", lambda e: page.wrong.append(str(e)))
        page.on("console", lambda m: page.wrong.append(m.text) if m.type == "error" else 0)
        page.goto(address)
        return page

    yield go
    for context in made:
        context.close()


@pytest.mark.parametrize("width, height", [(1024, 768), (390, 844)])
def test_keys_and_choices_bring_the_other_settings(opened, width, height):
    page = opened(width, height)
    says, month, wood = page.locator(".says"), page.locator("input"), page.locator("select")
    assert says.inner_text() == "Setting 1 of <six>." and not page.locator("details tbody").is_visible()
    before = page.locator(".seen img").first.get_attribute("src")
    month.focus()
    page.keyboard.press("ArrowRight")
    assert says.inner_text() == "Setting 2 of <six>." and month.get_attribute("aria-valuetext") == "Mar"
    wood.select_option(label="wenge")
    assert says.inner_text() == "Setting 5 of <six>."
    shown = [img for img in page.locator(".seen img").all() if img.is_visible()]
    assert len(shown) == (2 if width < 640 else 1)
    for img in shown:
        assert img.get_attribute("src") != before and img.get_attribute("alt").endswith("Setting 5 of <six>.")
        assert img.evaluate("i => i.complete && i.naturalWidth") == 1000
    assert page.locator("audio").evaluate("a => a.src.length") > 8000
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert all(box.bounding_box()["height"] >= 44 for box in (month, wood))
    assert page.asked == [] and page.wrong == []


def test_without_script_every_sentence_can_be_read(opened):
    page = opened(390, 844, script=False)
    assert not page.locator(".dials").is_visible() and page.locator(".whole").is_visible()
    rows = page.locator("details tbody tr")
    assert rows.count() == 6 and all(row.is_visible() for row in rows.all())
    assert "Setting 4 of <six>." in rows.nth(4).inner_text() and page.asked == []
