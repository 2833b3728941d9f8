"""A plain sentence where a cell is run before the one it waits for, or after a restart."""

from __future__ import annotations

import sys
from typing import Any


def sentence(name: str) -> str:
    """What is said when `name`, made further up, is not there."""
    return (f"This part waits for one above it (“{name}” is not there yet, or the page was started anew). "
            "Choose Run › Run All Cells in the menu, then scroll back up to here.")


def _told(shell: Any, kind: type[BaseException], error: BaseException, trace: Any,
          tb_offset: int | None = None) -> None:
    from IPython.display import display

    from tonewood.panel.page import Shown
    words = sentence(getattr(error, "name", None) or str(error))
    display(Shown(f"<p role='status'><strong>{words}</strong></p>", words))


def say_what_waits() -> None:
    """In a notebook: a name that is not there is met with `sentence` in place of a traceback. The cell still
    counts as failed. Elsewhere nothing happens."""
    shell = sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None
    if hasattr(shell, "kernel"):
        shell.set_custom_exc((NameError,), _told)
