"""Starts JupyterLab or Voila without the warnings of their parts to each other:
`python -m tonewood.panel.launch lab` or `page`, then the options of that server."""

from __future__ import annotations

import sys
import warnings

_PATIENCE = 90_000      # ms between two signs of life, and until a browser without one is given up


def main(which: str, options: list[str]) -> None:
    """Run the server "lab" or "page" until it ends."""
    with warnings.catch_warnings():     # Voila, loaded by JupyterLab too, turns on what Python leaves off
        import voila.app
    from jupyterlab.labapp import LabApp
    {"lab": LabApp, "page": voila.app.Voila}[which].launch_instance(
        options, tornado_settings={"ws_ping_interval": _PATIENCE, "ws_ping_timeout": _PATIENCE})


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
