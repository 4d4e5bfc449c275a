"""How well pores are counted: the part of the report on photographs that is about pores.

python -m tests.bench.pores            prints it (a quarter of an hour)
python -m tests.bench.pores --few      a twentieth of the pictures, to see that it runs
"""

import itertools
import sys
from collections import Counter
from collections.abc import Callable, Sequence

import cv2
import numpy as np

from ledger.measuring.pores import LEAST_PX_PER_PORE, PoresRefused
from tests.bench.pore_extras import by_hand, cost, truth
from tests.bench.pore_images import BETWEEN, PORES, SPOILERS
from tests.bench.pore_tables import percent, quantile, share, table
from tests.bench.pore_trials import REPORTING, TUNING, Trial, drawn, tried

_NAMES = {"bare": "bare (no pores)", "other": "gills, teeth, hairs, dust"}


def report(many: int = 300) -> str:
    """Markdown: errors, coverage, refusals, wrong acceptances, with the targets. `many` pictures of each kind of pore."""
    cv2.setNumThreads(1)
    few = max(6, many // 2)
    above = tried(drawn(PORES, many, REPORTING, LEAST_PX_PER_PORE, 40.0))
    below = tried(drawn(PORES, few, REPORTING + 20_000, 2.8, LEAST_PX_PER_PORE))
    spoilers = tried(drawn(SPOILERS, few, REPORTING + 40_000, 6.0, 40.0))
    frayed = tried(drawn(BETWEEN, few, REPORTING + 60_000, LEAST_PX_PER_PORE, 40.0))
    parts = [
        "## Pores",
        _preface(many),
        _targets(above, below, spoilers),
        f"### Above the limit of {LEAST_PX_PER_PORE:.0f} px per pore",
        _grouped("kind", above, lambda t: t.wanted.kind, [*PORES, "all"]),
        _reasons(above),
        _binned("px per pore", above, lambda t: t.wanted.px_per_pore, (8, 9, 10, 12, 16, 25, 40)),
        _binned("pores per mm", above, lambda t: t.wanted.per_mm, (2, 4, 6, 9)),
        _binned("whole pores counted", above, lambda t: getattr(t.answer, "n", 0), (12, 30, 100, 400, 2000)),
        "### Below the limit",
        _below(below),
        "### What has no whole pores",
        _spoiled(spoilers, frayed),
        "### By hand, along lines",
        by_hand(max(4, many // 10)),
        "### The truth, counted by another library",
        truth(max(3, many // 30)),
        "### Time and memory",
        cost(),
    ]
    return "\n\n".join(parts) + "\n"


def _preface(many: int) -> str:
    return f"""\
Drawn by `tests/bench/pore_images.py`, counted by `ledger/measuring/pores.py`; they share no code. {many} pictures of each
kind, seeds from {REPORTING}; the constants were set on seeds from {TUNING}. Each picture: 2 to 9 pores per mm, a patch
8 to 40 pores wide, uneven light (up to 40 % each way), blur (standard deviation 0.4 px to 0.2 of a pore, uneven),
noise, debris, plugged mouths, glints, JPEG 75 to 95 in half of them, a scale that runs by up to 1.5 % from the middle to the
edge. The counter is told px per mm with a random error of the stated uncertainty (0.2 to 1.5 %). The truth is the square
root of the pores per mm2 of the whole field from which the patch is cut; so a patch of few pores has an error of its own.
The counter has seen drawn pores only. Expect worse on real ones, and look at what was found."""


def _targets(above: list[Trial], below: list[Trial], spoilers: list[Trial]) -> str:
    good = [t for t in above if t.counted]
    bias = {k: float(np.mean([t.error for t in good if t.wanted.kind == k])) for k in PORES}
    worst = max(bias, key=lambda k: abs(bias[k]))
    whole = float(np.mean([t.error for t in good]))
    wide = quantile([t.error for t in good], 0.95)
    covered = float(np.mean([t.covered for t in good]))
    slipped, wrong = sum(t.counted for t in below), sum(t.counted for t in spoilers)
    rows = [
        (
            "bias",
            "under 2 %",
            f"{100 * whole:+.2f} % (worst kind, {worst}: {100 * bias[worst]:+.2f} %)",
            abs(bias[worst]) < 0.02,
        ),
        ("95 % of errors", "under 10 %", f"under {percent(wide)}", wide < 0.10),
        ("stated interval (k = 2) covers the truth", "93 to 97 %", percent(covered), 0.93 <= covered <= 0.97),
        ("below the limit: refused", "all", f"{len(below) - slipped} of {len(below)}", slipped == 0),
        (
            "torn, oblique, maze, no pores: refused",
            "all",
            f"{len(spoilers) - wrong} of {len(spoilers)}",
            wrong == 0,
        ),
    ]
    return table(
        ["what", "target", "measured", ""], [[a, b, c, "met" if ok else "**missed**"] for a, b, c, ok in rows]
    )


_HEAD = [
    "pictures",
    "counted",
    "bias",
    "spread",
    "95 % of errors",
    "covered",
    "exact scale: 95 % of errors",
    "covered",
]


def _grouped(title: str, trials: list[Trial], key: Callable[[Trial], str], names: Sequence[str]) -> str:
    return table(
        [title, *_HEAD], [[name, *_row([t for t in trials if name in (key(t), "all")])] for name in names]
    )


def _binned(title: str, trials: list[Trial], key: Callable[[Trial], float], edges: Sequence[float]) -> str:
    rows = []
    for low, high in itertools.pairwise(edges):
        group = [t for t in trials if low <= key(t) < high]
        if group:
            rows.append([f"{low:g} to {high:g}", *_row(group)])
    return table([title, *_HEAD], rows)


def _row(trials: list[Trial]) -> list[str]:
    good = [t for t in trials if t.counted]
    if not good:
        return [str(len(trials)), "none", *[""] * 6]
    errors = [t.error for t in good]
    return [
        str(len(trials)),
        share(len(good), len(trials)),
        f"{100 * np.mean(errors):+.2f} %",
        f"{100 * np.std(errors):.2f} %",
        percent(quantile(errors, 0.95)),
        share(sum(t.covered for t in good), len(good)),
        percent(quantile([t.own_error for t in good], 0.95)),
        share(sum(t.own_covered for t in good), len(good)),
    ]


def _reasons(trials: list[Trial]) -> str:
    why = Counter(f"{t.answer.why} ({t.wanted.kind})" for t in trials if isinstance(t.answer, PoresRefused))
    return "Refused: " + (", ".join(f"{n} {name}" for name, n in why.most_common()) or "none") + "."


def _below(trials: list[Trial]) -> str:
    rows = []
    for low, high in itertools.pairwise((2.8, 4.0, 6.0, 7.0, LEAST_PX_PER_PORE)):
        group = [t for t in trials if low <= t.wanted.px_per_pore < high]
        slipped = [t for t in group if t.counted]
        asked = [
            (t.answer.need_px_per_mm / (LEAST_PX_PER_PORE * t.wanted.per_mm), t.answer.why)
            for t in group
            if isinstance(t.answer, PoresRefused) and t.answer.need_px_per_mm is not None
        ]
        closer = [ratio for ratio, why in asked if why == "magnification"]
        told = f"{np.median(closer):.2f} ({min(closer):.2f} to {max(closer):.2f})" if closer else ""
        wrong = max((abs(t.error) for t in slipped), default=0.0)
        rows.append(
            [
                f"{low:g} to {high:g}",
                str(len(group)),
                str(len(closer)),
                str(len(asked) - len(closer)),
                str(len(group) - len(asked) - len(slipped)),
                told,
                f"{len(slipped)} (worst error {percent(wrong)})" if slipped else "0",
            ]
        )
    head = [
        "px per pore",
        "pictures",
        "come closer, so much",
        "cannot tell; come closer in case they are fine",
        "cannot tell, no more",
        "px per mm asked for, over the least",
        "counted",
    ]
    return table(head, rows) + "\n\nAsked for: median, smallest and largest; it should be a little above 1."


def _spoiled(spoilers: list[Trial], frayed: list[Trial]) -> str:
    rows = []
    for name in (*SPOILERS, *BETWEEN):
        group = [t for t in spoilers + frayed if t.wanted.kind == name]
        wrong = sum(t.counted for t in group)
        why = Counter(t.answer.why for t in group if isinstance(t.answer, PoresRefused))
        told = ", ".join(f"{n} {reason}" for reason, n in why.most_common())
        rows.append([_NAMES.get(name, name), str(len(group)), f"{wrong} ({share(wrong, len(group))})", told])
    text = table(["what", "pictures", "counted all the same", "reasons given"], rows) + "\n\n"
    if not any(t.counted for t in spoilers):
        bound = percent(3.0 / len(spoilers))
        text += f"None of {len(spoilers)} spoilers was counted: the true rate is below {bound} (95 %). "
    text += "Frayed is in between: 5 to 20 % of the walls are gone, and the truth is what was there before."
    off = [t.error for t in frayed if t.counted]
    if off:
        text += f" The counts given there are off by {100 * np.mean(off):+.1f} % on average."
    return text


if __name__ == "__main__":
    print(report(15 if "--few" in sys.argv else 300))  # noqa: T201
