"""Keys and clicks inside our panels: no key touches the lesson's cells, each control does what it is for."""

import json
import urllib.request

import pytest

CODE = """
import time, ipywidgets
from IPython.display import HTML, display
from tonewood.panel.boxes import buttons, fold, panel
from tonewood.panel.controls import pick, slider, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.questions import ask_number, predict
pressed = []
controls = {"angle": slider("Run-out", 5, 0, 10, 0.5, "\u00b0"), "stripes": slider("Stripes", 3, 1, 11, 1),
            "wood": pick("Wood", ["ash", "beech", "maple", "walnut"]), "on": switch("Cooled")}
controls["depth"] = slider("Depth", 20, 18, 24, 0.1, "mm").unless(lambda v: "" if v["on"] else "Cool first.")
def change(art, **v):
    art.set_ydata([0, v["angle"]])
    return f"{v['angle']:g} {v['stripes']:g} {v['wood']} {v['on']} {v['depth']:g} {len(pressed)}"
live = LiveFigure(lambda fig: fig.subplots().plot([0, 1], [0, 10])[0], change, controls, inches=(5, 2), alt="A line")
asked, number = predict("Up or down?", ["up", "level", "down"]), ask_number("How much?", lambda: 0.5, "mm", 0.01, "h", "s")
row = buttons(Press=lambda: (pressed.append(1), live.refresh()), Long=lambda: time.sleep(6))
row.add_class("tonewood-panel")
class Woods:
    def __call__(self): return ["ash", "beech"]
    def also(self): return {"ash": "Fraxinus", "beech": "Fagus"}
display(HTML("<details><summary>Words</summary>said</details><audio controls aria-label=Tap></audio>"))
ipywidgets.VBox([live.widget, asked.widget, number.widget, row, panel([pick("Kind", Woods())]), *fold("Rest", ipywidgets.HTML("said"))])
"""
KINDS = {"list": "select", "slider": ".noUi-handle", "radio": "input[type=radio]", "tick box": "input[type=checkbox]",
         "button": "button", "number box": ".tonewood-number input", "text box": ".widget-text:not(.tonewood-number, .tonewood-density) input",
         "search box": ".tonewood-seek", "folded part": "button.tonewood-fold", "folded words": "summary", "player": "audio"}
# what a notebook in command mode does with keys, switched on again: here the panels themselves must hold
COMMANDS = """() => { const c = window.jupyterapp.commands;
  for (const [command, keys] of [['change-cell-to-markdown', ['M']], ['delete-cell', ['D', 'D']], ['cut-cell', ['X']],
      ['insert-cell-below', ['B']], ['insert-cell-above', ['A']], ['change-cell-to-raw', ['R']]])
    c.addKeyBinding({command: 'notebook:' + command, keys, selector: '.jp-Notebook.jp-mod-commandMode:not(.jp-mod-readWrite) :focus'});
  }"""
CELLS = """() => { const n = window.jupyterapp.shell.currentWidget.content;
  return [n.activeCellIndex, ...n.widgets.map(w => w.model.type + ' ' + w.model.sharedModel.source)]; }"""
COMMAND_MODE = """() => { const n = window.jupyterapp.shell.currentWidget.content; n.mode = 'command';
  n.activeCell.node.focus(); return document.activeElement === n.activeCell.node; }"""
LETTERS = ["m", "d", "d", "x", "b", "a", "r", "y", "c", "v", "z", "1", "6", "0", "0", "Shift+M", "Shift+Enter"]
ARROWS = ["ArrowDown", "ArrowUp", "ArrowLeft", "ArrowRight"]


@pytest.fixture(scope="module")
def shared(open_alone, server):
    kernel = {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}}  # else Lab asks
    cells = [{"cell_type": "markdown", "metadata": {}, "source": "before"},
             {"cell_type": "code", "metadata": {}, "source": CODE, "outputs": [], "execution_count": None},
             {"cell_type": "markdown", "metadata": {}, "source": "after"}]
    content = {"cells": cells, "metadata": kernel, "nbformat": 4, "nbformat_minor": 5}
    body = json.dumps({"type": "notebook", "format": "json", "content": content}).encode()
    cookies = urllib.request.urlopen(f"{server}/lab").headers.get_all("Set-Cookie") or []
    xsrf = next((c.split("=", 1)[1].split(";")[0] for c in cookies if c.startswith("_xsrf")), "")
    urllib.request.urlopen(urllib.request.Request(
        f"{server}/api/contents/keys.ipynb", body, method="PUT",
        headers={"Content-Type": "application/json", "X-XSRFToken": xsrf, "Cookie": f"_xsrf={xsrf}"}))
    made = open_alone("keys.ipynb")
    made.run_all()
    made.page.locator(".tonewood-live .noUi-handle[aria-label]").first.wait_for()
    return made


@pytest.fixture
def lab(shared):
    """The page, at its start values."""
    shared.page.get_by_role("button", name="Back to the start values").click()
    shared.until(lambda: said(shared).startswith("5 3 ash False 20 "), "no start values")
    shared.errors.clear()
    return shared


def part(lab, kind):
    return lab.page.locator(f".jp-OutputArea-output {KINDS[kind]}").first


def said(lab):
    return lab.page.locator(".tonewood-live .tonewood-whole").first.inner_text()


def has_focus(element):
    return element.evaluate("e => e === document.activeElement || e.type === 'radio' && "
                            "e.name && e.name === document.activeElement.name")


def test_the_shipped_settings_switch_single_letters_and_the_news_question_off(lab):
    before = lab.page.evaluate(CELLS)
    assert lab.page.evaluate(COMMAND_MODE)
    for key in [k for k in LETTERS if "Enter" not in k]:
        lab.page.keyboard.press(key)
        assert lab.page.evaluate(CELLS) == before, key
    news = lab.page.evaluate("() => window.jupyterapp.serviceManager.settings.fetch('@jupyterlab/apputils-extension:notification')"
                             ".then(s => s.schema.properties.fetchNews.default)")
    assert news == "false" and lab.page.get_by_text("Would you like to get notified").count() == 0


def test_no_key_touches_a_cell_in_any_kind_of_control(lab):
    lab.page.evaluate(COMMANDS)
    for kind in KINDS:
        element = part(lab, kind)
        element.focus()
        before = lab.page.evaluate(CELLS)
        for key in LETTERS + ARROWS:
            lab.page.keyboard.press(key)
            assert lab.page.evaluate(CELLS) == before, f"{key} in a {kind}"
            assert has_focus(element), f"{key} takes the focus from a {kind}"
    part(lab, "search box").press("Escape")                            # what was typed there is no wood
    # the same keys do act on a cell as soon as it has the focus itself: they were alive all the time
    assert lab.page.evaluate(COMMAND_MODE)
    lab.page.keyboard.press("b")
    lab.until(lambda: len(lab.page.evaluate(CELLS)) == len(before) + 1, "b inserts no cell: the test proves nothing")
    assert lab.errors == []


def test_each_kind_of_control_does_its_thing_by_keyboard(lab):
    page = lab.page
    wood = part(lab, "list")
    wood.focus()
    for keys, value in (("ArrowDown", "beech"), ("ArrowUp", "ash"), ("w", "walnut"), ("m", "maple")):
        page.wait_for_timeout(1100)                                     # else letters add up to one word
        page.keyboard.press(keys)
        lab.until(lambda value=value: f" {value} " in said(lab), f"{keys} does not choose {value}: {said(lab)}")
    handle = part(lab, "slider")
    handle.focus()
    for key, value in (("ArrowUp", "5.5"), ("ArrowDown", "5"), ("ArrowRight", "5.5"), ("Home", "0"), ("End", "10")):
        page.keyboard.press(key)
        lab.until(lambda value=value: said(lab).startswith(value + " "), f"{key} does not move the slider to {value}")
    tick = part(lab, "tick box")
    tick.focus()
    page.keyboard.press("Space")
    lab.until(lambda: " True " in said(lab), "Space does not tick")
    radios = page.get_by_role("radio")
    radios.first.focus()
    page.keyboard.press("ArrowDown")
    lab.until(lambda: radios.nth(1).is_checked(), "Arrow Down does not choose")
    press = page.get_by_role("button", name="Press")
    press.focus()
    presses = int(said(lab).split()[-1])
    for count, key in enumerate(("Enter", "Space"), presses + 1):
        page.keyboard.press(key)
        lab.until(lambda count=count: said(lab).endswith(f" {count}"), f"{key} does not press the button")
    text = part(lab, "text box")
    text.fill("")
    page.keyboard.type("0,5 mdx")
    assert text.input_value() == "0,5 mdx"
    page.wait_for_timeout(500)     # each key has gone to the kernel by then;
    lab.settle()                   # on a busy machine it still answers the first text
    text.fill("0,5")
    page.wait_for_timeout(500)
    lab.settle()
    assert text.input_value() == "0,5"
    page.get_by_role("button", name="Check my answer").press("Enter")
    page.get_by_text("Right. You said").wait_for()
    assert lab.page.locator(".tonewood-error:not([hidden])").count() == 0 and lab.errors == []


