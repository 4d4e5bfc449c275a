"""A weak line between a browser and a ledger: slow, and cut in the middle of what it carries, by a seed."""

import random
import socket
import threading
import time
from contextlib import suppress

PIECE = 16 * 1024
# After so many bytes towards the ledger the line is cut, and stays cut for so long.
BYTES_BETWEEN = (10_000, 130_000)
GONE_S = (0.02, 0.4)


class WeakLine:
    """Carries TCP from `port` to *to_port*, `bytes_per_s` towards the ledger at most.

    `is_up` False: every connection is refused. `cut_times(n)`: the next n cuts come at random moments; at about
    every other one the ledger has heard all, and only its answer is lost, or half of it. `cuts` counts them.
    """

    def __init__(self, to_port: int, seed: int, *, bytes_per_s: int = 1_500_000) -> None:
        self.to_port, self.bytes_per_s = to_port, bytes_per_s
        self.random = random.Random(seed)
        self.cuts, self.lost_answers, self._left = 0, 0, 0
        self.is_up = True
        self._lock = threading.Lock()
        self._live: set[socket.socket] = set()
        self._until = 0.0
        self._next = self.random.randint(*BYTES_BETWEEN)
        self._carried = 0
        self._swallows = False
        self._ends = False
        self._listener = socket.create_server(("127.0.0.1", 0), backlog=64)
        self.port: int = self._listener.getsockname()[1]
        self._accepting = threading.Thread(target=self._accept, daemon=True)
        self._accepting.start()

    def cut_times(self, times: int) -> None:
        self._left = times

    def take_down(self) -> None:
        """No signal, until `is_up` is set again."""
        self.is_up = False
        self._drop_all()

    def close(self) -> None:
        self._ends = True
        # A listener that waits is woken by being shut, not by being closed.
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        self._drop_all()
        self._accepting.join(timeout=10)

    # --- inside ---

    def _accept(self) -> None:
        while not self._ends:
            try:
                near, _ = self._listener.accept()
            except OSError:
                return
            if not self.is_up or time.monotonic() < self._until:
                _reset(near)
                continue
            try:
                far = socket.create_connection(("127.0.0.1", self.to_port), timeout=5)
            except OSError:
                _reset(near)
                continue
            far.settimeout(None)
            with self._lock:
                self._live |= {near, far}
            for one, other, is_up in ((near, far, True), (far, near, False)):
                threading.Thread(target=self._carry, args=(one, other, is_up), daemon=True).start()

    def _carry(self, one: socket.socket, other: socket.socket, is_up: bool) -> None:
        with suppress(OSError):
            while data := one.recv(PIECE):
                if is_up:
                    time.sleep(len(data) / self.bytes_per_s)
                passes = self._passes(len(data), is_up)
                other.sendall(data[:passes])
                if passes < len(data):
                    self._drop_all()
                    break
        for end in (one, other):
            with self._lock:
                self._live.discard(end)
            _reset(end)

    def _passes(self, many: int, is_up: bool) -> int:
        """How many bytes of this piece arrive: all of them, or what came through before the line was cut."""
        with self._lock:
            if self._left <= 0 or self.cuts >= self._left:
                return many
            if self._swallows:
                if is_up:
                    return many
                self._swallows = False
                self.lost_answers += 1
            else:
                self._carried += many if is_up else 0
                if self._carried < self._next:
                    return many
                if self.random.random() < 0.5:
                    self._swallows = True
                    return many
            self.cuts += 1
            self._carried, self._next = 0, self.random.randint(*BYTES_BETWEEN)
            self._until = time.monotonic() + self.random.uniform(*GONE_S)
            return self.random.choice((0, self.random.randrange(many)))

    def _drop_all(self) -> None:
        with self._lock:
            dropped, self._live = self._live, set()
        for end in dropped:
            _reset(end)


def _reset(end: socket.socket) -> None:
    """End it as a lost line does, at both sides at once."""
    with suppress(OSError):
        end.shutdown(socket.SHUT_RDWR)
    end.close()
