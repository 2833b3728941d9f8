"""`tonewood open`: a lesson as a page without code, in a real browser, from the command to the moving
picture; and `tonewood lab` on a copy of the learner's own."""

import os
import re
import signal
import subprocess
import sys
import time

import pytest

LESSON = "05"
PICTURE = "() => document.querySelector('.tonewood-live img.widget-image').src"

AT = "place => document.activeElement.matches('.tonewood-head') && document.activeElement.innerText.startsWith(place)"
BEGINS = """() => document.querySelector('.tonewood-live, .tonewood-waits').getBoundingClientRect().top
  - document.querySelector('h1').getBoundingClientRect().top"""
LIGHT_IS = """wanted => { const e = document.querySelector('.tonewood-live img.widget-image');
  const c = document.createElement('canvas'); c.width = c.height = 2; const x = c.getContext('2d');
  x.drawImage(e, 0, 0); return x.getImageData(1, 1, 1, 1).data[0] > 128 === wanted; }"""


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    """opened(command) -> (address, folder of copies): a lesson opened as a person does, ended as Ctrl+C does."""
    running = []

    def start(command):
        folder = tmp_path_factory.mktemp(command)
        environment = {**os.environ, "IPYTHONDIR": str(folder / "ipython"),
                       "JUPYTER_CONFIG_DIR": str(folder / "config"), "JUPYTER_RUNTIME_DIR": str(folder / "run"),
                       "JUPYTERLAB_SETTINGS_DIR": str(folder / "settings"),
                       "JUPYTERLAB_WORKSPACES_DIR": str(folder / "workspaces"), "PYTHONUNBUFFERED": "1"}
        log = folder / "log"
        process = subprocess.Popen(
            [sys.executable, "-m", "tonewood", command, LESSON, "--folder", str(folder / "mine"), "--no-browser"],
            env=environment, stdout=log.open("w"), stderr=subprocess.STDOUT, start_new_session=True)
        running.append((process, log))
        end = time.monotonic() + 90
        while time.monotonic() < end and process.poll() is None:
            if found := re.search(r"Open at (http://127\.0\.0\.1:\S+)", log.read_text()):
                return found[1], folder / "mine"
            time.sleep(0.2)
        raise RuntimeError(log.read_text())

    yield start
    said = [log.read_text() for _, log in running]
    for process, _ in running:
        process.send_signal(signal.SIGTERM)
        assert process.wait(30) == 0
        with pytest.raises(ProcessLookupError):            # server and kernels have gone with it
            for _ in range(50):
                os.killpg(process.pid, 0)
                time.sleep(0.2)
    for words in said:                                     # our own five lines; a page left early says more in Lab
        lines = words.splitlines()
        assert lines[4].endswith("Ctrl+C here ends the lesson.") and "warning" not in words.lower(), words
        assert "/lab/" in lines[3] or len(lines) == 5, words


@pytest.fixture(scope="module")
def page(browser, opened):
    """The lesson's page, opened at laptop size; .asked, .wrong: addresses asked for, errors of its scripts."""
    address, _ = opened("open")
    made = browser.new_page(viewport={"width": 1280, "height": 800})
    made.asked, made.wrong = [], []
    made.on("request", lambda request: made.asked.append(request.url))
    made.on("pageerror", lambda error: made.wrong.append(str(error)))
    made.goto(address, wait_until="domcontentloaded", timeout=120_000)
    made.locator(".tonewood-question").first.wait_for(timeout=120_000)
    yield made
    made.close()


def test_a_lesson_runs_itself_shows_no_code_and_asks_nothing_of_others(page):
    assert page.locator("h1").first.inner_text().startswith(f"{LESSON} · ")
    for hidden in (".jp-InputArea-editor", ".jp-InputPrompt", ".jp-OutputPrompt", "text=Run All Cells",
                   "text=from tonewood", "[data-mime-type='application/vnd.jupyter.stderr']"):
        assert page.locator(hidden).locator("visible=true").count() == 0, hidden
    away = [a for a in page.asked if not a.startswith(("http://127.0.0.1:", "data:", "blob:"))]
    assert away == [] and page.wrong == []
    assert re.fullmatch(rf"{LESSON} · .+", page.title())


def test_a_slider_moves_the_picture(page):
    question = page.locator(".tonewood-question").first
    question.get_by_role("radio").first.check()
    question.get_by_role("button", name="This is my prediction").press("Enter")
    page.wait_for_function(AT, arg="2 of 3", timeout=15_000)              # the keyboard goes on at the next one
    heads = [page.locator(".tonewood-guess > .tonewood-head").nth(n) for n in range(3)]
    assert [head.get_attribute("aria-expanded") for head in heads] == ["true", "true", "false"]
    heads[2].press("Enter")
    page.locator(".tonewood-guess").nth(2).get_by_role("radio").first.wait_for()
    assert [head.get_attribute("aria-expanded") for head in heads] == ["false", "false", "true"]
    assert "you said" in page.locator(".tonewood-guess .tonewood-says").first.inner_text()
    live = page.locator(".tonewood-live").first
    live.locator("img.widget-image").first.wait_for(timeout=20_000)
    handle = live.get_by_role("slider").first
    handle.scroll_into_view_if_needed()
    page.wait_for_timeout(1000)
    before, said = page.evaluate(PICTURE), live.locator(".tonewood-seen > .tonewood-sentence").first.inner_text()
    handle.focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.wait_for_function("before => document.querySelector('.tonewood-live img.widget-image').src !== before",
                           arg=before, timeout=15_000)
    page.wait_for_timeout(1000)
    assert live.locator(".tonewood-seen > .tonewood-sentence").first.inner_text() != said
    assert page.wrong == []


def test_the_page_is_dark_where_the_reader_has_it_so_and_its_picture_too(page):
    page.emulate_media(color_scheme="dark")
    page.wait_for_function("() => document.body.dataset.jpThemeLight === 'false'")
    paper = page.evaluate("() => getComputedStyle(document.body).backgroundColor")
    assert sum(map(int, re.findall(r"\d+", paper)[:3])) < 150
    page.wait_for_function(LIGHT_IS, arg=False, timeout=15_000)
    page.emulate_media(color_scheme="light")
    page.wait_for_function(LIGHT_IS, arg=True, timeout=15_000)
    paper = page.evaluate("() => getComputedStyle(document.body).backgroundColor")
    assert sum(map(int, re.findall(r"\d+", paper)[:3])) > 700


def test_ones_own_reading_goes_into_a_box_with_a_comma(page):
    box = page.get_by_label("Growth of the gap, exact number in mm").first
    result = page.locator(".tonewood-reckoned").first
    before = result.inner_text()
    box.fill("0,56")
    box.press("Enter")
    page.wait_for_function("was => document.querySelector('.tonewood-reckoned').innerText !== was", arg=before)
    said, first = (int(re.search(r"as read\s+(\d+)", words)[1]) for words in (result.inner_text(), before))
    assert said == pytest.approx(first / 2, abs=1)


def test_a_telephone_scrolls_one_way_only(page):
    page.set_viewport_size({"width": 390, "height": 800})
    page.wait_for_timeout(700)
    assert page.evaluate("() => document.documentElement.scrollWidth") <= 390
    assert page.evaluate(BEGINS) <= 2 * 800, "the figure stands on the second screen"
    page.set_viewport_size({"width": 1280, "height": 800})


def test_in_lab_a_copy_waits_before_it_runs(browser, opened):
    address, mine = opened("lab")
    made = browser.new_page(viewport={"width": 1280, "height": 800})
    try:
        made.goto(address, wait_until="domcontentloaded", timeout=120_000)
        made.locator(".jp-RenderedMarkdown").get_by_text("To begin:").first.wait_for(timeout=60_000)
        made.get_by_text("waits until the page is run").first.wait_for(timeout=30_000)
        assert made.locator(".jp-InputArea-editor .cm-content:visible").count() == 0
        assert made.get_by_text("Error displaying widget").count() == 0
        assert (mine / "05_string_pull.ipynb").is_file()
        made.goto("about:blank")
    finally:
        made.close()
