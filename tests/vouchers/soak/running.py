"""Starts what the soak is made of and keeps it going: gunicorn and shells that are killed, people before browsers."""

import json
import os
import random
import signal
import socket
import subprocess
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from uuid import uuid4

ROOT = Path(__file__).resolve().parents[3]
SHELL_WAY, WEB_WAY, CHROMIUM_WAY = WAYS = ("shell", "web", "chromium")
_COMMAND = {
    SHELL_WAY: [
        *(sys.executable, "manage.py", "shell", "-v0", "-c"),
        "from tests.vouchers.soak.shell_writer import main; main()",
    ],
    WEB_WAY: [sys.executable, "-m", "tests.vouchers.soak.web_writer"],
    CHROMIUM_WAY: [sys.executable, "-m", "tests.vouchers.soak.chromium"],
}
# What stands in the log of gunicorn where a page failed, or a worker; that the database was busy is no failure.
_FAILED = ("Internal Server Error", "Exception in worker", "Error handling request", "WORKER TIMEOUT")


@dataclass(frozen=True)
class Size:
    """`served_kills`, `shell_kills`: at how many statements a worker of gunicorn and a shell are killed."""

    vouchers: int
    by_chromium: int
    boxes: int
    people: int
    shells: int
    in_a_shell: int
    served_kills: int
    shell_kills: int


@dataclass
class Ends:
    """What came of it. `done`: steps taken, by way; `papers`: PDFs that reached a person before a browser, by number."""

    shell_killed: int = 0
    served_killed: int = 0
    errors: list[str] = field(default_factory=list)
    done: dict[str, Counter[str]] = field(default_factory=dict)
    told: Counter[str] = field(default_factory=Counter)
    papers: Counter[str] = field(default_factory=Counter)
    took_s: float = 0

    def __str__(self) -> str:
        vain = sum(self.told.values()) - self.told["cut off"] - self.told["busy"]
        steps = "; ".join(f"{way} {sum(done.values())} steps {dict(done)}" for way, done in self.done.items())
        return (
            f"{self.took_s:.0f} s; {self.served_killed} workers and {self.shell_killed} shells killed; {steps}; "
            f"{self.told['cut off']} answers cut off, {vain} refused as somebody else had been there, "
            f"{self.told['busy']} times busy. {self.errors or ''}"
        )


class Served:
    """The ledger under gunicorn, with its own settings, on a free port."""

    def __init__(self, folder: Path, asked: dict[str, Any]) -> None:
        self.folder = folder
        (folder / "asked.json").write_text(json.dumps(asked))
        self._door = socket.create_server(("127.0.0.1", 0), backlog=200)
        self.port = self._door.getsockname()[1]
        self._log = (folder / "gunicorn.log").open("w")
        command = [sys.executable, "-m", "gunicorn", "-c", "python:ledger.serving", "--preload"]
        command += ["--bind", f"fd://{self._door.fileno()}", "tests.vouchers.soak.served:application"]
        self._process = subprocess.Popen(
            command,
            cwd=ROOT,
            env=_environment() | {"SOAK": str(folder)},
            pass_fds=[self._door.fileno()],
            stdout=self._log,
            stderr=subprocess.STDOUT,
        )

    @property
    def killed(self) -> int:
        return len(list(self.folder.glob("met-*")))

    @property
    def log(self) -> str:
        return (self.folder / "gunicorn.log").read_text()

    @property
    def is_up(self) -> bool:
        return self._process.poll() is None

    def hurry(self) -> None:
        """The people are through, and kills are left."""
        (self.folder / "hurry").touch()

    def stop(self) -> None:
        self._process.send_signal(signal.SIGTERM)
        try:
            self._process.wait(60)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._log.close()
        self._door.close()


def drawn_fate(drawn: random.Random, reach: list[int]) -> dict[str, Any]:
    """Also at the first statements: what a process does when it starts is done by many at once."""
    return {"dies_at": drawn.randrange(1, drawn.choice(reach)), "before": drawn.random() < 0.5}


