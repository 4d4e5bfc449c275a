"""One photo after another taken in as the ledger does it, in a process of its own: what that costs, and how much memory.

    python -m tests.bench.photo_taken_in made
    python -m tests.bench.photo_taken_in times FOLDER ROUNDS
    python -m tests.bench.photo_taken_in memory FILE

LEDGER_VAR names the ledger's folder; `made` makes it, once. Prints JSON. `times`: processor seconds and elapsed seconds of
every step on every file, in turns; `memory`: the highest resident MB of the process before the photo and after it, and what
was said to it.
"""

import hashlib
import io
import json
import os
import sys
import time
import uuid
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")

import django

django.setup()

from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.urls import get_resolver  # noqa: E402
from PIL import Image  # noqa: E402

from ledger.finds import actions, photo_actions  # noqa: E402
from ledger.finds.models import Find, Photo  # noqa: E402
from ledger.measures.models import PhotoScale  # noqa: E402
from ledger.people.models import Member  # noqa: E402
from ledger.phone import photo_parts  # noqa: E402
from ledger.wsgi import application  # noqa: E402

COPY_PX = (1600, 1200)
PART_BYTES = 256 * 1024  # as the phone sends them, see static/js/phone/sending.js


def bare(data: bytes) -> None:
    """Pillow alone: every pixel decoded, and one copy for the screen."""
    picture = Image.open(io.BytesIO(data))
    picture.load()
    picture.resize(COPY_PX, Image.Resampling.LANCZOS)


def bare_quick(data: bytes) -> None:
    """The same, decoded at half the size, as Pillow can do with a JPEG."""
    picture = Image.open(io.BytesIO(data))
    picture.draft(None, (COPY_PX[0], COPY_PX[1]))
    picture.load()
    picture.resize(COPY_PX, Image.Resampling.LANCZOS)


def bare_opencv(data: bytes) -> None:
    import cv2
    import numpy as np

    whole = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
    assert whole is not None
    cv2.resize(whole, COPY_PX, interpolation=cv2.INTER_AREA)


def made() -> dict[str, object]:
    from tests.ledger.finds.making import TWELVE, entry

    call_command("migrate", verbosity=0)
    call_command("load_reference", verbosity=0, stdout=io.StringIO())
    member = Member.objects.create_member("bench", "unused-pass-41", full_name="Bench", collector_code="BN")
    actions.log_find(entry(*TWELVE), by=member)
    return {}


class Ledger:
    """A ledger with one member and one find, to whom photos come."""

    def __init__(self) -> None:
        self.member = Member.objects.get()
        self.find = Find.objects.get()

    def with_the_form(self, data: bytes) -> Photo:
        upload = SimpleUploadedFile("photo.jpg", data)
        return photo_actions.add_photo(upload, draft_id=uuid.uuid4(), by=self.member)

    def in_parts(self, data: bytes) -> Photo:
        sha256 = hashlib.sha256(data).hexdigest()
        whole = None
        for offset in range(0, len(data), PART_BYTES):
            whole = photo_parts.take_part(
                data[offset : offset + PART_BYTES],
                sha256=sha256,
                find_id=self.find.pk,
                size=len(data),
                offset=offset,
                view="",
                by=self.member,
            ).photo
        assert whole is not None
        return whole

    def forget(self, photo: Photo) -> None:
        photo_actions.remove_waiting(photo)


def times(folder: Path, rounds: int) -> dict[str, object]:
    ledger = Ledger()
    steps: dict[str, Callable[[bytes], Photo | None]] = {
        "bare": bare,
        "bare, reduced while decoding": bare_quick,
        "bare, OpenCV": bare_opencv,
        "with the form": ledger.with_the_form,
        "in parts": ledger.in_parts,
    }
    files = [path.read_bytes() for path in sorted(folder.glob("*.jpg"))]
    taken: dict[str, list[tuple[float, float]]] = {name: [] for name in steps}
    found = 0
    for turn in range(rounds + 1):
        for data in files:
            for name, step in steps.items():
                began, elapsed = time.process_time(), time.perf_counter()
                photo = step(data)
                spent = time.process_time() - began, time.perf_counter() - elapsed
                if turn:  # the first round compiles, imports and caches
                    taken[name].append(spent)
                if photo is not None:
                    cards = PhotoScale.objects.filter(photo=photo, kind=PhotoScale.Kind.CARD)
                    found += turn == 1 and name == "in parts" and cards.exists()
                    ledger.forget(photo)
    return {"taken": taken, "found": found, "photos": len(files), "bytes": [len(data) for data in files]}


def memory(path: Path) -> dict[str, object]:
    """As a worker that has answered before: all views are imported. What its first photo imports is told with the photo."""
    assert application and get_resolver().url_patterns
    ledger = Ledger()
    data = path.read_bytes()
    before = _highest_mb()
    try:
        said = ledger.with_the_form(data).format
    except photo_actions.PhotoRefused as refusal:
        said = refusal.reason
    return {"said": said, "before": before, "after": _highest_mb()}


def _highest_mb() -> float:
    """From the kernel's own book: what getrusage tells begins with the memory of the process that started this one."""
    status = Path("/proc/self/status").read_text()
    return float(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM"))) / 1024


if __name__ == "__main__":
    what, *more = sys.argv[1:]
    if what == "times":
        answer = times(Path(more[0]), int(more[1]))
    else:
        answer = memory(Path(more[0])) if what == "memory" else made()
    sys.stdout.write(json.dumps(answer) + "\n")
