"""What a lesson asks of the notebook it runs in: a plain sentence where a cell is run before the one it waits
for, or after a restart; and less looking for rings of forgotten things."""

from __future__ import annotations

import gc
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


def _notebook() -> Any:
    """The shell of a notebook's kernel; None elsewhere, where importing a lesson changes nothing."""
    shell = sys.modules["IPython"].get_ipython() if "IPython" in sys.modules else None
    return shell if hasattr(shell, "kernel") else None


def collect_seldom() -> None:
    """In a notebook: look less often for rings of forgotten things. A lesson makes hundreds of thousands of
    objects that stay, and looking through them took up to 0.7 s of running it all."""
    if _notebook():
        gc.set_threshold(20_000, 10, 20)


def say_what_waits() -> None:
    """In a notebook: a name that is not there is met with `sentence` in place of a traceback. The cell still
    counts as failed."""
    if shell := _notebook():
        shell.set_custom_exc((NameError,), _told)
