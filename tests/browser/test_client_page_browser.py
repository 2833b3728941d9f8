"""The client's page alone, `tonewood open 12`: at a tablet's size and on a telephone, without code, by touch."""

import os
import re
import signal
import subprocess
import sys
import time

import pytest


@pytest.fixture(scope="module")
def page(browser, tmp_path_factory):
    """The page as the README's command opens it, 1024 × 768; .wrong: errors of its scripts."""
    folder = tmp_path_factory.mktemp("client")
    environment = {**os.environ, "IPYTHONDIR": str(folder / "ipython"), "JUPYTER_CONFIG_DIR": str(folder / "config"),
                   "JUPYTER_RUNTIME_DIR": str(folder / "run"), "PYTHONUNBUFFERED": "1"}
    log = folder / "log"
    process = subprocess.Popen([sys.executable, "-m", "tonewood", "open", "12", "--folder", str(folder / "mine"),
                                "--no-browser"], env=environment, stdout=log.open("w"),
                               stderr=subprocess.STDOUT, start_new_session=True)
    end = time.monotonic() + 90
    while not (found := re.search(r"Open at (http://127\.0\.0\.1:\S+)", log.read_text())):
        assert process.poll() is None and time.monotonic() < end, log.read_text()
        time.sleep(0.2)
    made = browser.new_page(viewport={"width": 1024, "height": 768})
    made.wrong = []
    made.on("pageerror", lambda error: made.wrong.append(str(error)))
    made.goto(found[1], wait_until="domcontentloaded", timeout=120_000)
    made.locator(".tonewood-live img.widget-image").first.wait_for(timeout=120_000)
    made.get_by_role("button", name="What is different").wait_for(timeout=60_000)
    yield made
    made.close()
    process.send_signal(signal.SIGTERM)
    assert process.wait(30) == 0


def sideways(page):
    return page.evaluate("() => document.scrollingElement.scrollWidth - innerWidth")


def test_four_choices_no_code_and_room_for_a_finger(page):
    assert page.locator("h1").first.inner_text() == "12 · Your neck"
    for hidden in (".jp-InputArea-editor", ".jp-InputPrompt", "text=from tonewood", "text=Run All Cells"):
        assert page.locator(hidden).locator("visible=true").count() == 0, hidden
    lists = page.locator(".tonewood-live select").locator("visible=true")
    assert lists.count() == 5       # the four, and the units
    heights = [lists.nth(i).bounding_box()["height"] for i in range(5)]
    heights += [b.bounding_box()["height"] for b in page.locator(".tonewood-touch .tonewood-button").all()
                if b.is_visible() and b.bounding_box()]
    assert min(heights) >= 40 and sideways(page) <= 0


def test_a_choice_changes_neck_and_sentence(page):
    live = page.locator(".tonewood-live").first
    said = live.locator(".tonewood-seen > .tonewood-sentence").first
    before, picture = said.inner_text(), live.locator("img.widget-image").first.get_attribute("src")
    live.get_by_label("You are").select_option("the theatre bassist")
    page.wait_for_function("was => document.querySelector('.tonewood-live img.widget-image').src !== was",
                           arg=picture, timeout=30_000)
    page.wait_for_function("was => document.querySelector('.tonewood-seen > .tonewood-sentence').innerText !== was",
                           arg=before, timeout=15_000)
    assert "Lisbon" in said.inner_text() and page.wrong == []


def test_two_necks_are_compared_and_heard(page):
    page.get_by_role("button", name="What is different").click()
    page.get_by_text("of 100 pairs").first.wait_for(timeout=60_000)
    page.get_by_role("button", name="Listen to both").click()
    page.locator("audio").nth(1).wait_for(state="attached", timeout=60_000)
    assert page.locator("audio").count() == 2
    lasts = page.evaluate("""() => new Promise(done => { const a = document.querySelector('audio');
        if (a.duration) done(a.duration); a.onloadedmetadata = () => done(a.duration); a.load(); })""")
    assert lasts > 1.0 and page.wrong == []


def test_on_a_telephone_nothing_scrolls_sideways(page):
    page.set_viewport_size({"width": 390, "height": 800})
    page.wait_for_timeout(1500)
    assert sideways(page) <= 0
    assert page.locator(".tonewood-live select").first.is_visible()
