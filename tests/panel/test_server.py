"""The installed package makes a notebook server, started without any option, deliver small messages at
once."""

import json
import os
import re
import socket
import subprocess
import sys
from pathlib import Path

# A real server from the installed environment's own settings, a real kernel, a real websocket; then the
# option of the server's socket.
SERVER = """
import json, socket, sys
from jupyter_server.serverapp import ServerApp
from tornado.websocket import websocket_connect
from tonewood.panel.server import PromptConnection

made = []
first = PromptConnection.__init__
PromptConnection.__init__ = lambda self, *args, **kwargs: (made.append(self), first(self, *args, **kwargs))[1]
app = ServerApp()
app.initialize(["--no-browser", "--allow-root", "--ServerApp.ip=127.0.0.1", "--ServerApp.port=" + sys.argv[2],
                "--ServerApp.port_retries=0", "--IdentityProvider.token=",
                "--ServerApp.root_dir=" + sys.argv[1]])

async def client():
    told = {}
    try:
        told["class"] = app.web_app.settings["kernel_websocket_connection_class"].__name__
        kernel = await app.kernel_manager.start_kernel()
        address = f"ws://127.0.0.1:{sys.argv[2]}/api/kernels/{kernel}/channels"
        page = await websocket_connect(address, connect_timeout=30)
        handler = made[0].websocket_handler
        connected = handler.ws_connection.stream.socket
        told["nodelay"] = connected.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)
        page.close()
        await app.kernel_manager.shutdown_kernel(kernel, now=True)
    finally:
        print("TOLD" + json.dumps(told), flush=True)
        app.stop()

app.io_loop.add_callback(client)
app.start()
"""


SHIPPED = Path(__file__).parents[2] / "lib" / "server-config" / "lab-settings.json"
SHORTCUTS = "@jupyterlab/shortcuts-extension:shortcuts"
NOTICES = "@jupyterlab/apputils-extension:notification"


def commands_by_letter():
    """(command, keys, selector) of all commands that the installed JupyterLab gives to plain letters and
    digits where a notebook has the focus."""
    from jupyterlab.commands import get_app_dir
    schemas = [json.loads(f.read_text(encoding="utf-8"))
               for f in Path(get_app_dir(), "schemas", "@jupyterlab").glob("*/*.json")]
    for item in (i for schema in schemas for i in schema.get("jupyter.lab.shortcuts", [])):
        plain = all(re.fullmatch(r"(Shift )?[A-Z0-9]", key) for key in item["keys"])
        if item["keys"] and plain and re.search("jp-Notebook|jp-kernel-user", item["selector"]):
            yield item["command"], *item["keys"], item["selector"]


def test_shipped_lab_settings_switch_off_every_letter_of_the_installed_lab():
    shipped = json.loads(SHIPPED.read_text())
    off = {(i["command"], *i["keys"], i["selector"])
           for i in shipped[SHORTCUTS]["shortcuts"] if i["disabled"]}
    found = set(commands_by_letter())
    assert len(found) > 20 and found <= off, found - off
    assert shipped[NOTICES]["fetchNews"] == "false"


def test_installation_lays_the_lab_settings_down_where_lab_looks():
    """Read as the server reads them; from the installed file, an editable install included."""
    from jupyter_server.services.config.manager import ConfigManager
    found = ConfigManager(config_dir_name="labconfig").get("default_setting_overrides")
    shipped = json.loads(SHIPPED.read_text())
    laid_down = {key: found.get(key) for key in shipped}
    assert laid_down == shipped, "install the package again: pip install -e ."


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def test_server_takes_the_setting_and_the_socket_has_it(tmp_path):
    environment = {**os.environ, "JUPYTER_CONFIG_DIR": str(tmp_path / "config"),
                   "JUPYTER_RUNTIME_DIR": str(tmp_path / "run"),
                   "JUPYTER_DATA_DIR": str(tmp_path / "data"), "IPYTHONDIR": str(tmp_path / "ipython"),
                   "PYTHONWARNINGS": "ignore"}
    done = subprocess.run([sys.executable, "-c", SERVER, str(tmp_path), str(free_port())], env=environment,
                          cwd=tmp_path, capture_output=True, text=True, timeout=120)
    told = [line for line in done.stdout.splitlines() if line.startswith("TOLD")]
    assert told, f"the server did not get as far as a kernel:\n{done.stdout[-2000:]}\n{done.stderr[-4000:]}"
    assert json.loads(told[0][4:]) == {"class": "PromptConnection", "nodelay": 1}, done.stderr[-2000:]


def test_the_module_named_in_the_setting_imports_nothing_heavy():
    heavy = ("numpy", "matplotlib", "ipywidgets", "pandas", "scipy", "IPython")
    code = f"import sys, tonewood.panel.server; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60,
                          check=True)
    assert done.stdout.strip() == "[]"


def test_loading_the_lessons_changes_nothing_in_the_process():
    code = ("import os; before = dict(os.environ)\n"
            "import tonewood.panel.server, tonewood.panel.live_figure, tonewood.lesson.shared.design_strip\n"
            "print(dict(os.environ) == before)")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60,
                          check=True)
    assert done.stdout.strip() == "True"
