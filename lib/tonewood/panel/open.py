"""The command `tonewood`: opens a lesson as a page without code or in JupyterLab, lists lessons, writes one
out as a web page or PDF."""

from __future__ import annotations

import argparse
import http.client
import os
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.parse
import webbrowser
from collections.abc import Callable, Sequence
from importlib.util import find_spec
from pathlib import Path

from tonewood import files
from tonewood.panel import copies

HOST = "127.0.0.1"
FOLDER = "~/tonewood-lessons"
PORTS = range(8870, 8890)
NEEDED = {"lab": ("jupyterlab", "ipywidgets"), "open": ("voila", "ipywidgets"), "page": ("nbconvert",)}
"""What of the extra `lessons` a command cannot do without."""
_LAUNCH = (sys.executable, "-m", "tonewood.panel.launch")
_TEMPLATES = Path(__file__).parent / "voila" / "templates"


def free_port(wanted: int | None = None) -> int:
    """A port of this machine that nobody listens on: the one wanted, or the first free one of ours. Raises
    ValueError."""
    for port in (PORTS if wanted is None else (wanted,)):
        with socket.socket() as probe:
            if os.name == "posix":
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((HOST, port))
            except (OSError, OverflowError):
                continue
            return port
    if wanted is None:
        raise ValueError(f"ports {PORTS[0]} to {PORTS[-1]} are all busy; accepted: a free one, named with "
                         "--port")
    raise ValueError(f"port {wanted} is busy or not allowed: is a lesson still open in another window? "
                     "Accepted: a free port from 1024 to 65535; without --port one is chosen")


def page_server(copy: Path, port: int) -> list[str]:
    """The command that serves the learner's folder as pages without code, to this machine alone."""
    return [*_LAUNCH, "page", str(copy.parent), "--no-browser", f"--Voila.ip={HOST}",
            f"--port={port}", "--Voila.port_retries=0", "--template=tonewood", f"--Voila.token={_token()}",
            "--Voila.log_level=ERROR", *_encrypted(),
            # a page left for another lesson ends its Python after half an hour
            "--MappingKernelManager.cull_interval=60", "--MappingKernelManager.cull_idle_timeout=1800"]


