"""A real JupyterLab and a real browser for the tests in this folder.

The server gets its own port, settings and a copy of the notebooks; nothing of the person running the tests is
read or changed.
Without a Chromium the tests are skipped and say so; TONEWOOD_REQUIRE_BROWSER=1 turns that into a failure.
"""

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
# a root user has no sandbox; the rest keeps the browser from calling anywhere by itself and from slowing
# down in the background
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-background-timer-throttling",
    "--disable-renderer-backgrounding",
    "--disable-backgrounding-occluded-windows",
]
READY = """async () => { const s = window.jupyterapp.shell; await s.currentWidget.sessionContext.ready; s.collapseLeft(); try { s.collapseRight(); } catch (e) {}
  const k = s.currentWidget.sessionContext;
  for (let i = 0; i < 600; i++) { const c = k.session && k.session.kernel; if (c && c.connectionStatus === 'connected' && c.status === 'idle') return true;
    await new Promise(r => setTimeout(r, 100)); } return false; }"""


def find_chromium():
    places = [
        "chromium",
        "chromium-browser",
        "google-chrome",
        "chrome",
        "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    ]
    return os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, places)), None)


@pytest.fixture(scope="session")
def with_browser():
    """False where there is no Chromium and none is required."""
    return bool(find_chromium()) or os.environ.get("TONEWOOD_REQUIRE_BROWSER") == "1"


@pytest.fixture(scope="session")
def chromium():
    found = find_chromium()
    if not found:
        words = "no Chromium found: install one (Debian: apt install chromium) or name it in CHROMIUM"
        pytest.fail(words) if os.environ.get("TONEWOOD_REQUIRE_BROWSER") == "1" else pytest.skip(words)
    return found


@pytest.fixture(scope="session")
def heard(tmp_path_factory):
    """What the browser's microphone hears, over and over: a file of made taps, of 271 Hz."""
    import soundfile

    from tonewood.bench.made_taps import made_taps

    path = tmp_path_factory.mktemp("heard") / "taps.wav"
    made = made_taps(271.0, 0.0085, rate=48000, noise=0.002)
    soundfile.write(path, made.samples, int(made.rate), subtype="PCM_16")
    return path


@pytest.fixture(scope="session")
def browser(chromium, heard):
    from playwright.sync_api import sync_playwright

    flags = [*FLAGS, "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
             f"--use-file-for-fake-audio-capture={heard}"]
    with sync_playwright() as tool:
        made = tool.chromium.launch(executable_path=chromium, headless=True, args=flags)
        yield made
        made.close()


@pytest.fixture(scope="session")
def copies(tmp_path_factory):
    """Folder of the copies of the notebooks that the server shows; what a learner keeps comes to lie there."""
    folder = tmp_path_factory.mktemp("lab") / "notebooks"
    shutil.copytree(NOTEBOOKS, folder, ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
    return folder


@pytest.fixture(scope="session")
def server(copies):
    """Address of a JupyterLab that serves a copy of the notebooks."""
    home = copies.parent
    for name, value in {
        "notebook-extension/tracker": {"windowingMode": "none"},
        "apputils-extension/notification": {"doNotDisturbMode": True},
    }.items():
        file = home / "settings" / "@jupyterlab" / f"{name}.jupyterlab-settings"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps(value))
    shipped = home / "config" / "labconfig" / "default_setting_overrides.d" / "tonewood.json"
    shipped.parent.mkdir(parents=True)
    shutil.copy(NOTEBOOKS.parent / "lib" / "server-config" / "lab-settings.json", shipped)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    environment = {
        **os.environ,
        "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTER_RUNTIME_DIR": str(home / "run"),
        "JUPYTER_DATA_DIR": str(home / "data"),
        "JUPYTERLAB_SETTINGS_DIR": str(home / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(home / "workspaces"),
        "IPYTHONDIR": str(home / "ipython"),
    }
    log = (home / "log").open("w")
    process = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "jupyterlab",
            "--no-browser",
            "--allow-root",
            "--ServerApp.ip=127.0.0.1",
            f"--ServerApp.port={port}",
            "--ServerApp.port_retries=0",
            "--IdentityProvider.token=",
            f"--ServerApp.root_dir={copies}",
            "--LabApp.expose_app_in_browser=True",
        ],
        env=environment,
        cwd=home,
        stdout=log,
        stderr=subprocess.STDOUT,
        start_new_session=True,
    )
    try:
        wait_for(process, port, home / "log")
        yield f"http://127.0.0.1:{port}"
    finally:
        stop(process)
        log.close()


