"""How gunicorn serves the ledger: `gunicorn -c python:ledger.serving ledger.wsgi`.

A worker has few threads, and one that waits for a slow body answers nobody else. So nobody is waited for without end: a
request must arrive within a time that grows with what came of it, and where every thread of a worker is waiting, within
much less. A phone with a weak signal that is cut off goes on from where it was; a buffering proxy (README.md) is better
still, as it waits in our place.
"""

import contextlib
import ctypes
import select
import socket
import struct
import threading
import time
from collections.abc import Callable
from typing import Any

from gunicorn import util
from gunicorn.http.errors import NoMoreData
from gunicorn.workers.gthread import TConn, ThreadWorker

# Names that gunicorn reads as its settings.
workers = 2
threads = 4
loglevel = "warning"
worker_class = "ledger.serving.PatientWorker"

# Seconds that a request may take to arrive, and bytes for each of which it gets more time. Two kilobytes a second is a
# tenth of the slowest line on which photos were seen to come through (our judgement).
PATIENCE_S, LEAST_BYTES_PER_S = 20.0, 2_000
# The same where all threads of the worker wait for somebody's bytes.
PATIENCE_WHEN_FULL_S, LEAST_BYTES_PER_S_WHEN_FULL = 4.0, 20_000
# How long an answer may stand without a byte of it being taken.
ANSWER_TAKEN_WITHIN_S = 30
# How long the other side may take to hang up after its answer.
CLOSED_WITHIN_S = 0.5
# M_MMAP_THRESHOLD of mallopt(3), and what counts as large.
_MMAP_THRESHOLD, _LARGE_BYTES = -3, 1 << 20
# How often a thread that waits looks whether the others wait as well.
_LOOK_EVERY_S = 0.5


class Waiting:
    """How many threads of this worker wait for bytes."""

    def __init__(self, threads: int) -> None:
        self._threads, self._many, self._lock = threads, 0, threading.Lock()

    def __enter__(self) -> None:
        with self._lock:
            self._many += 1

    def __exit__(self, *_: object) -> None:
        with self._lock:
            self._many -= 1

    @property
    def is_full(self) -> bool:
        return self._many >= self._threads


class TimedSocket:
    """The reading side of a connection. `recv` ends with NoMoreData, as if the other side had gone, where it is too slow."""

    def __init__(
        self, sock: socket.socket, waiting: Waiting, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._sock, self._waiting, self._clock = sock, waiting, clock
        self.begin()

    def begin(self) -> None:
        """Another request begins."""
        self._began, self._received, self.was_cut_off = self._clock(), 0, False

    def recv(self, size: int) -> bytes:
        # Set by whoever drains what was left of a body; a wait beyond it is theirs to handle.
        limit = self._sock.gettimeout()
        until = None if limit is None else self._clock() + limit
        poll = select.poll()
        poll.register(self._sock, select.POLLIN)
        with self._waiting:
            while not poll.poll(1000 * _LOOK_EVERY_S):
                if until is not None and self._clock() >= until:
                    raise TimeoutError
                self._refuse_the_slow()
            # Bytes that come one by one keep each wait short and the request long.
            self._refuse_the_slow()
        data = self._sock.recv(size)
        self._received += len(data)
        return data

    def _refuse_the_slow(self) -> None:
        patience_s = PATIENCE_S + self._received / LEAST_BYTES_PER_S
        if self._waiting.is_full:
            patience_s = PATIENCE_WHEN_FULL_S + self._received / LEAST_BYTES_PER_S_WHEN_FULL
        if self._clock() - self._began > patience_s:
            self.was_cut_off = True
            raise NoMoreData

    def gettimeout(self) -> float | None:
        return self._sock.gettimeout()

    def settimeout(self, seconds: float | None) -> None:
        self._sock.settimeout(seconds)


class PatientWorker(ThreadWorker):  # type: ignore[misc]
    """Gunicorn's worker with threads, whose connections are read by the clock."""

    def __init__(self, *arguments: Any, **named: Any) -> None:
        super().__init__(*arguments, **named)
        self._waiting = Waiting(self.cfg.threads)

    def handle(self, conn: TConn) -> Any:
        if conn.initialized:
            conn.parser.unreader.sock.begin()
        else:
            begun = conn.init

            def init() -> None:
                was_initialized = conn.initialized
                begun()
                if not was_initialized:
                    self._watch(conn)

            conn.init = init
        goes_on = super().handle(conn)
        if goes_on is False:
            self._end(conn)
        return goes_on

    def _end(self, conn: TConn) -> None:
        """Close it here. Gunicorn does so where connections are taken in, and would wait there for who does not hang up."""
        was_cut_off = conn.parser is not None and conn.parser.unreader.sock.was_cut_off
        util.close_graceful(conn.sock, timeout=0 if was_cut_off else CLOSED_WITHIN_S)
        conn.close = lambda graceful=False: None

    def _watch(self, conn: TConn) -> None:
        seconds = struct.pack("ll", ANSWER_TAKEN_WITHIN_S, 0)
        conn.sock.setsockopt(socket.SOL_SOCKET, socket.SO_SNDTIMEO, seconds)
        conn.parser.unreader.sock = TimedSocket(conn.sock, self._waiting)


def post_fork(server: Any, worker: Any) -> None:
    """Gunicorn calls this in each new worker."""
    give_memory_back()


def give_memory_back() -> None:
    """Have the C library give large pieces back to the system when they are freed. By itself it learns to keep pieces of
    up to 32 MB, thread by thread: after photos and patches of pores a worker stood at twice what it needed."""
    with contextlib.suppress(OSError, AttributeError):  # another C library than glibc
        ctypes.CDLL(None).mallopt(_MMAP_THRESHOLD, _LARGE_BYTES)
