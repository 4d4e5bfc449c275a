"""Makes backups that are killed at given points: each in a process of its own, forked from this one.

`python -m tests.ledger.backup.killed_child PLACE POINT...` prints a line of JSON for each. A point is the number of the
call, among those by which a backup changes the disk (write, fsync, rename, making and syncing folders), before or in the
middle of which the process dies, at the latest before the backup is given its name: a run has a few calls more or less
than another. Point 0 is never reached: it tells how many there are. Point -1 is the call after the name was given.
"""

import io
import json
import os
import signal
import sys
from pathlib import Path
from typing import Any

import django

django.setup()

from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connections  # noqa: E402

from ledger.backup import places  # noqa: E402


class Point:
    """Counts the calls, and dies at one of them."""

    def __init__(self, dies_at: int, log: Path) -> None:
        self.dies_at, self.now, self._log = dies_at, 0, log
        self.named_at = 0  # when the backup is given its name: from then on it is there, whole

    def reached(self, what: str) -> bool:
        self.now += 1
        if what.startswith("replace") and "bracket-ledger-" in what:
            self.named_at = self.now
        self._log.write_text(json.dumps([self.now, what, self.named_at]))
        if self.dies_at < 0:
            return 0 < self.named_at < self.now
        return self.now == self.dies_at or (self.dies_at > 0 and self.named_at == self.now)

    def die(self) -> None:
        os.kill(os.getpid(), signal.SIGKILL)


def arm(point: Point) -> None:
    class Raw(io.FileIO):
        def write(self, data: Any, /) -> int:
            if point.reached(f"write {Path(str(self.name)).name}"):
                super().write(bytes(data)[: len(data) // 2])  # half of it, as a cut of the power would
                point.die()
            return super().write(data)

    def opened(path: Path) -> Any:
        if point.reached(f"open {path.name}"):
            point.die()
        # A small buffer, so that there are many points.
        return io.BufferedWriter(Raw(path, "w"), buffer_size=512)

    def before(where: Any, name: str) -> None:
        real = getattr(where, name)

        def called(*args: Any, **kwargs: Any) -> Any:
            if point.reached(f"{name} {args[0]}"):
                point.die()
            return real(*args, **kwargs)

        setattr(where, name, called)

    places.open_new = opened
    before(os, "fsync")
    before(Path, "replace")
    before(Path, "unlink")
    before(places, "sync_folder")


def killed(place: Path, number: int) -> dict[str, Any]:
    log = place.parent / "point.json"
    child = os.fork()
    if child == 0:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        settings.BACKUPS = str(place)
        arm(Point(number, log))
        call_command("backup")
        os._exit(0)
    _, status = os.waitpid(child, 0)
    reached, what, named_at = json.loads(log.read_text())
    return {
        "point": number,
        "killed": os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL,
        "reached": reached,
        "what": what,
        "named_at": named_at,
    }


if __name__ == "__main__":
    connections.close_all()
    for asked in sys.argv[2:]:
        folder = Path(sys.argv[1]) / asked / "backups"
        folder.parent.mkdir(parents=True)
        sys.stdout.write(json.dumps(killed(folder, int(asked))) + "\n")
        sys.stdout.flush()
