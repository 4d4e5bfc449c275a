"""The report on photographs: what measuring on them is worth, on drawn ones of known truth.

python -m tests.bench.photographs            prints it (three quarters of an hour)
python -m tests.bench.photographs --write    writes it to fixtures/reports/photographs.md
python -m tests.bench.photographs --few      a twentieth of the pictures, to see that it runs
"""

import platform
import sys
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from tests.bench import cards, pores

REPORT = Path(__file__).resolve().parents[2] / "fixtures" / "reports" / "photographs.md"
LIBRARIES = ("opencv-python-headless", "numpy", "pillow", "pypdfium2", "typst")


def report(*, few: bool) -> str:
    made = datetime.now(UTC)
    with_what = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    head = f"""\
# Measuring on photographs

Made on {made.day} {made:%b %Y} by `make bench-photos`, with Python {platform.python_version()}, {with_what}. All pictures
are drawn, so that the truth is known; real ones are less kind. Seeds are fixed: the same libraries give the same figures,
times apart."""
    return "\n\n".join([head, cards.report(25 if few else 500), pores.report(15 if few else 300)])


if __name__ == "__main__":
    text = report(few="--few" in sys.argv)
    if "--write" in sys.argv:
        REPORT.write_text(text)
    else:
        print(text)  # noqa: T201
