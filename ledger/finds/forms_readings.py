"""The readings part of the log form, driven by the vocabulary: one row of boxes or chips per trait.

Fields of a trait are named `r-<trait>-<part>`: states, looked, values (repeated), line, unit, instrument, state, age.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from django.http import QueryDict

from ledger.finds.entries import ReadingEntry
from ledger.finds.models import Reading
from ledger.traits.instruments import INSTRUMENTS, UNITS, Instrument, instrument_of, resolution_of
from ledger.traits.readings import AGES, SPECIMEN_STATES
from ledger.traits.strip import UNIT_WORDS
from ledger.traits.typed import Measure, TypedError, parse_measure
from ledger.traits.units import number_text, with_unit
from ledger.traits.vocabulary import Trait, Vocabulary
from ledger.words import later, say

BOXES = 3
MOST_BOXES = 200  # as many spores as are kept together, ledger/spores/typed.py
_MOST_TYPED = 200  # letters that a reading keeps of what stood in the boxes
# Beside what is read. Neither ticked and nothing read: not looked, which is a third thing.
LOOKED = (("cannot say", later("cannot say")), ("absent", later("absent")))


@dataclass(slots=True)
class TraitRow:
    """One trait as the form shows it: what was typed, what was made of it, and what was wrong with it."""

    trait: Trait
    values: list[str] = field(default_factory=list)
    line: str = ""
    unit: str = ""
    instrument: str = ""
    looked: str = ""
    states: frozenset[str] = frozenset()
    state: str = ""
    age: str = ""
    error: str = ""
    ways: tuple[str, ...] = ()
    converted: str = ""
    entry: ReadingEntry | None = None

    @property
    def name(self) -> str:
        return f"r-{self.trait.code}"

    @property
    def is_number(self) -> bool:
        return self.trait.kind == "number"

    @property
    def is_filled(self) -> bool:
        """Whether something is read here. What is chosen from states has no boxes to type into."""
        return bool((self.line or any(self.values)) if self.is_number else self.states)

    @property
    def boxes(self) -> list[str]:
        return self.values + [""] * max(0, BOXES - len(self.values))

    @property
    def unit_word(self) -> str:
        return say(self._unit_word)

    @property
    def _unit_word(self) -> str:
        return next((word for code, word in self.units if code == self.unit), self.units[0][1])

    @property
    def unit_short(self) -> str:
        """The unit as it stands in an empty box."""
        return self._unit_word.replace("per ", "/")

    @property
    def units(self) -> Sequence[tuple[str, str]]:
        own = self.trait.unit or ""
        return UNITS.get(own, ((own, UNIT_WORDS.get(own, own)),))

    @property
    def instruments(self) -> Sequence[Instrument]:
        return INSTRUMENTS.get(self.trait.unit or "", ())

    @property
    def customary(self) -> str:
        return with_unit(number_text(self.trait.resolution or 0), self.trait.unit)

    @property
    def looked_choices(self) -> Sequence[tuple[str, str]]:
        """What may be said instead of a reading. A stored "absent" stays in sight whatever the trait is."""
        means = self.trait.absent_means or self.trait.can_be_absent or "absent" in self.looked
        return LOOKED if means else LOOKED[:1]

    @property
    def has_more(self) -> bool:
        """Whether the folded part of a number holds anything, so that it is shown open."""
        own = self.trait.unit or ""
        return bool(self.line or self.instrument or (self.unit and self.unit != own))

    @property
    def is_of_another_time(self) -> bool:
        """Whether the specimen had another condition for this reading than for the others."""
        return bool(self.state or self.age)


class ReadingsForm:
    """All traits of the vocabulary but the season, which comes from the date of the find."""

    def __init__(
        self,
        vocabulary: Vocabulary,
        data: QueryDict | None = None,
        readings: Sequence[Reading] = (),
    ) -> None:
        traits = [trait for trait in vocabulary.traits.values() if trait.kind != "months"]
        if data is not None:
            self.rows = {trait.code: _typed_row(trait, data) for trait in traits}
            for row in self.rows.values():
                _read(row)
        else:
            stored = {reading.trait: reading for reading in readings}
            self.rows = {trait.code: _stored_row(trait, stored.get(trait.code)) for trait in traits}

    @property
    def errors(self) -> dict[str, str]:
        return {code: row.error for code, row in self.rows.items() if row.error}

    def is_valid(self) -> bool:
        return not self.errors

    @property
    def entries(self) -> tuple[ReadingEntry, ...]:
        """What was read, trait by trait; rows with an error or with nothing in them give none."""
        return tuple(row.entry for row in self.rows.values() if row.entry is not None)

    def __iter__(self) -> Iterator[TraitRow]:
        return iter(self.rows.values())


def _typed_row(trait: Trait, data: QueryDict) -> TraitRow:
    name = f"r-{trait.code}"
    values = [text.strip()[:60] for text in data.getlist(f"{name}-values")[:MOST_BOXES]]
    while values and not values[-1]:
        values.pop()
    return TraitRow(
        trait,
        values=values,
        line=data.get(f"{name}-line", "").strip()[:200],
        unit=data.get(f"{name}-unit", ""),
        instrument=data.get(f"{name}-instrument", ""),
        looked=" and ".join(data.getlist(f"{name}-looked")),
        states=frozenset(data.getlist(f"{name}-states")),
        state=data.get(f"{name}-state", ""),
        age=data.get(f"{name}-age", ""),
    )


def _stored_row(trait: Trait, reading: Reading | None) -> TraitRow:
    row = TraitRow(trait, unit=trait.unit or "")
    if reading is None:
        return row
    # In full, not rounded for the eye: what is shown here comes back when the form is saved.
    row.values = [f"{value:.10g}" for value in reading.values]
    if reading.low is not None or reading.high is not None:
        ends = [f"{end:.10g}" for end in (reading.low, reading.high) if end is not None]
        row.line = "-".join(ends) + (f" n={reading.n}" if reading.n else "")
    row.instrument = instrument_of(trait.unit or "", reading.resolution)
    row.entry = ReadingEntry(
        trait=trait.code,
        looked=reading.looked,
        values=tuple(reading.values),
        low=reading.low,
        high=reading.high,
        n=reading.n,
        unit=reading.unit,
        resolution=reading.resolution,
        states=tuple(reading.states),
        state=reading.state,
        age=reading.age,
    )
    row.looked = reading.looked if reading.looked in ("cannot say", "absent") else ""
    row.states = frozenset(reading.states)
    row.state, row.age = reading.state, reading.age
    return row


def _read(row: TraitRow) -> None:
    """Make the entry of a typed row, or say what is wrong with it. What was typed stays in the row."""
    label = say(row.trait.label)
    if row.looked == "cannot say and absent":
        row.error = say(
            "{label}: “cannot say” and “absent” are both chosen. Both were kept here. Take one back.",
            label=label,
        )
        return
    known = row.looked in ("", *dict(LOOKED)) and row.states <= row.trait.state_codes
    if not known or row.state not in ("", *SPECIMEN_STATES) or row.age not in ("", *AGES):
        row.error = say(
            "{label}: the form sent a choice that does not exist. The rest was kept. Choose again.",
            label=label,
        )
        return
    if row.looked and row.is_filled:
        row.error = say(
            "{label}: something is entered, and “{looked}” is chosen as well. Both were kept here. Take "
            "one of them back.",
            label=label,
            looked=say(row.looked),
        )
        return
    try:
        row.entry = _entry(row) if row.is_filled or row.looked else None
    except TypedError as problem:
        row.error = say(
            "{label}: {problem}. It was kept as typed; correct it here.", label=label, problem=problem
        )
        row.ways = problem.readings


def _entry(row: TraitRow) -> ReadingEntry:
    shared = {"trait": row.trait.code, "state": row.state, "age": row.age}
    if row.looked:
        return ReadingEntry(looked=row.looked, **shared)
    if not row.is_number:
        return ReadingEntry(states=tuple(sorted(row.states)), **shared)
    own = row.trait.unit or ""
    unit = row.unit or own
    given = [text for text in row.values if text]
    if given and row.line:
        raise TypedError(say("both the boxes and the line below are filled; empty one of them"))
    measures = [_measure(text, unit, own) for text in (given or [row.line])]
    shared |= {
        "unit": own,
        "resolution": resolution_of(own, row.instrument),
        "typed": (" | ".join(given or [row.line]) + ("" if unit == own else f" {unit}"))[:_MOST_TYPED],
    }
    _tell_conversion(row, measures, unit, own, given or [row.line])
    if len(measures) == 1 and measures[0].low is not None:
        bounds = measures[0].bounds(row.trait.compared)
        assert bounds is not None
        return ReadingEntry(low=_exact(bounds[0]), high=_exact(bounds[1]), n=measures[0].n, **shared)
    if any(measure.low is not None for measure in measures):
        raise TypedError(say("a range stands in one of several boxes; put it alone, into the line below"))
    values = tuple(_exact(value) for measure in measures for value in measure.values)
    return ReadingEntry(values=values, **shared)


def _measure(text: str, unit: str, own: str) -> Measure:
    """Read one box. A unit typed into the box itself wins over the one chosen beside it."""
    return parse_measure(text if unit == own else _with_chosen_unit(text, unit), own)


def _with_chosen_unit(text: str, unit: str) -> str:
    """`4-5 n=3` in a row of inches is `4-5 in n=3`, which is how the unit is read."""
    text = text.lower()
    numbers, mark, count = text.partition("n")
    if any(sign.isalpha() or sign == '"' for sign in text.replace(mark, "", 1)):
        return text
    return f"{numbers.strip()} {unit} {mark}{count}".strip()


def _exact(value: float) -> float:
    """Free of the last bits that a conversion leaves: 1.5 inch are 38.1 mm, not 38.099999999999994."""
    return float(f"{value:.10g}")


def _tell_conversion(
    row: TraitRow, measures: Sequence[Measure], unit: str, own: str, typed: Sequence[str]
) -> None:
    """Say openly what another unit was turned into."""
    if all(measure.written_unit is None for measure in measures):
        return
    told = []
    for text, measure in zip(typed, measures, strict=True):
        said = (
            ", ".join(number_text(value) for value in measure.values)
            if measure.values
            else f"{number_text(measure.low or 0)}–{number_text(measure.high or 0)}"
        )
        shown = text if unit == own else _with_chosen_unit(text, unit)
        told.append(f"{shown} = {with_unit(said, own)}")
    row.converted = "; ".join(told)
