"""What a photo's coming in costs altogether, against Pillow's bare decode and resize in the same run; and its memory."""

import io
import json
import os
import statistics
import subprocess
import sys
import tempfile
import tracemalloc
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from PIL import Image

from ledger.measuring.detect import find_card
from ledger.photos.decoding import MAX_PIXELS
from tests.bench.card_camera import random_setup
from tests.bench.card_scene import opened, photograph, random_look
from tests.bench.pore_tables import table
from tests.ledger.photos.hostile import png, turned_on_its_side

SEED, PHOTOS = 991, 6
# The largest that are taken: 51,962,880 pixels, 39,744,000 and 19,979,520.
LARGEST, TRANSPARENT, WEBP = (8160, 6368), (7200, 5520), (5160, 3872)
MOST_MB = 500
_SAID = {
    "bare": "decoded by Pillow and resized to 1600 × 1200 (the measure)",
    "bare, reduced while decoding": "the same, decoded at half the size (`draft`)",
    "bare, OpenCV": "the same by OpenCV, decoded whole",
    "with the form": "taken in with the form: checked, metadata read, card and codes looked for, greys read, kept on the "
    "disk and in the database",
    "in parts": "taken in from a phone in parts of 256 kB: all that, put together, hashed twice, and its find checked again",
}


def speed(rounds: int) -> tuple[dict[str, float], str]:
    """Ratios of medians of processor time by name, and markdown."""
    with tempfile.TemporaryDirectory() as folder:
        for at in range(PHOTOS):
            (Path(folder) / f"{at}.jpg").write_bytes(jpeg(colour_photo(at), quality=90))
        answer = _asked("times", folder, str(rounds))
    spent = {
        name: [1000 * statistics.median(kind) for kind in zip(*pairs, strict=True)]
        for name, pairs in answer["taken"].items()
    }
    ratios = {name: here / spent["bare"][0] for name, (here, _) in spent.items()}
    rows = [
        [_SAID[name], f"{here:.0f} ms", f"{ratios[name]:.2f}", f"{elapsed:.0f} ms"]
        for name, (here, elapsed) in spent.items()
    ]
    text = table(["a colour JPEG of 12 megapixels", "processor time", "over the measure", "elapsed"], rows)
    sizes = [size / 1e6 for size in answer["bytes"]]
    said = (
        f"Medians of {rounds} rounds over {answer['photos']} photos of {min(sizes):.1f} to {max(sizes):.1f} MB, each step "
        f"on each photo in turn, one thread; the card was found in {answer['found']} of them. Judged is processor time, "
        "since the clock of a busy machine says little."
    )
    return ratios, f"{text}\n\n{said}"


def memory() -> tuple[float, str]:
    """The highest MB that taking in any picture took a worker to, and markdown."""
    rows, highest = [], 0.0
    for name, size, data in _pictures():
        with tempfile.NamedTemporaryFile(suffix=".photo") as file:
            file.write(data)
            file.flush()
            told = _asked("memory", file.name)
        highest = max(highest, told["after"])
        what = "taken in" if told["said"] in ("jpeg", "png", "webp") else f"refused: {told['said']}"
        pixels = f"{size[0] * size[1] / 1e6:.0f}"
        rows.append([name, pixels, what, f"{told['before']:.0f} MB", f"{told['after']:.0f} MB"])
    text = table(["picture", "megapixels", "what came of it", "worker before", "at its highest"], rows)
    said = (
        "Resident memory of a process of its own that takes in this one picture. Pictures of more than "
        f"{MAX_PIXELS / 1e6:g} megapixels (WebP 20, with transparency 40) are refused by their header. "
        "HEIC was not measured: there is no encoder for it here. A worker decodes one picture at a time, so that "
        f"these do not add up. Finding the card needs at most {_peak() / 1e6:.0f} MB beside a grey picture of 12 MB."
    )
    return highest, f"{text}\n\n{said}"


@cache
def _ledger() -> tempfile.TemporaryDirectory[str]:
    """The folder of a ledger of its own, which goes when this process ends."""
    folder = tempfile.TemporaryDirectory(prefix="ledger-bench-")
    subprocess.run(
        [sys.executable, "-m", "tests.bench.photo_taken_in", "made"],
        check=True,
        env=os.environ | {"LEDGER_VAR": folder.name},
        capture_output=True,
    )
    return folder


def _asked(*what: str) -> dict[str, Any]:
    ended = subprocess.run(
        [sys.executable, "-m", "tests.bench.photo_taken_in", *what],
        check=True,
        env=os.environ
        | {"LEDGER_VAR": _ledger().name, "OMP_NUM_THREADS": "1", "OPENCV_FOR_THREADS_NUM": "1"},
        capture_output=True,
        text=True,
    )
    answer: dict[str, Any] = json.loads(ended.stdout)
    return answer


def _pictures() -> Iterator[tuple[str, tuple[int, int], bytes]]:
    usual = colour_photo(0)
    large = Image.fromarray(usual).resize(LARGEST, Image.Resampling.BILINEAR)
    yield "JPEG, as a phone makes it", usual.shape[1::-1], jpeg(usual, quality=90)
    yield "JPEG on its side, the largest that is taken", LARGEST, jpeg(np.asarray(large), turned=6)
    yield (
        "JPEG that is drawn step by step, with whole colours",
        LARGEST,
        jpeg(np.asarray(large), progressive=True, subsampling=0),
    )
    yield (
        "the same with colours of half the size",
        LARGEST,
        jpeg(np.asarray(large), progressive=True, subsampling=2),
    )
    for kind in ("RGB", "16-bit grey"):
        yield f"PNG, {kind}", LARGEST, png(kind, *LARGEST)
    yield "PNG with transparency", TRANSPARENT, png("RGBA", *TRANSPARENT)
    yield "WebP", WEBP, turned_on_its_side("WEBP", *WEBP)


def colour_photo(at: int) -> np.ndarray:
    """A drawn view in colour, with grain over it, so that its file is as large as a phone's."""
    rng = np.random.default_rng([SEED, at])
    grey = opened(photograph(random_setup(rng), random_look(rng), rng)).astype(np.float32)
    grain = 3 * rng.standard_normal(grey.shape, dtype=np.float32)
    colours = [np.clip(grey * share + more + grain, 0, 255) for share, more in ((1.05, 0), (1, 0), (0.8, 10))]
    return np.stack(colours, axis=-1).astype(np.uint8)


def jpeg(pixels: np.ndarray, *, turned: int = 1, **options: Any) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = turned
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", exif=exif, **options)
    return out.getvalue()


def _peak() -> int:
    """Bytes that the search asks Python's and NumPy's allocators for at once; OpenCV's own few MB are not seen."""
    grey = np.ascontiguousarray(cv2.cvtColor(colour_photo(0), cv2.COLOR_RGB2GRAY))
    tracemalloc.start()
    find_card(grey)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak
