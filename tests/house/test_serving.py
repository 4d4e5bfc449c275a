"""A slow sender does not hold up the others, and is not waited for without end."""

import contextlib
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from ledger import serving
from ledger.serving import TimedSocket, Waiting
from tests.running import ROOT, RunningLedger

HEAD = (
    b"POST /sign-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: ledger_csrf=" + b"a" * 32 + b"\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 100000\r\n\r\n"
)


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningLedger]:
    ledger = RunningLedger(tmp_path_factory.mktemp("served"))
    ledger.manage("migrate", "--verbosity", "0")
    ledger.manage("collectstatic", "--noinput", "--verbosity", "0")
    with ledger:
        yield ledger


def test_senders_who_trickle_do_not_keep_everybody_else_waiting(running: RunningLedger) -> None:
    """Twice as many as there are threads, each with a byte now and then of a form that never ends."""
    slow = [socket.create_connection(("127.0.0.1", running.port)) for _ in range(16)]
    over = threading.Event()

    def trickle() -> None:
        while not over.wait(0.3):
            for one in slow:
                with contextlib.suppress(OSError):
                    one.send(b"a")

    for one in slow:
        one.sendall(HEAD)
    sender = threading.Thread(target=trickle)
    sender.start()
    try:
        time.sleep(1)
        began = time.monotonic()
        with urllib.request.urlopen(f"{running.address}/sign-in/", timeout=60) as answer:
            assert answer.status == 200
        waited_s = time.monotonic() - began
    finally:
        over.set()
        sender.join()
        for one in slow:
            one.close()
    assert waited_s < serving.PATIENCE_S


def test_a_form_that_is_too_large_is_answered_in_words(running: RunningLedger) -> None:
    request = urllib.request.Request(
        f"{running.address}/sign-in/",
        data=b"username=" + b"a" * 3_000_000,
        headers={"Cookie": "ledger_csrf=" + "a" * 32, "Connection": "close"},
    )
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=30)
    assert refused.value.code == 413
    assert "That is more than fits in one go" in refused.value.read().decode()
    assert refused.value.headers["Content-Security-Policy"]


class Clock:
    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def pair() -> Iterator[tuple[socket.socket, socket.socket]]:
    here, there = socket.socketpair()
    with here, there:
        yield here, there


def test_a_request_may_take_longer_the_more_of_it_came(pair: Any) -> None:
    clock = Clock()
    timed = TimedSocket(pair[0], Waiting(4), clock)
    pair[1].send(b"a" * 10_000)
    assert len(timed.recv(10_000)) == 10_000
    clock.now = serving.PATIENCE_S + 4.9  # ten thousand bytes buy five seconds
    pair[1].send(b"b")
    assert timed.recv(10) == b"b"
    clock.now += 1
    pair[1].send(b"c")
    with pytest.raises(serving.NoMoreData):
        timed.recv(10)


def test_where_all_threads_wait_nobody_is_waited_for_long(pair: Any) -> None:
    clock = Clock()
    timed = TimedSocket(pair[0], Waiting(1), clock)
    clock.now = serving.PATIENCE_WHEN_FULL_S + 1
    with pytest.raises(serving.NoMoreData):
        timed.recv(10)  # it is the only thread, and waits


def test_the_next_request_of_a_connection_has_its_own_time(pair: Any) -> None:
    clock = Clock()
    timed = TimedSocket(pair[0], Waiting(4), clock)
    clock.now = 1000.0
    timed.begin()
    pair[1].send(b"a")
    assert timed.recv(10) == b"a"


def test_a_limit_of_whoever_reads_is_kept(pair: Any) -> None:
    pair[0].settimeout(0.1)
    with pytest.raises(TimeoutError):
        TimedSocket(pair[0], Waiting(4)).recv(10)


def test_gunicorn_takes_these_settings() -> None:
    from gunicorn.app.wsgiapp import WSGIApplication

    class Read(WSGIApplication):
        def init(self, parser: Any, opts: Any, args: Any) -> None:
            self.load_config_from_module_name_or_filename("python:ledger.serving")

        def load_config(self) -> None:
            self.init(None, None, None)

    read = Read("%(prog)s [OPTIONS]")
    assert read.cfg.worker_class is serving.PatientWorker
    assert (read.cfg.workers, read.cfg.threads) == (2, 4)
    assert read.cfg.post_fork is serving.post_fork


KEPT_MB = """
import sys, threading
import numpy as np
from ledger import serving
if "back" in sys.argv:
    serving.give_memory_back()
def work():
    for _ in range(3):
        large = [np.ones(3_000_000, np.float64) for _ in range(4)]
        small = [bytearray(900) for _ in range(1000)]
        del large
        kept.extend(small)
kept = []
threads = [threading.Thread(target=work) for _ in range(6)]
[one.start() for one in threads], [one.join() for one in threads]
print(int(open("/proc/self/statm").read().split()[1]) * 4096 // 1_000_000)
"""


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="told by Linux")
def test_a_worker_gives_back_what_photos_took() -> None:
    """Six threads that each held some 100 MB for a moment."""

    def kept_mb(*how: str) -> int:
        told = subprocess.run(
            [sys.executable, "-c", KEPT_MB, *how], cwd=ROOT, capture_output=True, text=True, check=True
        )
        return int(told.stdout)

    assert kept_mb("back") < 150