def run(size: Size, seed: int, folder: Path, asked: dict[str, Any]) -> Ends:
    """Keep all going, a shell that was killed with another in its place, until all kills are spent and all is done."""
    drawn = random.Random(seed)
    ends, began = Ends(), time.monotonic()
    # A find takes some 800 statements by the pages; a worker dies while there is still much to do.
    fates = [drawn_fate(drawn, [60, 600, 25 * size.vouchers]) for _ in range(size.served_kills)]
    served = Served(folder, {"database": asked["database"], "fates": fates})
    asked = asked | {"port": served.port, "folder": str(folder)}
    keepers = asked["people"][SHELL_WAY]
    shells = [keepers[n :: size.shells] for n in range(size.shells)]
    reach = [40, 400, 25 * size.vouchers]
    running: dict[subprocess.Popen[str], tuple[str, Any, bool]] = {}
    try:
        _start_people(running, WEB_WAY, asked, drawn)
        _start_people(running, CHROMIUM_WAY, asked, drawn)
        for these in shells:
            _start_shell(running, asked | {"people": these}, drawn, reach, size, ends)
        while running:
            process = next((one for one in running if one.poll() is not None), None)
            if process is None:
                if not served.is_up:
                    ends.errors.append(f"gunicorn is gone: {served.log[-3000:]}")
                    break
                time.sleep(0.02)
                continue
            way, these, is_armed = running.pop(process)
            out, error = (_said_by(process, folder, what).read_text() for what in ("out", "error"))
            if process.returncode == -signal.SIGKILL and way == SHELL_WAY:
                ends.shell_killed += 1
                _start_shell(running, asked | {"people": these}, drawn, reach, size, ends)
            elif process.returncode != 0:
                ends.errors.append(f"{way} ended with {process.returncode}: {error[-4000:]}")
                break
            else:
                _note(ends, way, json.loads(out.splitlines()[-1]))
                if way == SHELL_WAY and is_armed:
                    reach = [40, 400]  # it came to its end before the statement that was drawn
                    _start_shell(running, asked | {"people": these}, drawn, reach, size, ends)
                elif way == WEB_WAY and served.killed < size.served_kills:
                    served.hurry()
                    _start_people(running, WEB_WAY, asked, drawn)
    finally:
        for process in running:
            process.kill()
            process.wait()
        served.stop()
    ends.served_killed = served.killed
    ends.took_s = time.monotonic() - began
    ends.errors += [line for line in served.log.splitlines() if any(words in line for words in _FAILED)]
    return ends


def _start_people(running: dict[Any, Any], way: str, asked: dict[str, Any], drawn: random.Random) -> None:
    _start(running, way, asked | {"people": asked["people"][way], "order": drawn.randrange(10**9)})


def _start_shell(
    running: dict[Any, Any],
    asked: dict[str, Any],
    drawn: random.Random,
    reach: list[int],
    size: Size,
    ends: Ends,
) -> None:
    armed = sum(is_armed for _, _, is_armed in running.values())
    is_armed = ends.shell_killed + armed < size.shell_kills
    fate = drawn_fate(drawn, reach) if is_armed else {"dies_at": None, "before": True}
    _start(running, SHELL_WAY, asked | fate | {"order": drawn.randrange(10**9)}, is_armed=is_armed)


def _start(running: dict[Any, Any], way: str, asked: dict[str, Any], *, is_armed: bool = False) -> None:
    folder, new = Path(asked["folder"]), uuid4().hex
    # To files: one that has much to say would wait for ever for a pipe to be read.
    with (folder / f"{new}.out").open("w") as out, (folder / f"{new}.error").open("w") as error:
        process = subprocess.Popen(
            _COMMAND[way],
            stdin=subprocess.PIPE,
            stdout=out,
            stderr=error,
            text=True,
            cwd=ROOT,
            env=_environment(),
        )
    for what in ("out", "error"):
        (folder / f"{new}.{what}").rename(_said_by(process, folder, what))
    assert process.stdin is not None
    process.stdin.write(json.dumps(asked))
    process.stdin.close()
    process.stdin = None
    running[process] = (way, asked["people"], is_armed)


def _said_by(process: subprocess.Popen[str], folder: Path, what: str) -> Path:
    return folder / f"{process.pid}.{what}"


def _note(ends: Ends, way: str, came: dict[str, Any]) -> None:
    ends.done.setdefault(way, Counter()).update(came["done"])
    ends.told.update(came["told"])
    ends.papers.update(came.get("papers", {}))


def _environment() -> dict[str, str]:
    return os.environ | {"PYTHONPATH": str(ROOT), "DJANGO_SETTINGS_MODULE": "ledger.settings"}
