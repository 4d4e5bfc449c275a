"""Ends a process at a statement that was drawn: killed, as by a power cut, just before that statement or just after it."""

import os
import signal
import threading
from collections.abc import Callable
from typing import Any


class Fate:
    """Counts statements and commits of all threads of a process. `last_word` is called just before its end."""

    def __init__(
        self, dies_at: int | None, *, before: bool, last_word: Callable[[], None] = lambda: None
    ) -> None:
        self.left, self.before, self._last_word = dies_at, before, last_word
        self._lock = threading.Lock()

    def hasten(self, within: int) -> None:
        """Little is left to do: let it be met sooner."""
        with self._lock:
            if self.left is not None:
                self.left = min(self.left, within) if self.left > 0 else self.left

    def _is_met(self) -> bool:
        with self._lock:
            if self.left is None:
                return False
            self.left -= 1
            return self.left == 0

    def around(self, act: Callable[[], Any]) -> Any:
        is_met = self._is_met()
        if is_met and self.before:
            self._end()
        done = act()
        if is_met:
            self._end()
        return done

    def _end(self) -> None:
        self._last_word()
        os.kill(os.getpid(), signal.SIGKILL)

    def watch(self, connection: Any) -> None:
        """Count what goes over this connection of Django, from now on."""
        if getattr(connection, "watched_by_fate", None) is self:
            return
        connection.watched_by_fate = self
        commit = connection.commit

        def statement(execute: Any, *given: Any) -> Any:
            return self.around(lambda: execute(*given))

        connection.commit = lambda: self.around(commit)
        connection.execute_wrappers.append(statement)
