"""How much longer our 1,000 labels take than typst's own minimum for the same texts and codes, and a mixed run of 1,000.

Run `python -m tests.bench.bench_labels`. Both sides compile in this one process, in turns, each to a
PDF with the same standards and fonts; the codes' drawing is inside both. Prints the ratio of medians.
"""

import json
import statistics
import sys
import time
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import typst

from ledger.paper import barcode
from ledger.paper.text import CAUTION
from ledger.paper.typesetting import fonts as print_fonts
from vouchers.labels import content
from vouchers.labels.annotation import AnnotationSlip
from vouchers.labels.content import DeterminationSlip, PacketLabel
from vouchers.labels.pdf import Batch, render, render_run
from vouchers.labels.tags import Tag, TubeLabel

RUNS = 5
MADE_AT = datetime(2026, 11, 25, tzinfo=UTC)

# Six labels on a page, texts one after the other at one size, the code after them; nothing is fitted.
BARE = """
#set document(title: "Labels")
#set text(8pt, font: ("Noto Serif", "DejaVu Serif", "DejaVu Sans"), lang: "en")
#set page(width: 210mm, height: 297mm, margin: (x: 9mm, y: 10mm))
#grid(columns: 2, ..json("run.json").map(label => block(width: 96mm, height: 92mm, {
  for paragraph in label.texts { par(paragraph) }
  image(bytes(label.svg), format: "svg", width: 18mm, alt: label.number)
})))
"""


def make_label(run: int, serial: int) -> PacketLabel:
    """A label of common length; every run has other texts, so that nothing is remembered from the last."""
    return PacketLabel(
        accession_number=f"TFG {2000 + run}-{serial:04}",
        institution="Tarnside Fungus Group",
        name=(("Bjerkandera adusta", True),),
        authority="(Willd.) P. Karst.",
        determined_by="A. Thornley",
        determined_on=f"{1 + serial % 28} Nov {2000 + run}",
        determined_basis=f"pores, flesh line and spores ({serial})",
        place=("England", "Cumbria", f"Hollin Carr, compartment {serial}, north bank"),
        position=f"54.6{serial:04}°, −2.8{run:02}{serial % 100:02}° (WGS 84) ± 9 m",
        altitude=f"{100 + serial % 300} m",
        substrate="fallen trunk",
        host=(("Fagus sylvatica", True),),
        host_basis="bark and leaves",
        decay_class=f"decay class {1 + serial % 5} of 5 (USDA FIA)",
        fresh=(
            f"cap {20 + serial % 60} mm wide, {10 + serial % 30} mm long",
            f"pores {4 + serial % 3}–{6 + serial % 3} per mm (5 places, 10× lens), grey, darkening when pressed",
            "flexible",
        ),
        dry=("hard", "pores blackish"),
        collector="M. Rigg",
        collecting_number=f"MR {serial}",
        collected_on=f"{1 + serial % 28} Oct {2000 + run}",
        permit=f"leave HC-{run}-{serial % 7}",
    )


def bare(labels: list[PacketLabel], fonts: typst.Fonts) -> bytes:
    """The same texts and codes through the smallest template that shows them."""
    rows = [
        {
            "number": label.accession_number,
            "svg": barcode.qr_svg(label.accession_number),
            "texts": [
                f"{label.institution} {label.accession_number}",
                f"{content.plain_text(content.heading(label))} {label.authority}",
                content.plain_text(content.determination(label)),
                *(f"{line.word} {content.plain_text(line.pieces)}" for line in label.lines()),
                f"{label.accession_number} {CAUTION}",
            ],
        }
        for label in labels
    ]
    files: Any = {"main.typ": BARE.encode(), "run.json": json.dumps(rows).encode()}
    compiler = typst.Compiler(files, font_paths=fonts)
    pdf = compiler.compile(input=files, format="pdf", pdf_standards=["a-2a", "ua-1"])
    assert isinstance(pdf, bytes)
    return pdf


def mixed(run: int) -> list[Batch]:
    """1,000 labels of all kinds as a busy winter has them."""
    packets = [make_label(run, serial) for serial in range(600)]
    numbers = [label.accession_number for label in packets]
    gathered = {"collector": "M. Rigg", "collecting_number": "MR 118", "collected_on": "14 Oct 2026"}
    slips = [
        DeterminationSlip(
            accession_number=number, name=(("Stereum hirsutum", True),), determined_by="L. Crabbe", **gathered
        )
        for number in numbers[:120]
    ]
    cuts = [
        AnnotationSlip(
            accession_number=number,
            cut="inner flesh, 4 mm",
            cut_by="L. Crabbe",
            cut_on="9 Nov 2026",
            why="ITS",
        )
        for number in numbers[:40]
    ]
    duplicates = [
        replace(label, accession_number=f"{label.accession_number} D1", what="Duplicate")
        for label in packets[:100]
    ]
    tags = [Tag(number=number, title=(("MR 118", False),)) for number in numbers[:100]]
    places = [Tag(number=f"TFG PLACE {run * 100 + n}", title=((f"Box {n}", False),)) for n in range(1, 41)]
    tubes = [TubeLabel(accession_number=number, suffix="T1") for number in numbers[:150]]
    return [
        Batch("packet", packets[:50]),
        Batch("labels-96x92", packets[50:400]),
        Batch("boxes", packets[400:450]),
        Batch("slips", slips),
        Batch("duplicates", duplicates),
        Batch("annotations", cuts),
        Batch("tags", tags),
        Batch("places", places),
        Batch("tubes", tubes),
    ]


def time_mixed() -> None:
    """Time the mixed run and print it beside the same number of packet labels."""
    took: dict[str, list[float]] = {"mixed": [], "packet labels": []}
    size = 0
    for run in range(RUNS):
        batches = mixed(run + 100)
        assert sum(len(batch.labels) for batch in batches) == 1000
        alike = [Batch("labels-96x92", [make_label(run + 200, serial) for serial in range(1000)])]
        for name, wanted in (("mixed", batches), ("packet labels", alike)):
            start = time.perf_counter()
            printed = render_run(wanted, "a4", made_at=MADE_AT)
            took[name].append(time.perf_counter() - start)
            assert printed.pdf and not printed.refused
            size = len(printed.pdf) if name == "mixed" else size
    middle = {name: statistics.median(times) for name, times in took.items()}
    sys.stdout.write(
        f"1,000 labels of nine kinds in one run: {middle['mixed']:.2f} s, {size / 1e6:.1f} MB; as many packet labels "
        f"{middle['packet labels']:.2f} s, ratio {middle['mixed'] / middle['packet labels']:.2f} (medians of {RUNS})\n"
    )


def main(count: int = 1000) -> None:
    """Time both in turns and print the ratio."""
    fonts = print_fonts()
    ours: list[float] = []
    least: list[float] = []
    for run in range(RUNS):
        labels = [make_label(run, serial) for serial in range(count)]
        start = time.perf_counter()
        printed = render(labels, "labels-96x92", "a4", made_at=MADE_AT)
        ours.append(time.perf_counter() - start)
        assert printed.pdf and not printed.refused
        labels = [make_label(run + 50, serial) for serial in range(count)]
        start = time.perf_counter()
        bare(labels, fonts)
        least.append(time.perf_counter() - start)
    ratio = statistics.median(ours) / statistics.median(least)
    sys.stdout.write(
        f"{count} labels: ours {statistics.median(ours):.2f} s, bare typst {statistics.median(least):.2f} s, "
        f"ratio {ratio:.2f} (medians of {RUNS} runs in turns)\n"
    )


if __name__ == "__main__":
    main()
    time_mixed()
