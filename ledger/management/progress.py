"""How long work tells how far it is: a line now and then, never a flood in a log."""

import time
from typing import Any

SECONDS_BETWEEN = 5.0


class Progress:
    """Call it with a line; it is written if the last was five seconds ago."""

    def __init__(self, out: Any, between_s: float = SECONDS_BETWEEN) -> None:
        self._out, self._between_s, self._last = out, between_s, time.monotonic()

    def __call__(self, line: str) -> None:
        now = time.monotonic()
        if now - self._last >= self._between_s:
            self._out.write(line)
            self._last = now
