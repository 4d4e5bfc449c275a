"""Prints of the planned photographs: drawn in two processes ahead of the logging, or plain ones for tests."""

import multiprocessing
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor

from ledger.demo import darkroom
from ledger.demo.planned import PlannedFind

WORKERS = 2
AHEAD = 24  # finds drawn before they are asked for; bounds the memory


def drawn_prints(finds: Iterable[PlannedFind]) -> Iterator[list[bytes]]:
    """The photographs of each find in order, drawn by two processes a few finds ahead."""
    # Spawned, not forked: a fork would share the open database of the one that logs.
    with ProcessPoolExecutor(WORKERS, multiprocessing.get_context("spawn")) as pool:
        waiting: deque[Future[list[bytes]]] = deque()
        try:
            for find in finds:
                waiting.append(pool.submit(darkroom.drawn, _negatives(find)))
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
        yield darkroom.plain(_negatives(find))


def _negatives(find: PlannedFind) -> list[darkroom.Negative]:
    return [(photo.spec, photo.seed, photo.shot, photo.beside) for photo in find.photos]