def stop(process):
    """End the server; where there are process groups, its kernels with it."""
    if not hasattr(os, "killpg"):
        process.terminate()
        process.wait(20)
        return
    for sign in (signal.SIGTERM, signal.SIGKILL):
        try:
            os.killpg(process.pid, sign)
            process.wait(10)
        except (ProcessLookupError, subprocess.TimeoutExpired):
            continue


def wait_for(process, port, log, limit=90):
    start = time.monotonic()
    while time.monotonic() - start < limit:
        if process.poll() is not None:
            break
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/api", timeout=2)
            return
        except urllib.error.HTTPError:
            return
        except OSError:
            time.sleep(0.2)
    raise RuntimeError(f"JupyterLab did not answer on port {port}:\n{log.read_text()[-3000:]}")


# opens a notebook as a double click in the list of files does, in place of all that is open
OPEN = """async name => { const {shell, commands} = window.jupyterapp;
  for (const w of [...shell.widgets('main')]) { if (w.sessionContext) await w.sessionContext.shutdown(); w.dispose(); }
  await commands.execute('docmanager:open', {path: name, factory: 'Notebook'}); }"""
# an empty piece of code runs after all that was asked of the kernel before
ANSWERED = """() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel
  .requestExecute({code: '', silent: true}).done"""
OUTPUTS = """() => window.jupyterapp.shell.currentWidget.content.model.toJSON().cells
  .filter(c => c.cell_type === 'code').map(c => c.outputs)"""


class Page:
    """One notebook open in the browser, with what the tests ask of it. A page that shows JupyterLab already
    opens the notebook in it: the start of JupyterLab takes longer than that of most lessons."""

    def __init__(self, page, url, name):
        self.page, self.name, self.errors = page, name, []
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        if page.url.startswith(f"{url}/lab"):
            page.evaluate(OPEN, name)
        else:
            page.goto(f"{url}/lab/tree/{name}?reset", wait_until="domcontentloaded")
        page.wait_for_function(
            "() => window.jupyterapp && window.jupyterapp.shell.currentWidget &&"
            " window.jupyterapp.shell.currentWidget.sessionContext",
            timeout=90000,
        )
        self.settle()

    def run_all(self, limit=240):
        """Run every cell and wait until the last one has finished; asserts that no cell ended in an error."""
        ended = self.page.evaluate(
            """async () => { await window.jupyterapp.commands.execute('notebook:clear-all-cell-outputs');
            await window.jupyterapp.commands.execute('notebook:run-all-cells');
            const k = window.jupyterapp.shell.currentWidget.sessionContext.session.kernel;
            for (let calm = 0, i = 0; i < %d; i++) { calm = k.status === 'idle' ? calm + 1 : 0; if (calm > 8) return true; await new Promise(r => setTimeout(r, 100)); }
            return false; }""" % (limit * 10)
        )
        assert ended, "the notebook did not finish"
        wrong = self.page.locator(
            "[data-mime-type='application/vnd.jupyter.stderr'],"
            " [data-mime-type='application/vnd.jupyter.error']"
        ).all_text_contents()
        assert wrong == [], wrong

    def settle(self):
        """Wait until the kernel has nothing left to do."""
        assert self.page.evaluate(READY), "the kernel did not become idle"

    def predict_everything(self):
        """Commit to the first answer of every prediction as it opens, so that the figures behind them appear.
        """
        left = self.page.locator(".tonewood-guess:not(.tonewood-answered)")
        while number := left.count():
            now = self.page.locator(".tonewood-guess.tonewood-open:not(.tonewood-answered)")
            button = now.get_by_role("button", name="This is my prediction")
            button.wait_for()
            if now.get_by_role("radio").count():
                now.get_by_role("radio").first.check()
            button.press("Enter")
            self.until(lambda number=number: left.count() < number, "a prediction was not taken")

    def picture(self):
        """A fingerprint of the largest picture's pixels."""
        return self.page.evaluate(
            """() => { const all = [...document.querySelectorAll('.tonewood-live img.widget-image')].filter(i => i.complete && i.naturalWidth > 1);
            const e = all.sort((a, b) => b.naturalWidth * b.naturalHeight - a.naturalWidth * a.naturalHeight)[0]; if (!e) return null;
            const c = document.createElement('canvas'); c.width = e.naturalWidth; c.height = e.naturalHeight; const x = c.getContext('2d'); x.drawImage(e, 0, 0);
            let h = 7; for (const v of new Uint32Array(x.getImageData(0, 0, c.width, c.height).data.buffer)) h = Math.imul(h ^ v, 16777619); return h; }"""
        )

    def until(self, question, words, limit=15):
        """Ask until the answer is true; the answer. Fails with the words, or what they then return, after
        `limit` seconds."""
        start = time.monotonic()
        while time.monotonic() - start < limit:
            answer = question()
            if answer:
                return answer
            self.page.wait_for_timeout(30)
        raise AssertionError(words() if callable(words) else words)


