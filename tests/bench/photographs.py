"""The report on photographs: what measuring on them is worth, on drawn ones of known truth, and what their coming in costs.

python -m tests.bench.photographs            prints it (half an hour)
python -m tests.bench.photographs --write    writes it to fixtures/reports/photographs.md
python -m tests.bench.photographs --few      a twentieth of the pictures, to see that it runs
"""

import platform
import sys
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from textwrap import fill

from tests.bench import cards, pores
from tests.bench.card_speed import MOST_MB, memory, speed
from tests.bench.pore_tables import table

REPORT = Path(__file__).resolve().parents[2] / "fixtures" / "reports" / "photographs.md"
WIDTH = 125
LIBRARIES = ("opencv-python-headless", "numpy", "pillow", "zxing-cpp", "pypdfium2", "typst")


def report(*, few: bool) -> str:
    made = datetime.now(UTC)
    with_what = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    head = f"""\
# Measuring on photographs

Made on {made.day} {made:%B %Y} by `make bench-photos`, with Python {platform.python_version()}, {with_what}.

All pictures are drawn, so that the truth is known; real ones are less kind. Seeds are fixed: the same libraries give the
same figures, times apart."""
    parts = [head, cards.report(25 if few else 500), pores.report(15 if few else 300), coming_in(few)]
    return _broken("\n\n".join(part.strip() for part in parts))


def _broken(text: str) -> str:
    """Lines that are too long to read are broken; those of tables cannot be."""
    return "\n".join(line if line.startswith("|") else fill(line, WIDTH) for line in text.split("\n"))


def coming_in(few: bool) -> str:
    """Markdown: what a photo costs the ledger in time and memory, with the targets."""
    ratios, timed = speed(1 if few else 7)
    highest, held = memory()
    worst = max(ratios["with the form"], ratios["in parts"])
    rows = [
        (
            "a photo of 12 megapixels taken in, over bare decode and resize",
            "1.5 times",
            f"{worst:.2f} times",
            worst <= 1.5,
        ),
        (
            "a worker at its highest, any picture",
            f"under {MOST_MB} MB",
            f"{highest:.0f} MB",
            highest < MOST_MB,
        ),
    ]
    targets = table(
        ["what", "target", "measured", ""], [[a, b, c, "met" if ok else "**missed**"] for a, b, c, ok in rows]
    )
    return "\n\n".join(["## A photo comes in", targets, "### Time", timed, "### Memory", held])


if __name__ == "__main__":
    text = report(few="--few" in sys.argv)
    if "--write" in sys.argv:
        REPORT.write_text(text.rstrip() + "\n")
    else:
        print(text)  # noqa: T201
