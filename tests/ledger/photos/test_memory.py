"""How much memory the largest and oddest pictures take: the server must stay below 500 MB."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from ledger.photos.decoding import MAX_PIXELS, MOST_TRANSPARENT_PIXELS
from tests.ledger.photos.hostile import KINDS

ROOT = Path(__file__).resolve().parents[3]
# Of 500, less what a worker has imported beyond this process (20 MB, measured).
ROOM_MB = 480


def taken_in(kind: str, width: int, height: int) -> tuple[str, int]:
    ended = subprocess.run(
        [sys.executable, "-m", "tests.ledger.photos.hostile", kind, str(width), str(height)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), "DJANGO_SETTINGS_MODULE": "ledger.settings"},
        capture_output=True,
        text=True,
        check=True,
    )
    said, _, memory = ended.stdout.strip().rpartition(" ")
    return said, int(memory)


@pytest.mark.parametrize("kind", KINDS)
def test_the_largest_picture_of_every_kind_stays_within_memory(kind: str) -> None:
    is_transparent = kind in ("RGBA", "grey with transparency")
    width, height = (7200, 5520) if is_transparent else (8160, 6144)
    most = MOST_TRANSPARENT_PIXELS if is_transparent else MAX_PIXELS
    assert 0.95 * most < width * height <= most
    said, memory = taken_in(kind, width, height)
    assert said == "png"
    assert memory < ROOM_MB


@pytest.mark.parametrize(("kind", "width", "height"), [("JPEG", 8160, 6144), ("WEBP", 5160, 3872)])
def test_the_largest_that_is_held_whole_and_turned_stays_within_memory(
    kind: str, width: int, height: int
) -> None:
    said, memory = taken_in(kind, width, height)
    assert said == kind.lower()
    assert memory < ROOM_MB


@pytest.mark.parametrize(
    ("kind", "width", "height", "expected"),
    [
        ("RGB", 65_535, 790, "png"),  # 52 million pixels in one long strip
        ("RGBA", 65_535, 790, "too many pixels"),
        ("WEBP", 8160, 6144, "too many pixels"),
        ("grey", 30_000, 20_000, "too many pixels"),  # 600 MB in a file of 3
        ("RGBA", 1, 1, "png"),
    ],
)
def test_a_bomb_is_refused_and_a_strip_is_taken_within_memory(
    kind: str, width: int, height: int, expected: str
) -> None:
    said, memory = taken_in(kind, width, height)
    assert said == expected
    assert memory < ROOM_MB