class Lab:
    """One JupyterLab for all the tests of a worker, one notebook open at a time."""

    def __init__(self, browser, server, copies):
        self.browser, self.server, self.copies = browser, server, copies
        self.context = self.shown = None

    def open(self, name, width=1400, height=1200):
        """The notebook freshly opened, not run."""
        self.shown = None
        if self.context is None:
            self.context = self.browser.new_context()
            self.page = self.context.new_page()
        self.page.set_viewport_size({"width": width, "height": height})
        return Page(self.page, self.server, name)

    def visit(self, name):
        """The notebook run from top to bottom, every prediction made, at its start values, 1280 × 1000; as the
        test before left it open, if that was on the same notebook. `.outputs`: those of its code cells."""
        if self.shown is None or self.shown.name != name:
            for kept in self.copies.glob("my_*.*"):
                kept.unlink()
            lab = self.open(name, 1280, 1000)
            lab.run_all()
            lab.outputs = lab.page.evaluate(OUTPUTS)
            lab.predict_everything()
            self.shown = lab
        else:
            self.page.set_viewport_size({"width": 1280, "height": 1000})
            for button in self.page.get_by_role("button", name="Back to the start values").all():
                if button.is_visible():
                    button.click()
            self.page.evaluate(f"async () => {{ await ({ANSWERED})(); }}")
        return self.shown

    def close(self):
        if self.context is not None:
            self.page.evaluate(
                "() => { const w = window.jupyterapp?.shell.currentWidget; return w?.sessionContext?.shutdown(); }"
            )
            self.context.close()
        self.context = self.shown = None


@pytest.fixture(scope="session")
def only_lab(browser, server, copies):
    made = Lab(browser, server, copies)
    yield made
    made.close()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    item.failed = getattr(item, "failed", False) or report.failed
    return report


@pytest.fixture
def lab_page(request, only_lab):
    """The worker's JupyterLab; after a test that failed the next begins with a new one."""
    yield only_lab
    if getattr(request.node, "failed", False):
        only_lab.close()


@pytest.fixture
def open_notebook(lab_page):
    """open_notebook(name, width, height) -> Page, not run yet."""
    return lab_page.open


@pytest.fixture
def lesson(lab_page, request):
    """The notebook named by @pytest.mark.parametrize("lesson", [name], indirect=True), run through once for
    all tests that follow each other on it (tests/conftest.py puts them together)."""
    return lab_page.visit(request.param)


@pytest.fixture
def kept(lab_page, copies):
    """Name of a neck of five stripes, its main wood black walnut, kept in the browser from lesson 01."""
    name = "Walnut for a bass player"
    if not list(copies.glob("my_necks/*.json")):
        lab = lab_page.visit("01_neck_on_the_bench.ipynb")
        live = lab.page.locator(".tonewood-live").first
        above = live.locator(".tonewood-strip")
        above.get_by_role("button", name="Open or keep a neck").click()
        picture = lab.picture()
        live.get_by_label("Main wood").fill("black walnut")
        live.get_by_label("Main wood").press("Enter")
        lab.until(lambda: lab.picture() != picture, "the main wood changed nothing")
        above.get_by_role("textbox", name="Keep this neck as").fill(name)
        above.get_by_role("button", name="Keep", exact=True).click()
        above.get_by_text(f"Kept {name}").wait_for()
    return name


@pytest.fixture(scope="module")
def open_alone(only_lab):
    """open_alone(name) -> Page, for a file whose tests change JupyterLab's settings: after it the next begins
    with a new one."""
    yield only_lab.open
    only_lab.close()
