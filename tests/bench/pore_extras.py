"""What the report on pores says besides: counting by hand, the truth by another library, time and memory."""

import math
import time
import tracemalloc

import numpy as np
from numpy.typing import NDArray

from ledger.measuring.pores import PoreCount, count_pores, hand_count
from tests.bench.pore_images import PORES, Wanted, picture
from tests.bench.pore_tables import share, table
from tests.bench.pore_trials import REPORTING


def by_hand(many: int) -> str:
    """Somebody taps every mouth that ten lines cross, on clean pictures, and divides by the length."""
    rows = []
    for kind in PORES:
        ratios, hits = [], []
        for k in range(many):
            wanted = Wanted(
                kind, REPORTING + 80_000 + k, per_mm=4.0, px_per_pore=24.0, across=34.0, clean=True
            )
            rng = np.random.default_rng([REPORTING, k])
            image = picture(wanted).image
            all_of = [_crossed(image, rng) for _ in range(200)]
            scale = wanted.per_mm * wanted.px_per_pore
            mean = sum(n for n, _ in all_of) / sum(px for _, px in all_of) * scale
            tapped = all_of[:10]
            hand = hand_count([px / scale for _, px in tapped], [n for n, _ in tapped])
            ratios.append(mean / wanted.per_mm)
            hits.append(abs(hand.per_mm - mean) <= 2 * hand.u_per_mm)
        ratio = f"{np.mean(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f})"
        rows.append([kind, str(many), ratio, share(sum(hits), many)])
    head = [
        "kind",
        "pictures",
        "mouths crossed per mm, over pores per mm as defined",
        "covered (of what lines give)",
    ]
    return table(head, rows) + (
        "\n\nTen lines of some 3 mm each. The first figure is what a person counting along lines gets, over what the "
        "program says: below 1 where walls are thick, above 1 where they are thin."
    )


def _crossed(image: NDArray[np.uint8], rng: np.random.Generator) -> tuple[int, float]:
    """How many dark runs a random line of 10 to 14 pitches crosses, and its length in px. Runs of at least 2 px count: a
    mouth that is barely touched is not seen. A run cut by the line's end counts half the time."""
    size = image.shape[0]
    while True:
        start, angle, length = rng.uniform(0, size - 1, 2), rng.uniform(0, 2 * math.pi), rng.uniform(240, 336)
        end = start + length * np.array([math.cos(angle), math.sin(angle)])
        if (end >= 0).all() and (end <= size - 1).all():
            break
    steps = np.linspace(start, end, round(length * 2))
    dark = image[np.rint(steps[:, 1]).astype(int), np.rint(steps[:, 0]).astype(int)] < 128
    edges = np.diff(dark.astype(int))
    begins, ends = int((edges == 1).sum()), int((edges == -1).sum())
    return max(1, begins if rng.random() < 0.5 else ends), float(length)


def truth(many: int) -> str:
    """Clean pictures, labelled by scipy, against the list of centres that they were drawn from."""
    worst, pores, fields = 0, 0, 0
    for kind in PORES:
        for k in range(many):
            wanted = Wanted(kind, REPORTING + 90_000 + k, px_per_pore=20.0, across=25.0, clean=True)
            labelled, listed = labelled_and_listed(wanted)
            worst, pores, fields = max(worst, abs(labelled - listed)), pores + listed, fields + 1
    return (
        f"`scipy.ndimage.label` on {fields} clean pictures: {pores} pores by the list of centres; "
        f"the two counts of a picture differ by at most {worst}."
    )


def labelled_and_listed(wanted: Wanted) -> tuple[int, int]:
    """Mouths at least one pitch inside a clean picture, by scipy's labels and by the drawn centres.

    A mouth and its centre are matched, since a mouth's middle may lie beyond a line that its centre does not cross; what
    scipy labels and no centre belongs to is counted as well.
    """
    from scipy import ndimage

    shown = picture(wanted)
    labels, many = ndimage.label(shown.image < 128)
    numbers = np.arange(1, many + 1)
    middles = np.array(ndimage.center_of_mass(labels > 0, labels, numbers)).reshape(-1, 2)[:, ::-1]
    edge, size = wanted.px_per_pore, shown.image.shape[0]

    def inside(points: NDArray[np.float64], margin: float) -> NDArray[np.bool_]:
        return np.asarray(((points > margin) & (points < size - 1 - margin)).all(axis=1))

    apart = np.hypot(*(shown.centres[:, None] - middles[None]).transpose(2, 0, 1))
    counted = shown.centres[inside(shown.centres, edge)]
    owned = set(apart.argmin(axis=1)[inside(shown.centres, edge)].tolist())
    orphans = inside(middles, 1.5 * edge) & (apart.min(axis=0) > 0.5 * edge)
    return len(owned) + int(orphans.sum()), len(counted)


def cost() -> str:
    shown = picture(Wanted("angular", REPORTING + 95_000, px_per_pore=10.0, across=100.0))
    times = []
    for _ in range(5):
        began = time.process_time()
        answer = count_pores(shown.image, px_per_mm=shown.px_per_mm, u_px_per_mm=shown.u_px_per_mm)
        times.append(time.process_time() - began)
    assert isinstance(answer, PoreCount)
    big = np.tile(shown.image if shown.image.ndim == 2 else shown.image[:, :, 0], (3, 4))
    peaks = []
    for image in (shown.image, big):
        tracemalloc.start()
        count_pores(image, px_per_mm=shown.px_per_mm, u_px_per_mm=shown.u_px_per_mm)
        peaks.append(tracemalloc.get_traced_memory()[1] / 1e6)
        tracemalloc.stop()
    height, width = shown.image.shape[:2]
    speed = f"{min(times):.2f} s of one core, best of five (median {sorted(times)[2]:.2f} s)"
    return (
        f"{width} x {height} px with {answer.n} whole pores: {speed}; peak {peaks[0]:.0f} MB. "
        f"{big.shape[1]} x {big.shape[0]} px: peak {peaks[1]:.0f} MB, as the middle is counted there."
    )