@pytest.mark.parametrize("language", ["en-US", "de-DE"])
def test_number_boxes_take_comma_and_point_alike_and_stay_exact(lab, language):
    session = lab.page.context.new_cdp_session(lab.page)
    session.send("Emulation.setLocaleOverride", {"locale": language})
    assert lab.page.evaluate("() => (0.5).toLocaleString()") == {"en-US": "0.5", "de-DE": "0,5"}[language]
    handle, box = part(lab, "slider"), part(lab, "number box")
    assert box.get_attribute("inputmode") == "decimal"
    assert lab.page.get_by_role("textbox", name="Run-out, exact number in \u00b0").count() == 1
    box.focus()
    for typed, value, stands in (("0,5", "0.5", 0.5), ("6.5", "6.5", 6.5), ("3,8", "3.8", 4), ("0.06", "0.06", 0)):
        box.fill("")
        lab.page.keyboard.type(typed)
        lab.page.keyboard.press("Enter")
        lab.until(lambda value=value: said(lab).startswith(value + " "), f"{typed} is not taken as {value}: {said(lab)}")
        lab.until(lambda value=value: box.input_value() == value, "the box does not show it")
        lab.page.wait_for_timeout(500)                                  # an echo of the handle would come now
        assert float(handle.get_attribute("aria-valuenow")) == stands
        assert said(lab).startswith(value + " ") and box.input_value() == value
    for key, value in (("ArrowUp", "0.5"), ("ArrowUp", "1"), ("ArrowDown", "0.5"), ("ArrowDown", "0"), ("ArrowDown", "0")):
        lab.page.keyboard.press(key)
        lab.until(lambda value=value: said(lab).startswith(value + " ") and box.input_value() == value, f"{key} does not step to {value}")
    box.fill("40")
    box.press("Enter")
    cell = lab.page.locator(".tonewood-slider").first
    cell.get_by_role("alert").wait_for()
    lab.until(lambda: box.input_value() == "0", "the refused number stays in the box")
    box.fill("0")
    box.press("Enter")
    lab.until(lambda: cell.get_by_role("alert").count() == 0, "the refusal stays although 0 is good")
    stripes = lab.page.get_by_role("textbox", name="Stripes, exact number")
    stripes.fill("6,5")
    stripes.press("Enter")
    lab.page.get_by_text("a whole number from 1 to 11").wait_for()
    session.send("Emulation.setLocaleOverride")
    session.detach()
    assert lab.errors == []


def test_a_control_that_changes_nothing_is_greyed_and_says_why(lab):
    depth = lab.page.get_by_role("textbox", name="Depth, exact number in mm")
    assert depth.is_disabled() and lab.page.get_by_text("Cool first.", exact=True).is_visible()
    lab.page.get_by_label("Cooled").check()
    lab.until(depth.is_enabled, "the control does not wake up")
    assert lab.page.get_by_text("Cool first.", exact=True).count() == 0


def test_a_click_during_a_long_run_is_answered_at_once(lab):
    press = lab.page.get_by_role("button", name="Press")
    presses = int(said(lab).split()[-1])
    press.click()
    lab.until(lambda: said(lab).endswith(f" {presses + 1}"), "the button does nothing")
    lab.page.wait_for_timeout(800)
    assert lab.page.locator(".tonewood-busy").count() == 0                      # answered before it was due
    lab.page.get_by_role("button", name="Long").click()
    lab.page.get_by_text("Still working").first.wait_for(timeout=1500)
    press.click()
    press.locator("xpath=following-sibling::*[contains(@class, 'tonewood-busy')]").wait_for(timeout=3000)
    lab.until(lambda: said(lab).endswith(f" {presses + 2}"), "the click is lost")
    lab.until(lambda: lab.page.locator(".tonewood-busy").count() == 0, "the words stay after the work is done")
    assert lab.errors == []
