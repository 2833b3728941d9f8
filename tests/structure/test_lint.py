"""Style and types, by the tools' own verdict (settings in pyproject.toml)."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def run(*command):
    return subprocess.run([sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True,
                          timeout=600)


def test_ruff_finds_nothing():
    done = run("ruff", "check", "--output-format=concise", "lib", "tests")
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr


def test_mypy_finds_nothing():
    done = run("mypy")
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr


def test_a_fault_is_found(tmp_path):
    (tmp_path / "bad.py").write_text("import os\n" + "x = 1" + " " * 120 + "\n")
    assert (subprocess.run([sys.executable, "-m", "ruff", "check", "--config", str(ROOT / "pyproject.toml"),
                            str(tmp_path)], capture_output=True, timeout=60).returncode == 1)
