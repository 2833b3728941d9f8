"""What a learner has committed to, kept for the session."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas


class Record(list):
    """What the learner has committed to in this session: rows of question, guess, outcome, seconds since the
    record began."""

    def __init__(self) -> None:
        super().__init__()
        self._start = time.monotonic()

    def add(self, question: str, guess: Any, outcome: str) -> None:
        """Append one row."""
        self.append({"question": question, "guess": guess, "outcome": outcome,
                     "seconds": time.monotonic() - self._start})

    def table(self) -> pandas.DataFrame:
        """The rows as a DataFrame."""
        import pandas
        return pandas.DataFrame(list(self), columns=["question", "guess", "outcome", "seconds"])


record = Record()      # the session's own record; pass another one to `predict` to keep records apart
