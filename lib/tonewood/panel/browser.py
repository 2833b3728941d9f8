"""A web page as a PDF or a picture, made by the Chromium of this machine."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path


def chromium() -> str | None:
    """The Chromium or Chrome of this machine (named in CHROMIUM, or found), or None."""
    names = ("chromium", "chromium-browser", "google-chrome", "chrome",
             "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome")
    return os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, names)), None)


def _browsed(html: str, made: str, *orders: str) -> bytes:
    """What the browser of this machine makes of a page: `made` is what it is called in a refusal, orders:
    its command line, with {out} for the file it writes. Raises ValueError where there is no browser or it
    writes nothing."""
    browser = chromium()
    if not browser:
        raise ValueError(f"{made}: no Chromium or Chrome found; install one, name it in CHROMIUM, or write a "
                         "web page (--to on the command line) and print it from your browser")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        page, out = Path(folder) / "page.html", Path(folder) / f"out.{made.lower()}"
        page.write_text(html, encoding="utf-8")
        root = hasattr(os, "geteuid") and os.geteuid() == 0         # a root user has no sandbox
        try:
            subprocess.run([browser, "--headless", "--disable-gpu", *(["--no-sandbox"] if root else []),
                            "--no-first-run", "--disable-background-networking", "--hide-scrollbars",
                            f"--user-data-dir={folder}/profile", *(o.format(out=out) for o in orders),
                            page.as_uri()], capture_output=True, timeout=120, check=False)
        except (OSError, subprocess.TimeoutExpired) as problem:
            raise ValueError(f"{made}: {browser} did not answer ({problem}); write a web page and print that"
                             ) from None
        if not out.is_file():
            raise ValueError(f"{made}: {browser} wrote nothing; write a web page and print that")
        return out.read_bytes()


def printed(html: str) -> bytes:
    """A web page as a PDF, printed by the browser of this machine, which embeds the fonts and tags headings,
    tables and pictures with their words. Raises ValueError where there is no browser or it prints nothing."""
    return _browsed(html, "PDF", "--no-pdf-header-footer", "--print-to-pdf={out}")


def pictured(html: str, width: int, height: int, density: float = 2.0) -> bytes:
    """A web page as a PNG of width × height pixels of the page, times the density, by the browser of this
    machine. Raises ValueError where there is no browser or it draws nothing."""
    return _browsed(html, "PNG", f"--window-size={width},{height}", f"--force-device-scale-factor={density}",
                    "--screenshot={out}")
