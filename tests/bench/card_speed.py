"""What finding the card costs a photo that is taken in, against the bare decode and resize of Pillow in the same run."""

import io
import statistics
import time
import tracemalloc
from collections.abc import Callable

import cv2
import numpy as np
from PIL import Image

from ledger.measuring.detect import CardView, find_card
from ledger.measuring.grey import white_balance
from ledger.photos.intake import admit
from ledger.photos.upright import upright_picture
from tests.bench.card_camera import random_setup
from tests.bench.card_scene import opened, photograph, random_look
from tests.bench.pore_tables import table

SEED, PHOTOS = 991, 6
COPY_PX = (1600, 1200)


def speed(runs: int) -> tuple[dict[str, float], str]:
    """Ratios of medians by name, and markdown. Every step on every photo, in turns, `runs` times, in processor time: the
    wall clock of a busy machine says little."""
    cv2.setNumThreads(1)
    photos = [_colour_photo(at) for at in range(PHOTOS)]
    found = sum(isinstance(_find(photo), CardView) for photo in photos)
    steps: dict[str, Callable[[bytes], object]] = {
        "bare": _bare,
        "bare, reduced while decoding": _bare_draft,
        "grey": _grey,
        "found": _find,
        "checked": _checked,
        "all": _all,
    }
    taken: dict[str, list[float]] = {name: [] for name in steps}
    for _ in range(runs):
        for photo in photos:
            for name, step in steps.items():
                begun = time.process_time()
                step(photo)
                taken[name].append(time.process_time() - begun)
    ratios = {
        name: statistics.median(times) / statistics.median(taken["bare"]) for name, times in taken.items()
    }
    said = {
        "bare": f"decoded by Pillow and resized to {COPY_PX[0]} × {COPY_PX[1]} (the measure)",
        "bare, reduced while decoding": "the same, decoded at half the size (`draft`)",
        "grey": "decoded whole, in grey",
        "found": "decoded in grey and the card found",
        "checked": "checked and its metadata read (`admit`), decoded in grey and the card found",
        "all": "checked, decoded in colour, the card found and its greys read: as the ledger takes photos in",
    }
    rows = [
        [said[name], f"{1000 * statistics.median(taken[name]):.0f} ms", f"{ratios[name]:.2f}"]
        for name in steps
    ]
    text = table(["a colour JPEG of 12 megapixels", "processor time", "over the measure"], rows)
    text += (
        f"\n\nMedians of {runs} rounds over {PHOTOS} photos, one thread; the card was found in {found} of them. "
        f"Finding it needs at most {_peak(photos[0]) / 1e6:.0f} MB beside the grey picture of 12 MB."
    )
    return ratios, text


def _colour_photo(at: int) -> bytes:
    rng = np.random.default_rng([SEED, at])
    grey = opened(photograph(random_setup(rng), random_look(rng), rng)).astype(np.float32)
    colours = np.stack(
        [np.clip(grey * share + more, 0, 255) for share, more in ((1.05, 0), (1, 0), (0.8, 10))], axis=-1
    )
    out = io.BytesIO()
    Image.fromarray(colours.astype(np.uint8)).save(out, "JPEG", quality=85)
    return out.getvalue()


def _bare(photo: bytes) -> object:
    picture = Image.open(io.BytesIO(photo))
    picture.load()
    return picture.resize(COPY_PX, Image.Resampling.LANCZOS)


def _bare_draft(photo: bytes) -> object:
    picture = Image.open(io.BytesIO(photo))
    picture.draft(None, COPY_PX)
    picture.load()
    return picture.resize(COPY_PX, Image.Resampling.LANCZOS)


def _grey(photo: bytes) -> np.ndarray:
    return np.asarray(upright_picture(photo, "L"))


def _find(photo: bytes) -> object:
    return find_card(_grey(photo))


def _checked(photo: bytes) -> object:
    admit(photo)
    return _find(photo)


def _all(photo: bytes) -> object:
    admit(photo)
    picture = upright_picture(photo, "RGB")
    view = find_card(np.asarray(picture.convert("L")))
    return white_balance(np.asarray(picture), view) if isinstance(view, CardView) else None


def _peak(photo: bytes) -> int:
    """Bytes that the search asks Python's and NumPy's allocators for at once; OpenCV's own few MB are not seen."""
    grey = _grey(photo)
    tracemalloc.start()
    find_card(grey)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak
