"""What the actions are given: the readings, the name and the record of a find, as plain values.

The log form, by a browser or by a phone's outbox, and the demo club hand over these; none of them touches a row.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from ledger.taxa.models import Taxon
from ledger.traits.units import number_text, with_unit
from ledger.traits.vocabulary import Trait
from ledger.words import later, lowered, say, together

# The fields of a find that a person fills in, and what each is called on screens and in the history.
RECORD_FIELDS: Mapping[str, str] = {
    "found_by": later("Found by"),
    "keyed_at_table": later("Keyed at the foray table"),
    "kept": later("Material kept"),
    "found_on": later("Found on"),
    "found_at_time": later("Time"),
    "utc_offset_minutes": later("Offset from UTC, minutes"),
    "latitude": later("Latitude"),
    "longitude": later("Longitude"),
    "datum": later("Datum"),
    "uncertainty_m": later("Error of the place, m"),
    "position_source": later("Place taken from"),
    "position_typed": later("Place as typed"),
    "altitude_m": later("Altitude, m"),
    "facing_deg": later("Cap faces, degrees"),
    "locality": later("Place in words"),
    "region": later("Region"),
    "country": later("Country"),
    "own_blur_step_deg": later("Place told others to"),
    "host": later("Host"),
    "host_known_by": later("Host known by"),
    "trees_nearby": later("Trees nearby"),
    "wood_position": later("Where on the wood"),
    "height_m": later("Height on the tree, m"),
    "diameter_cm": later("Diameter of the wood, cm"),
    "decay_scale": later("Scale of decay"),
    "decay_class": later("Decay class"),
    "foray": later("Foray"),
    "permission": later("Permission"),
    "fruit_bodies": later("Fruit bodies"),
    "smell": later("Smell"),
    "note": later("Note"),
    "specimen_state": later("Specimen"),
    "specimen_age": later("Age"),
}

# Whoever may not see the exact place of a sensitive find sees none of these, nor their history.
PLACE_FIELDS = frozenset(
    {
        "latitude",
        "longitude",
        "datum",
        "uncertainty_m",
        "position_source",
        "position_typed",
        "altitude_m",
        "locality",
        "foray",
        "permission",
        "trees_nearby",
        "note",
    }
)


# More values than these are no line that anybody reads.
MOST_TOLD = 12


@dataclass(frozen=True, slots=True)
class ReadingEntry:
    """One trait as a person entered it, numbers in the trait's unit. `typed` is what stood in the boxes."""

    trait: str
    looked: str = "read"
    values: tuple[float, ...] = ()
    low: float | None = None
    high: float | None = None
    n: int | None = None
    unit: str = ""
    resolution: float | None = None
    typed: str = ""
    states: tuple[str, ...] = ()
    state: str = ""
    age: str = ""


def reading_text(reading: Any, trait: Trait | None) -> str:
    """A reading, stored or just entered, in the reader's words: `58, 61 mm`, `4–5 per mm (n = 3)`, `pores`, `cannot say`.

    Many values, as of spores, are told by their ends and mean. `trait` knows the words of its states.
    """
    if reading.looked != "read":
        return say(reading.looked)
    if reading.states:
        said = together([_state_word(code, trait) for code in sorted(reading.states)], ", ")
    elif len(reading.values) > MOST_TOLD:
        values = reading.values
        ends = f"{number_text(min(values))}–{number_text(max(values))}"
        said = say(
            "{ends}, mean {mean} (n = {n})",
            ends=with_unit(ends, reading.unit),
            mean=f"{math.fsum(values) / len(values):.2f}",
            n=len(values),
        )
    elif reading.values:
        said = with_unit(", ".join(number_text(value) for value in reading.values), reading.unit)
    else:
        ends = [number_text(end) for end in (reading.low, reading.high) if end is not None]
        said = with_unit("–".join(dict.fromkeys(ends)), reading.unit)
        said = together([said, f"(n = {reading.n})"]) if reading.n else said
    condition = [say(part) for part in (reading.state, reading.age) if part]
    return together([said, *condition], ", ") if condition else said


def _state_word(code: str, trait: Trait | None) -> str:
    label = next((state.label for state in trait.states if state.code == code), "") if trait else ""
    return lowered(label) if label else code


@dataclass(frozen=True, slots=True)
class NameGiven:
    """A name as it was given; empty `typed` means unnamed. `taxon` is the known taxon it was matched to.

    `vernacular_typed`: the English name in its place, where that was typed; `typed` is then the Latin one it stands for.
    """

    typed: str = ""
    taxon: Taxon | None = None
    qualifier: str = ""
    determiner_name: str = ""
    determined_on: date | None = None
    basis: str = ""
    note: str = ""
    vernacular_typed: str = ""


@dataclass(frozen=True, slots=True)
class NumberOnPacket:
    """A collecting number given elsewhere, with the code, serial and letter that stand on the packet."""

    code: str
    serial: int
    suffix: str = ""


@dataclass(frozen=True, slots=True)
class FindEntry:
    """A whole find as it was filled in. `record` holds values of RECORD_FIELDS; one left out keeps its default.

    Of a find that is taken in from a file: `number`, where it has one; `split_from`, the find it is a share of; `came_by`,
    for its history.
    """

    record: Mapping[str, Any]
    readings: Sequence[ReadingEntry] = ()
    name: NameGiven = field(default_factory=NameGiven)
    serial: int | None = None
    photo_views: Mapping[str, str] = field(default_factory=dict)
    number: NumberOnPacket | None = None
    split_from: UUID | None = None
    came_by: str = ""


@dataclass(frozen=True, slots=True)
class FromPhone:
    """How a find came from a phone: which one, how far its clock was ahead of the ledger's when it was sent, when by that
    clock the form was opened and the find was kept, and the photos that come after it, SHA-256 to view."""

    phone: UUID | None = None
    clock_off_s: int | None = None
    begun_at: datetime | None = None
    kept_at: datetime | None = None
    photos: Mapping[str, str] = field(default_factory=dict)
