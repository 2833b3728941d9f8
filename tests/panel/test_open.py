"""The command `tonewood`: finds lessons, works on copies that are never written over, serves this machine
alone, refuses in plain words."""

import hashlib
import json
import os
import shutil
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tonewood.panel import copies
from tonewood.panel.open import HOST, free_port, lab_server, main, page_server, serve

ROOT = Path(__file__).parents[2]


def digests(folder):
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.glob("*.ipynb")}


def test_lessons_are_listed_by_their_titles(capsys):
    assert main(["lessons"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line[:2] for line in lines] == [p.name[:2] for p in sorted((ROOT / "notebooks").glob("*.ipynb"))]
    assert "01 · The neck on the bench" in lines


@pytest.mark.parametrize("command, lacks", [("lab", "jupyterlab"), ("open", "voila"), ("page", "nbconvert")])
def test_the_library_alone_says_how_the_lessons_are_installed(command, lacks, monkeypatch, capsys, tmp_path):
    monkeypatch.setattr("tonewood.panel.open.find_spec", lambda name: None if name == lacks else name)
    monkeypatch.setattr("tonewood.panel.open.FOLDER", str(tmp_path / "copies"))
    assert main([command, "01"]) == 2 and main(["lessons"]) == 0
    assert f"{lacks} is not installed" in (told := capsys.readouterr().err) and "tonewood[lessons]" in told
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("given", ["1", "01", "01_neck_on_the_bench", "01_neck_on_the_bench.ipynb"])
def test_a_lesson_is_found_by_number_or_name(given):
    assert copies.lesson(given).name == "01_neck_on_the_bench.ipynb"


@pytest.mark.parametrize("given", ["77", "", "neck", "../01", "-1"])
def test_an_unknown_lesson_is_refused_with_those_there_are(given):
    with pytest.raises(ValueError, match="00, 01"):
        copies.lesson(given)


def test_refusals_are_plain_words_and_a_two(tmp_path, capsys):
    with socket.socket() as busy:
        busy.bind((HOST, 0))
        busy.listen()
        port = busy.getsockname()[1]
        assert main(["open", "01", "--folder", str(tmp_path), "--port", str(port), "--no-browser"]) == 2
        assert f"port {port} is busy" in capsys.readouterr().err
    assert main(["lab", "77", "--folder", str(tmp_path)]) == 2
    assert capsys.readouterr().err.startswith("tonewood: lesson '77'")
    assert main(["page", "01"]) == 2 and "--to" in capsys.readouterr().err
    assert main(["page", "01", "--to", str(tmp_path / "none" / "a.html")]) == 2
    assert "not written (there is no such folder" in capsys.readouterr().err
    assert digests(tmp_path) == {}
    for port in (-1, 70000):
        with pytest.raises(ValueError, match="1024 to 65535"):
            free_port(port)


def test_a_copy_is_made_once_and_a_new_edition_lies_beside_it(tmp_path):
    shipped, mine = tmp_path / "shipped", tmp_path / "mine"
    shipped.mkdir()
    path = shipped / "01_neck_on_the_bench.ipynb"
    shutil.copy(ROOT / "notebooks" / path.name, path)
    first, words = copies.own_copy(path, mine)
    assert first == mine / path.name and "your own" in words
    first.write_text("my own work")
    assert copies.own_copy(path, mine)[0] == first and first.read_text() == "my own work"
    book = json.loads(path.read_text(encoding="utf-8"))
    book["cells"][1]["source"].append("\nA new line.")
    path.write_text(json.dumps(book), encoding="utf-8")
    second, words = copies.own_copy(path, mine)
    assert second.name == "01_neck_on_the_bench_2.ipynb" and first.name in words
    assert "A new line." in second.read_text(encoding="utf-8") and first.read_text() == "my own work"
    assert copies.own_copy(path, mine)[0] == second
    second.unlink()
    assert copies.own_copy(path, mine)[0] == second


def test_the_lessons_as_shipped_are_not_taken_for_a_learners_folder(tmp_path):
    path = copies.lesson("01")
    before = digests(path.parent)
    with pytest.raises(ValueError, match="as shipped"):
        copies.own_copy(path, path.parent)
    (tmp_path / "file").write_text("")
    with pytest.raises(ValueError, match="--folder"):
        copies.own_copy(path, tmp_path / "file")
    (tmp_path / copies.REGISTER).write_text("{")
    with pytest.raises(ValueError, match="remove it"):
        copies.own_copy(path, tmp_path)
    assert digests(path.parent) == before


@pytest.mark.parametrize("number", copies.lessons())
def test_before_it_runs_a_copy_says_that_its_questions_wait(tmp_path, number):
    copy, _ = copies.own_copy(copies.lesson(number), tmp_path)
    cells = json.loads(copy.read_text(encoding="utf-8"))["cells"]
    outputs = [o for c in cells for o in c.get("outputs", [])]
    assert not any("widget-view" in kind for o in outputs for kind in o.get("data", {}))
    waiting = ["".join(o["data"]["text/html"]) for o in outputs
               if "waits until the page is run" in str(o.get("data", {}).get("text/html", ""))]
    if number == "12":          # the client's page asks nothing
        assert len(waiting) == 2
    else:
        assert len(waiting) >= 5 and any("Predict first:" in words for words in waiting)


def test_servers_answer_this_machine_alone(tmp_path):
    for command in (page_server(tmp_path / "a.ipynb", 8871), lab_server(tmp_path / "a.ipynb", 8871)):
        assert any(part.endswith(".ip=127.0.0.1") for part in command)
        secret, = (part.split("token=")[1] for part in command if "token=" in part)
        assert len(secret) >= 32


@pytest.mark.parametrize(("command", "where"), [("open", "/voila/render/"), ("lab", "/lab/tree/")])
def test_the_lessons_a_lesson_links_to_lie_beside_it(tmp_path, monkeypatch, command, where):
    asked = []
    monkeypatch.setattr("tonewood.panel.open.serve", lambda *given: asked.append(given) or 0)
    assert main([command, "00", "--folder", str(tmp_path), "--no-browser"]) == 0
    assert {p.name for p in copies.lessons().values()} == {p.name for p in tmp_path.glob("*.ipynb")}
    assert asked[0][2].startswith(where + "00_start_here.ipynb?token=")


# answers its own token alone, as the real servers do
SERVER = """
import sys
from http.server import BaseHTTPRequestHandler, HTTPServer
class Answer(BaseHTTPRequestHandler):
    def do_GET(self):
        self.send_response(200 if self.path.endswith(sys.argv[2]) else 302)
        self.end_headers()
    def log_message(self, *_): pass
HTTPServer.allow_reuse_address = False
HTTPServer(("127.0.0.1", int(sys.argv[1])), Answer).serve_forever()
"""


def test_two_lessons_opened_at_once_get_a_port_each(monkeypatch, capsys):
    """Another's server takes the port between our look and our server's start."""
    def command(port, secret):
        return [sys.executable, "-c", SERVER, str(port), secret]

    first = free_port()
    other = subprocess.Popen(command(first, "theirs"))
    tried = []
    monkeypatch.setattr("tonewood.panel.open.free_port", lambda wanted: first if not tried else free_port())
    monkeypatch.setattr(subprocess.Popen, "wait", lambda self, *_: self.kill() or 0)
    try:
        for _ in range(200):
            with socket.socket() as probe:
                if probe.connect_ex((HOST, first)) == 0:
                    break
            time.sleep(0.1)
        assert serve(lambda port: tried.append(port) or command(port, "ours"), None, "/lesson", "/a?ours",
                     False) == 0
    finally:
        other.kill()
    assert tried[0] == first and len(tried) == 2 and tried[1] != first
    assert f"Open at http://127.0.0.1:{tried[1]}/lesson" in capsys.readouterr().out


def test_a_server_that_ends_at_once_is_told():
    with pytest.raises(ValueError, match="ended before it answered"):
        serve(lambda port: [sys.executable, "-c", "raise SystemExit(1)"], None, "/", "/", False)


def test_the_command_runs_as_a_module_and_starts_fast():
    code = ("import sys; from tonewood.panel.open import main; main(['lessons'])\n"
            "print([m for m in ('numpy', 'matplotlib', 'ipywidgets', 'voila') if m in sys.modules])")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60,
                          check=True)
    assert "ipywidgets" not in done.stdout and "voila" not in done.stdout
    done = subprocess.run([sys.executable, "-m", "tonewood", "open", "77"], capture_output=True, text=True,
                          timeout=60, env=dict(os.environ))
    assert done.returncode == 2 and done.stderr.startswith("tonewood: lesson '77'")