def lab_server(copy: Path, port: int) -> list[str]:
    """The command that serves the learner's folder in JupyterLab, to this machine alone."""
    return [*_LAUNCH, "lab", "--no-browser", *_encrypted(), f"--ServerApp.ip={HOST}",
            f"--ServerApp.port={port}", "--ServerApp.port_retries=0",
            f"--ServerApp.root_dir={copy.parent}", "--ServerApp.log_level=ERROR", "--LabApp.log_level=ERROR",
            f"--IdentityProvider.token={_token()}",
            *(["--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else [])]


def _encrypted() -> list[str]:
    """The option by which server and kernels talk encrypted where both can (they say so at every start
    otherwise); other users of the machine cannot listen then."""
    import zmq
    return ["--KernelManager.transport_encryption=auto"] if zmq.has("curve") else []


_TOKEN: list[str] = []


def _token() -> str:
    """A secret of this run, so that other users of the machine cannot run code in the learner's name."""
    if not _TOKEN:
        _TOKEN.append(os.urandom(24).hex())
    return _TOKEN[0]


def _environment() -> dict[str, str]:
    """Where Voila finds our template, installed or not; and one thread, for the products of lessons are small
    (several get in each other's way)."""
    paths = [str(_TEMPLATES.parents[1]), *filter(None, [os.environ.get("JUPYTER_PATH")])]
    return {"OPENBLAS_NUM_THREADS": "1", **os.environ, "JUPYTER_PATH": os.pathsep.join(paths)}


def _listening(port: int) -> bool:
    with socket.socket() as probe:
        probe.settimeout(1)
        return probe.connect_ex((HOST, port)) == 0


def _answers(process: subprocess.Popen[bytes], port: int, secret: str, seconds: float = 90.0) -> bool:
    """Wait until the server answers as ours, which knows the secret: another's may have taken the port a
    moment before, and then ours ends. Raises ValueError after `seconds`."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if process.poll() is not None:
            return False
        asked = http.client.HTTPConnection(HOST, port, timeout=5)
        try:
            asked.request("GET", secret)
            if asked.getresponse().status == 200:
                return True
        except (OSError, http.client.HTTPException):
            pass
        finally:
            asked.close()
        time.sleep(0.1)
    raise ValueError("the server did not start; its own words stand above")


def serve(server: Callable[[int], Sequence[str]], wanted: int | None, path: str, secret: str,
          browser: bool) -> int:
    """Run a server until it ends or Ctrl+C is pressed; print the address once it answers, and open it.

    server: its command, for a port; wanted: that port, or None for a free one of ours; path: where the lesson
    lies on it; secret: an address on it that only those who know our token may see. Raises ValueError.
    """
    for name in ("SIGTERM", "SIGHUP"):                  # a closed window ends the lesson too
        if hasattr(signal, name) and threading.current_thread() is threading.main_thread():
            signal.signal(getattr(signal, name), signal.default_int_handler)
    for _ in PORTS:
        port = free_port(wanted)
        process = subprocess.Popen(server(port), env=_environment())
        try:
            if not _answers(process, port, secret):
                if _listening(port):
                    continue                            # somebody else was quicker: the next port
                raise ValueError("the server ended before it answered; its own words stand above")
            address = f"http://{HOST}:{port}{path}"
            print(f"Open at {address}\nLeave this window open; Ctrl+C here ends the lesson.", flush=True)
            if browser:
                threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
            return process.wait()
        except KeyboardInterrupt:
            return 0
        finally:
            process.terminate()
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                process.kill()
    raise ValueError(f"ports {PORTS[0]} to {PORTS[-1]} were taken one after the other; accepted: a free one, "
                     "named with --port")


def _show(given: argparse.Namespace) -> int:
    path = copies.lesson(given.lesson)
    free_port(given.port)                               # a busy one is refused before anything is written
    copy, words = copies.own_copy(path, given.folder)
    for other in copies.lessons().values():             # the lessons link to one another
        copies.own_copy(other, given.folder)
    print(f"{copies.title(path)}\n{copy}\n{words}", flush=True)
    server, where, secret = (lab_server, "/lab/tree", "/api/status") if given.command == "lab" else \
        (page_server, "/voila/render", "/voila/tree")
    return serve(lambda port: server(copy, port), given.port,
                 f"{where}/{urllib.parse.quote(copy.name)}?token={_token()}", f"{secret}?token={_token()}",
                 given.browser)


def _list(given: argparse.Namespace) -> int:
    for path in copies.lessons().values():
        print(copies.title(path))
    return 0


def _page(given: argparse.Namespace) -> int:
    from tonewood.panel.export import to_html, to_pdf
    path = Path(given.lesson) if given.lesson.endswith(".ipynb") and Path(given.lesson).is_file() else \
        copies.lesson(given.lesson)
    if not (given.to or given.pdf):
        raise ValueError("no file named; accepted: --to FILE.html, --pdf FILE.pdf, or both")
    if given.to:
        files.write(given.to, to_html(path), keep=False)
        print(f"Written: {given.to}")
    if given.pdf:
        to_pdf(path, given.pdf)
        print(f"Written: {given.pdf}")
    return 0


def parser() -> argparse.ArgumentParser:
    """The words that the command understands."""
    made = argparse.ArgumentParser(prog="tonewood", description="Lessons on the mechanics of guitar necks.")
    todo = made.add_subparsers(dest="command", required=True, metavar="COMMAND")
    todo.add_parser("lessons", help="list the lessons").set_defaults(act=_list)
    for name, words in (("open", "open a lesson as a page without code"),
                        ("lab", "open a lesson in JupyterLab")):
        one = todo.add_parser(name, help=words, description=f"{words.capitalize()}, on a copy of your own.")
        one.add_argument("lesson", help="its number, as 01")
        one.add_argument("--folder", default=FOLDER, help=f"where your own copies lie (otherwise {FOLDER})")
        one.add_argument("--port", type=int, help="port on this machine (otherwise a free one)")
        one.add_argument("--no-browser", dest="browser", action="store_false", help="only print the address")
        one.set_defaults(act=_show)
    page = todo.add_parser("page", help="write a lesson to a web page or PDF, without code")
    page.add_argument("lesson", help="its number, as 01, or a notebook of your own")
    page.add_argument("--to", metavar="FILE.html", help="the web page to write")
    page.add_argument("--pdf", metavar="FILE.pdf", help="the PDF to write (needs Chromium or Chrome)")
    page.set_defaults(act=_page)
    return made


def _installed(command: str) -> None:
    """Raises ValueError where the library was installed without the lessons."""
    missing = [name for name in NEEDED.get(command, ()) if find_spec(name) is None]
    if missing:
        raise ValueError(f"{missing[0]} is not installed, the library alone is; for the lessons install "
                         "tonewood[lessons], in the project's folder: pip install -e .[lessons]")


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line asks. Returns 0, or 2 after a refusal in plain words."""
    given = parser().parse_args(arguments)
    try:
        _installed(given.command)
        return int(given.act(given))
    except (ValueError, FileNotFoundError) as error:
        print(f"tonewood: {error}", file=sys.stderr)
        return 2
