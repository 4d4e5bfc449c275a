"""How much memory the largest and oddest pictures take: the server must stay below 500 MB."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from ledger.photos.decoding import MAX_PIXELS
from tests.ledger.photos.hostile import KINDS

ROOT = Path(__file__).resolve().parents[3]
# A gunicorn worker of the ledger takes some 80 MB before it meets a photo (measured), up to 130 with what finds a card.
ROOM_MB = 370


def taken_in(kind: str, width: int, height: int) -> tuple[str, int]:
    ended = subprocess.run(
        [sys.executable, "-m", "tests.ledger.photos.hostile", kind, str(width), str(height)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=True,
    )
    said, _, memory = ended.stdout.strip().rpartition(" ")
    return said, int(memory)


@pytest.mark.parametrize("kind", KINDS)
def test_the_largest_picture_of_every_kind_stays_within_memory(kind: str) -> None:
    width, height = 8160, 6144
    assert 0.95 * MAX_PIXELS < width * height <= MAX_PIXELS
    said, memory = taken_in(kind, width, height)
    assert said == "png"
    assert memory < ROOM_MB


@pytest.mark.parametrize(
    ("kind", "width", "height", "expected"),
    [
        ("RGBA", 65_535, 790, "png"),  # 52 million pixels in one long strip
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
