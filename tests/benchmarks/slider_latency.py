"""How live is a slider, in a real browser: the bench notebook against a plain notebook that draws everything
anew at each step.

Run: python tests/benchmarks/slider_latency.py   (about a minute; needs the test extras and a Chromium, or
CHROMIUM=). Prints, asserts nothing.

Step: from the arrow key on the slider's handle to the first frame with another picture. Drag: the handle
pulled to and fro with 60 mouse
events a second; pictures a second, and how long after the last event the last picture came. Both notebooks
show the same figure of the same
model with 1,000 draws; the plain one does it with ipywidgets.interact and a new matplotlib figure each time.
"""

import importlib.util
import os
import platform
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

import nbformat

HERE = Path(__file__).resolve().parent
SLIDER = "Run-out"
PLAIN = """
import matplotlib.pyplot as plt
from ipywidgets import FloatSlider, interact
from tonewood.lesson.whole_neck import figure as bench, model

def show(run_out):
    fig = plt.figure(figsize=(10, 5.1), dpi=100)
    bench._change(bench.Picture(fig), **dict(model.defaults(), run_out=run_out))
    plt.show()

interact(show, run_out=FloatSlider(value=0, min=0, max=10, step=0.5, description="Run-out"));
"""
PROBE = """(selector) => { window.frames_ = []; window.keys_ = []; let last = null;
  document.addEventListener('keydown', e => window.keys_.push(e.timeStamp), true);
  document.addEventListener('pointermove', e => { window.moved_ = e.timeStamp; }, true);
  const port = new MessageChannel(); port.port1.onmessage = () => window.frames_.push(performance.now());
  const look = () => {
    const all = [...document.querySelectorAll(selector)].filter(i => i.complete && i.naturalWidth > 300);
    const src = all.length ? all[all.length - 1].currentSrc : null;
    if (src && src !== last) { last = src; port.port2.postMessage(0); }
    requestAnimationFrame(look); }; requestAnimationFrame(look); }"""


def harness():
    """The browser tests' own server and page, loaded by path."""
    spec = importlib.util.spec_from_file_location("browser_conftest", HERE.parent / "browser" / "conftest.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def chromium():
    """Path of a browser, or leave with a word."""
    found = os.environ.get("CHROMIUM") or next(
        filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome", "chrome"))), None
    )
    return found or sys.exit("no Chromium found; install one or name it in CHROMIUM")


def measure(browser, address, parts, name, selector):
    """(step times ms, pictures a second, lag ms, ms from opening to first picture) of one notebook."""
    page = browser.new_context(viewport={"width": 1280, "height": 1000}).new_page()
    begin = time.monotonic()
    lab = parts.Page(page, address, name)
    lab.run_all()
    lab.until(
        lambda: page.evaluate(
            "s => [...document.querySelectorAll(s)].some(i => i.complete && i.naturalWidth > 300)", selector),
        "no picture", 60)
    opened = time.monotonic() - begin
    handle = page.locator(".widget-hslider", has_text=SLIDER).first.get_by_role("slider")
    handle.scroll_into_view_if_needed()
    handle.focus()
    page.evaluate(PROBE, selector)
    page.wait_for_timeout(500)
    steps = []
    for turn in range(40):
        seen = page.evaluate("() => window.frames_.length")
        handle.press("ArrowRight" if turn % 20 < 10 else "ArrowLeft")
        lab.until(lambda: page.evaluate("() => window.frames_.length") > seen, "no new picture after a step",
                  10)
        page.wait_for_timeout(60)
        steps.append(page.evaluate("n => window.frames_[n] - window.keys_[window.keys_.length - 1]", seen))
    box, track = (handle.bounding_box(), page.locator(".widget-hslider",
                                                      has_text=SLIDER).first.locator(
                                                          ".noUi-target").bounding_box())
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    before, start = page.evaluate("() => window.frames_.length"), time.monotonic()
    while (passed := time.monotonic() - start) < 4:
        share = abs((passed / 1.6) % 2 - 1)
        page.mouse.move(track["x"] + share * track["width"], box["y"] + box["height"] / 2)
        time.sleep(max(0.0, 1 / 60 - (time.monotonic() - start - passed)))
    count = page.evaluate("() => window.frames_.length") - before
    page.mouse.up()
    page.wait_for_timeout(1200)
    lag = page.evaluate("() => window.frames_[window.frames_.length - 1] - window.moved_")
    page.evaluate("() => window.jupyterapp.shell.currentWidget.sessionContext.shutdown()")
    page.context.close()
    return steps, count / 4, max(lag, 0.0), opened


def main():
    from playwright.sync_api import sync_playwright

    parts = harness()
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        books = Path(folder) / "notebooks"
        books.mkdir()
        shutil.copy(parts.NOTEBOOKS / "01_neck_on_the_bench.ipynb", books)
        plain = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(PLAIN.strip())])
        plain.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
        nbformat.write(plain, books / "plain.ipynb")
        parts.NOTEBOOKS = books

        class Folders:
            @staticmethod
            def mktemp(name):
                return Path(tempfile.mkdtemp(prefix=name, dir=folder))

        server = (parts.server.__wrapped__(Folders) if hasattr(parts.server, "__wrapped__")
                  else parts.server._get_wrapped_function()(Folders))
        address = next(server)
        try:
            with sync_playwright() as tool:
                browser = tool.chromium.launch(executable_path=chromium(), headless=True, args=parts.FLAGS)
                print(f"Python {platform.python_version()}, {os.cpu_count()} cores, load"
                      f" {os.getloadavg()[0]:.1f}")
                for name, book, selector in (
                    ("bench", "01_neck_on_the_bench.ipynb", ".tonewood-live img.widget-image"),
                    ("plain", "plain.ipynb", ".jp-OutputArea-output img"),
                ):
                    steps, rate, lag, opened = measure(browser, address, parts, book, selector)
                    found[name] = statistics.median(steps)
                    print(
                        f"{name}: step median {found[name]:.0f} ms, 95th percentile"
                        f" {sorted(steps)[int(0.95 * len(steps))]:.0f} ms; drag {rate:.1f} pictures a second,"
                        f" last picture {lag:.0f} ms after the last event; opened and run in {opened:.1f} s"
                    )
                browser.close()
        finally:
            server.close()
    print(f"step, plain over bench: {found['plain'] / found['bench']:.1f} times")


if __name__ == "__main__":
    main()
