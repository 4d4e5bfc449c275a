"""Prints of the planned photographs: drawn in two processes ahead of the logging, or plain ones for tests."""

import multiprocessing
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from io import BytesIO
from random import Random

from PIL import Image

from ledger.demo.drawing import CapSpec, UndersideSpec, draw_cap, draw_underside, draw_wood, exif_of
from ledger.demo.planned import PlannedFind, PlannedPhoto

WORKERS = 2
AHEAD = 24  # finds drawn before they are asked for; bounds the memory

PLAIN_SIZE = (240, 180)


def drawn(photo: PlannedPhoto) -> bytes:
    """The photograph as a JPEG."""
    if isinstance(photo.spec, CapSpec):
        return draw_cap(photo.spec, photo.seed, photo.shot)
    if isinstance(photo.spec, UndersideSpec):
        return draw_underside(photo.spec, photo.seed, photo.shot)
    return draw_wood(photo.spec, photo.seed, photo.shot)


def plain(photo: PlannedPhoto) -> bytes:
    """A small picture of one colour with the same EXIF."""
    rng = Random(photo.seed)
    colour = tuple(rng.randint(60, 200) for _ in range(3))
    out = BytesIO()
    Image.new("RGB", PLAIN_SIZE, colour).save(out, "JPEG", quality=60, exif=exif_of(photo.shot))
    return out.getvalue()


def _all_drawn(photos: Sequence[PlannedPhoto]) -> list[bytes]:
    return [drawn(photo) for photo in photos]


def drawn_prints(finds: Iterable[PlannedFind]) -> Iterator[list[bytes]]:
    """The photographs of each find in order, drawn by two processes a few finds ahead."""
    # Spawned, not forked: a fork would share the open database of the one that logs.
    with ProcessPoolExecutor(WORKERS, multiprocessing.get_context("spawn")) as pool:
        waiting: deque[Future[list[bytes]]] = deque()
        try:
            for find in finds:
                waiting.append(pool.submit(_all_drawn, find.photos))
                if len(waiting) > AHEAD:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for left in waiting:
                left.cancel()


def plain_prints(finds: Iterable[PlannedFind]) -> Iterator[list[bytes]]:
    """Plain pictures for each find, at once."""
    for find in finds:
        yield [plain(photo) for photo in find.photos]
