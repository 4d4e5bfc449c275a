"""Readings of an invented specimen, drawn from what the sources document of the right taxon.

A value is drawn where most sources agree, so that most finds fit; nothing here knows the outcome of a check.
"""

from collections import Counter
from collections.abc import Mapping
from random import Random

from ledger.finds.entries import ReadingEntry
from ledger.traits.documented import compile_rows
from ledger.traits.ranges import DocumentedRange
from ledger.traits.reference import Reference
from ledger.traits.units import number_text
from ledger.traits.vocabulary import Trait, Vocabulary

# How often a member reads a trait, of the finds it can be read on. Common practice, no source: the underside always,
# what takes a knife or a lens less often.
READ = {
    "underside": 0.99,
    "habit": 0.7,
    "pores_per_mm": 0.72,
    "cap_width": 0.9,
    "cap_length": 0.5,
    "cap_thickness": 0.22,
    "cap_surface": 0.72,
    "zonation": 0.62,
    "cap_colour": 0.66,
    "margin_colour": 0.15,
    "pore_surface_colour": 0.62,
    "flexibility": 0.3,
    "consistency": 0.28,
    "pore_shape": 0.2,
    "context_colour": 0.22,
    "context_thickness": 0.06,
    "tube_depth": 0.08,
    "life_span": 0.08,
    "substrate_state": 0.9,
    "host": 0.75,
    "rot": 0.35,
    "spore_print": 0.03,
    "koh_reaction": 0.0,
}
# How often a trait is read that stands in no list here, so that a new one is in some finds too.
READ_BY_EFFORT = {"eye": 0.4, "lens": 0.25, "ruler": 0.25, "knife": 0.1, "drop": 0.05, "microscope": 0.03}
ONE_STATE = frozenset(
    {"underside", "habit", "substrate_state", "host", "rot", "zonation", "flexibility", "life_span"}
)
NO_CAP = frozenset({"resupinate"})
MICROSCOPE = ("spore_length", "spore_width")


def readings_of(
    reference: Reference,
    taxon: str,
    rng: Random,
    *,
    state: str,
    age: str,
    host_group: str,
    wood: str,
    read: Mapping[str, float] | None = None,
) -> dict[str, ReadingEntry]:
    """What a member might read on a specimen of that taxon: `host_group` and `wood` are as found, the rest is drawn.

    `read` says how often which trait is read; without it `chances` does.
    """
    made: dict[str, ReadingEntry] = {}
    if read is None:
        read = chances(reference.vocabulary)
    order = ["habit", "underside", *(code for code in read if code not in ("habit", "underside"))]
    for code in order:
        trait = reference.vocabulary.traits[code]
        if rng.random() > read.get(code, 0.0) or not applies(trait, made):
            continue
        if code == "host":
            made[code] = ReadingEntry("host", states=(host_group,))
        elif code == "substrate_state":
            made[code] = ReadingEntry("substrate_state", states=(wood,))
        else:
            entry = reading_of(reference, taxon, trait, rng, state=state, age=age)
            if entry is not None:
                made[code] = entry
    _keep_in_proportion(made)
    if "rot" in made and rng.random() < 0.15:
        made["rot"] = ReadingEntry("rot", looked="cannot say")
    return made


def chances(vocabulary: Vocabulary) -> dict[str, float]:
    """How often each trait is read on a find; the microscope's two sizes and the month come from elsewhere."""
    others = [
        trait
        for trait in vocabulary.traits.values()
        if trait.kind != "months" and trait.code not in READ and trait.code not in MICROSCOPE
    ]
    return {code: chance for code, chance in READ.items() if chance} | {
        trait.code: READ_BY_EFFORT[trait.effort] for trait in others
    }


def applies(trait: Trait, made: Mapping[str, ReadingEntry]) -> bool:
    """Whether the trait can be read on what has been read so far; a form would not ask for it else."""
    habit = made.get("habit")
    capless = habit is not None and set(habit.states) <= NO_CAP
    for other, states in (trait.applies_when or {}).items():
        if other == "habit" and capless:
            return False
        if other != "habit" and other in made and not set(made[other].states) & set(states):
            return False
        if other == "underside" and other not in made:
            return False
    return True


def reading_of(
    reference: Reference, taxon: str, trait: Trait, rng: Random, *, state: str, age: str
) -> ReadingEntry | None:
    """One trait read, or None where no source documents it for that condition."""
    rows = reference.ranges_for(taxon, trait.code)
    judging = tuple(row for row in compile_rows(trait, rows, state, age).yes if not row.doubtful)
    if trait.kind == "states":
        return _states(trait, judging, rng)
    return _number(trait, judging, rng)


def _states(trait: Trait, rows: tuple[DocumentedRange, ...], rng: Random) -> ReadingEntry | None:
    said = Counter(code for row in rows for code in sorted(row.states))
    if not said:
        return None
    codes = sorted(said)
    first = rng.choices(codes, [said[code] ** 3 for code in codes])[0]
    chosen = {first}
    if trait.code not in ONE_STATE and len(codes) > 1 and rng.random() < 0.3:
        together = Counter(
            code for row in rows if first in row.states for code in sorted(row.states) if code != first
        )
        if together:
            chosen.add(max(sorted(together), key=together.__getitem__))
    return ReadingEntry(trait.code, states=tuple(sorted(chosen)))


def _number(trait: Trait, rows: tuple[DocumentedRange, ...], rng: Random) -> ReadingEntry | None:
    both = [
        (row.lowest, row.highest)
        for row in rows
        if row.lowest is not None and row.highest is not None and row.highest > row.lowest
    ]
    if not both:
        return None
    resolution, mean = _resolution(trait, rng), trait.compared == "mean"
    low, high = min(low for low, _ in both), max(high for _, high in both)
    # Where most sources agree: of a few random points the one that lies in most of their ranges.
    points = [rng.uniform(low, high) for _ in range(24)]
    middle = max(points, key=lambda point: sum(a + resolution <= point <= b - resolution for a, b in both))
    around = [(a, b) for a, b in both if a <= middle <= b] or [(low, high)]
    least, most = max(a for a, _ in around), min(b for _, b in around)
    count = rng.choice((3, 3, 4, 5)) if mean else rng.choice((1, 1, 2, 3, 3))
    spread = (most - least) * (0.12 if mean else 0.3)
    raw = [
        min(most - resolution, max(least + resolution, middle + rng.uniform(-spread, spread)))
        for _ in range(count)
    ]
    # A large cap is read to 5 mm (practice of the trade).
    step = 5.0 if trait.unit == "mm" and middle > 100 and resolution >= 1 else resolution
    values = tuple(max(step, round(round(value / step) * step, 2)) for value in raw)
    if mean and count > 3 and rng.random() < 0.5:
        return ReadingEntry(
            trait.code,
            low=min(values),
            high=max(values),
            n=count,
            unit=trait.unit or "",
            resolution=step,
            typed=f"{number_text(min(values))}-{number_text(max(values))} n={count}",
        )
    typed = " ".join(number_text(value) for value in values)
    return ReadingEntry(trait.code, values=values, unit=trait.unit or "", resolution=step, typed=typed)


def _resolution(trait: Trait, rng: Random) -> float:
    if trait.unit == "1/mm":
        return rng.choice((0.5, 0.2))  # counted along 2 mm or 5 mm
    if trait.unit == "um":
        return rng.choice((0.5, 0.2))
    if trait.code in ("cap_thickness", "tube_depth", "context_thickness"):
        return 0.5
    return 1.0


def _keep_in_proportion(made: dict[str, ReadingEntry]) -> None:
    """A bracket reaches less far from the wood than it is wide: a longer one is left unmeasured."""
    width, length, thick = (made.get(code) for code in ("cap_width", "cap_length", "cap_thickness"))
    if width and length and max(length.values) > 0.9 * max(width.values):
        del made["cap_length"]
    if width and thick and max(thick.values) > 0.6 * max(width.values):
        del made["cap_thickness"]


def mean_of(entry: ReadingEntry | None) -> float | None:
    """The mean of a count, or the middle of its two ends."""
    if entry is None or entry.looked != "read":
        return None
    if entry.values:
        return sum(entry.values) / len(entry.values)
    if entry.low is not None and entry.high is not None:
        return (entry.low + entry.high) / 2
    return None
