"""Trait checks per second: 12 readings of one specimen against every taxon of the reference, evidence included.

    python -m tests.bench.bench_checks

Specimens differ from one another, so that nothing is remembered from the last; the compiled tables are kept, as they
are in a running ledger. The yardstick in the same run is the least a check could do: looking up the documented rows of
each taxon and trait, and nothing else.
"""

import random
import statistics
import sys
import time
from pathlib import Path

from ledger.traits.check import check_specimen
from ledger.traits.readings import Reading, Specimen
from ledger.traits.reference import Reference

ROOT = Path(__file__).resolve().parents[2]
TRAITS = (
    *("underside", "cap_surface", "zonation", "pore_surface_colour", "margin_colour", "habit", "host", "rot"),
    *("cap_width", "cap_length", "pores_per_mm", "cap_thickness"),
)
RUNS, EACH = 7, 60


def specimens(reference: Reference, count: int, seed: int) -> list[Specimen]:
    """Random specimens with a reading of each of the twelve traits, under a random name."""
    chance = random.Random(seed)
    made = []
    for _ in range(count):
        readings = {}
        for code in TRAITS:
            trait = reference.vocabulary.traits[code]
            if trait.states:
                chosen = frozenset({chance.choice(trait.states).code})
                readings[code] = Reading(trait=code, states=chosen)
            else:
                top = 8 if code == "pores_per_mm" else 120
                values = tuple(round(chance.uniform(1, top), 1) for _ in range(3))
                readings[code] = Reading(trait=code, values=values, unit=trait.unit, resolution=1)
        made.append(
            Specimen(
                taxon=chance.choice(list(reference.taxa)), readings=readings, state="fresh", age="mature"
            )
        )
    return made


def looked_up(reference: Reference, specimen: Specimen) -> int:
    return sum(
        len(reference.ranges_for(taxon, code)) for taxon in reference.taxa for code in specimen.readings
    )


def main() -> None:
    import os

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
    import django

    django.setup()
    from ledger.taxa.queries import reference_of_files

    reference = reference_of_files()
    for specimen in specimens(reference, 20, seed=0):
        check_specimen(reference, specimen)
    ours, least = [], []
    for run in range(RUNS):
        some = specimens(reference, EACH, seed=run + 1)
        start = time.perf_counter()
        for specimen in some:
            check_specimen(reference, specimen)
        middle = time.perf_counter()
        for specimen in some:
            looked_up(reference, specimen)
        ours.append((middle - start) / EACH)
        least.append((time.perf_counter() - middle) / EACH)
    one, other = statistics.median(ours), statistics.median(least)
    sys.stdout.write(
        f"checks of 12 readings against {len(reference.taxa)} taxa: {1 / one:.0f} per second "
        f"({one * 1000:.2f} ms), {one / other:.1f} times the bare look-up of the same rows\n"
    )


if __name__ == "__main__":
    main()
