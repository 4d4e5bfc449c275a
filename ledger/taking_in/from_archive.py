"""Finds of a Darwin Core archive, or of one flat table of its terms, as drafts. What has no box here is kept beside."""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from ledger.exchange.measurements import ReadingOut, reading_row
from ledger.exchange.media import SHARE_OF
from ledger.exchange.names_out import NameIn
from ledger.exchange.occurrence import OF_A_COARSE_PLACE
from ledger.exchange.people import NOT_NAMED
from ledger.exchange.reader import FindIn
from ledger.exchange.tables import MEASUREMENT_COLUMNS
from ledger.finds import naming
from ledger.finds.entries import FindEntry, NameGiven, NumberOnPacket, ReadingEntry
from ledger.finds.forms import BLUR_STEPS, HOST_KNOWN_BY, POSITION_SOURCES, WOOD_POSITIONS, FindForm
from ledger.finds.models import Find
from ledger.phone.numbers import MOST_SERIAL
from ledger.record.iso8601 import parse_span
from ledger.record.visible import one_line, visible
from ledger.taking_in.drafts import Draft, NameThere, WrongLine, find_id_of
from ledger.taxa.models import Taxon
from ledger.taxa.queries import vocabulary
from ledger.traits import readings as values
from ledger.traits.readings import AGES, SPECIMEN_STATES, SpecimenError
from ledger.words import say, say_n

_LINES = frozenset({"note"})
_TEXTS = (
    *("note", "host", "country", "region", "locality", "datum", "position_typed", "trees_nearby", "smell"),
    *(
        "decay_scale",
        "decay_class",
        "host_known_by",
        "wood_position",
        "specimen_state",
        "specimen_age",
        "position_source",
    ),
)
_CHOICES: Mapping[str, tuple[str, ...]] = {
    "host_known_by": HOST_KNOWN_BY,
    "wood_position": WOOD_POSITIONS,
    "specimen_state": SPECIMEN_STATES,
    "specimen_age": AGES,
    "position_source": POSITION_SOURCES,
}
_NUMBERS = ("uncertainty_m", "altitude_m", "facing_deg", "height_m", "diameter_cm", "fruit_bodies")
_BARE = ("found_on", "found_at_time", "utc_offset_minutes", "kept", "keyed_at_table")
_MOST_OFFSET = 840
_Known = dict[str, tuple[Taxon | None, str]]


def drafts_of(finds: Iterable[FindIn | WrongLine], *, named_with_leave: bool) -> Iterator[Draft | WrongLine]:
    """`named_with_leave`: whoever made the file published these names, so that they may be told again."""
    known: _Known = {}
    for one in finds:
        yield one if isinstance(one, WrongLine) else _draft(one, known, named_with_leave=named_with_leave)


def digest_of(one: FindIn) -> str:
    """Of all that the file tells of the find."""
    parts: list[Any] = [
        dict(one.row),
        one.readings,
        one.names,
        one.photos,
        one.relations,
        list(map(dict, one.strange)),
    ]
    return hashlib.sha256(
        json.dumps(parts, sort_keys=True, ensure_ascii=False, default=str).encode()
    ).hexdigest()


def _draft(one: FindIn, known: _Known, *, named_with_leave: bool) -> Draft | WrongLine:
    wrong: list[str] = []
    says: list[str] = []
    kept: dict[str, Any] = {}
    terms = dict(one.kept)
    record = _record(one.values, wrong)
    _coarse_elsewhere(one, terms, kept, says)
    _days_apart(one, terms, wrong, says)
    readings, read_on, read_by, strange = _readings(one, says)
    names = [_name(name, known, wrong) for name in one.names if name.typed]
    if names and not any(name.is_current for name in names):
        last = names[-1]
        names[-1] = NameThere(last.given, last.by, is_current=True)
    found = one.values["number"]
    number = NumberOnPacket(*found) if found and 1 <= found[1] <= MOST_SERIAL else None
    told_number = one.row.get("dwc:recordNumber", "")
    if told_number and number is None:
        terms.setdefault("dwc:otherCatalogNumbers", told_number)
        says.append(
            say(
                "“{text}” is no collecting number of this form; it is kept beside the find, which gets the next.",
                text=told_number[:40],
            )
        )
    digest = digest_of(one)
    identity = str(one.values["id"]).strip() or f"row:{digest}"
    find_id = find_id_of(identity)
    finder = one_line(str(one.values["by"]))
    if len(finder) > 120:
        wrong.append(say("{term} has more than {most} letters.", term="recordedBy", most=120))
    if len(identity) > 300:
        wrong.append(say("{term} has more than {most} letters.", term="occurrenceID", most=300))
    share_of = None
    relations = []
    for relation in one.relations:
        if relation.how == SHARE_OF and find_id_of(relation.of) == find_id:
            share_of = find_id_of(relation.to)
        else:
            relations.append(list(relation))
    if terms:
        kept["terms"] = terms
    if relations:
        kept["relations"] = relations
    if read_by:
        kept["read_by"] = read_by
    if strange:
        kept["measurements"] = strange
    step = one.values.get("step_deg")
    if step is not None:
        kept["came_coarse"] = True
        says.append(
            say("Its place came as a cell of {step} degrees; it is told as such to others.", step=f"{step:g}")
        )
    if wrong:
        return WrongLine(one.line, wrong)
    agreed = {}
    if named_with_leave:
        people = [
            (finder, str(one.values["by_id"])),
            *((one_line(name.by), name.by_id) for name in one.names),
        ]
        agreed = {who: public for who, public in people if who and who != NOT_NAMED}
    return Draft(
        line=one.line,
        id=find_id,
        identity=identity,
        digest=digest,
        entry=FindEntry(record=record, readings=readings, number=number),
        finder=finder,
        names=names,
        read_on=read_on,
        changed_at=one.values.get("changed_at"),
        foray=one.values.get("foray"),
        share_of=share_of,
        photos=one.photos,
        kept=kept,
        agreed=agreed,
        says=says,
    )


def _record(told: Mapping[str, Any], wrong: list[str]) -> dict[str, Any]:
    record: dict[str, Any] = {name: told[name] for name in _BARE if told.get(name) is not None}
    for name in _TEXTS:
        text = visible(str(told.get(name) or ""), lines=name in _LINES)
        most = 4000 if name == "note" else Find._meta.get_field(name).max_length
        if most and len(text) > most:
            wrong.append(
                say(
                    "{term} has {n} letters; {most} are the most.",
                    term=name,
                    n=f"{len(text):,}",
                    most=f"{most:,}",
                )
            )
        elif text and text not in _CHOICES.get(name, (text,)):
            wrong.append(
                say(
                    "{term} is {text}; known are {known}.",
                    term=name,
                    text=repr(text[:40]),
                    known=", ".join(_CHOICES[name]),
                )
            )
        elif text or name in ("country", "region", "datum"):
            # What the file does not tell is not told: the club's own country is none of a find from elsewhere.
            record[name] = text
    for name in _NUMBERS:
        value = told.get(name)
        if value is None:
            continue
        box = FindForm.base_fields[name]
        if not box.least <= value <= box.most:
            wrong.append(
                say(
                    "{term} is {value}; {least} to {most} can be.",
                    term=name,
                    value=f"{value:g}",
                    least=f"{box.least:g}",
                    most=f"{box.most:g}",
                )
            )
        record[name] = value
    if record.get("uncertainty_m") == 0:
        record["uncertainty_m"] = None
    offset = record.get("utc_offset_minutes")
    if offset is not None and abs(offset) > _MOST_OFFSET:
        wrong.append(say("The offset from UTC is {n} minutes, which no clock of this world has.", n=offset))
    _place(told, record, wrong)
    return record


def _place(told: Mapping[str, Any], record: dict[str, Any], wrong: list[str]) -> None:
    latitude, longitude = told.get("latitude"), told.get("longitude")
    if (latitude is None) != (longitude is None):
        wrong.append(say("Of latitude and longitude only one is there. Fill in the other, or empty both."))
    else:
        # One that is beyond the globe is flagged as when it is typed; it is not refused.
        record["latitude"], record["longitude"] = latitude, longitude
    step = told.get("step_deg")
    if step is not None:
        # The next of our own steps that is as coarse: nothing is told finer than it came.
        record["own_blur_step_deg"] = next((one for one, _ in BLUR_STEPS if one >= step), BLUR_STEPS[-1][0])


def _coarse_elsewhere(one: FindIn, terms: Mapping[str, str], kept: dict[str, Any], says: list[str]) -> None:
    """What another hand says of a place that it made coarse, with the place that it is said of."""
    told = [terms[term] for term in OF_A_COARSE_PLACE if term in terms]
    if told:
        kept["coarse_at"] = [one.values.get("latitude"), one.values.get("longitude")]
        says.append(
            say(
                "Of its place the file says: “{text}”. It is kept beside the find, and handed on.",
                text=" ".join(told)[:200],
            )
        )


def _days_apart(one: FindIn, terms: dict[str, str], wrong: list[str], says: list[str]) -> None:
    """A day that is told only in part is kept beside; what is no date at all is wrong."""
    told = one.row.get("dwc:eventDate", "").strip()
    if not told or one.values.get("found_on") is not None:
        return
    if parse_span(told) is None:
        wrong.append(
            say(
                "{term} is {text}, which is no date as ISO 8601 writes it. Write 2026-10-03.",
                term="eventDate",
                text=repr(told[:40]),
            )
        )
        return
    says.append(
        say("“{text}” is no single day; it is kept beside the find, whose day stays empty.", text=told)
    )
    for term in ("dwc:eventDate", "dwc:year", "dwc:month", "dwc:day"):
        if one.row.get(term):
            terms[term] = one.row[term]


def _readings(
    one: FindIn, says: list[str]
) -> tuple[list[ReadingEntry], dict[str, str], dict[str, str], list[dict[str, str]]]:
    """Entries, days and readers by trait, and rows that are no reading of ours."""
    traits = vocabulary().traits
    entries, on, by = [], {}, {}
    strange = [dict(row) for row in one.strange]
    for out in one.readings:
        trait = traits.get(out.trait)
        if trait is None or out.trait in on or not _is_valid(out, trait):
            row = reading_row("", out, trait.label if trait else out.trait)[1:]
            strange.append({term: cell for term, cell in zip(MEASUREMENT_COLUMNS, row, strict=True) if cell})
            continue
        entries.append(
            ReadingEntry(
                **{
                    name: getattr(out, name)
                    for name in ("trait", "looked", "low", "high", "n", "unit", "resolution")
                },
                **{name: getattr(out, name) for name in ("typed", "state", "age")},
                values=tuple(out.values),
                states=tuple(out.states),
            )
        )
        on[out.trait] = out.on
        if out.by and out.by != one.values["by"]:
            by[out.trait] = out.by
    if strange:
        says.append(
            say_n(
                "One measurement is of no trait here, or not as one is measured; kept beside the find, for handing on.",
                "{n} measurements are of no trait here, or not as one is measured; kept beside the find, for handing on.",
                len(strange),
            )
        )
    return entries, on, by, strange


def _is_valid(out: ReadingOut, trait: Any) -> bool:
    reading = values.Reading(
        trait=out.trait,
        looked=out.looked,
        values=tuple(out.values),
        low=out.low,
        high=out.high,
        n=out.n,
        unit=out.unit or None,
        resolution=out.resolution,
        states=frozenset(out.states),
        state=out.state or None,
        age=out.age or None,
    )
    try:
        values.validate(trait, reading)
    except SpecimenError:
        return False
    return len(out.typed) <= 200 and visible(out.typed) == out.typed


def _name(name: NameIn, known: _Known, wrong: list[str]) -> NameThere:
    typed = " ".join(visible(name.typed).split())
    limits = ((typed, 200), (name.vernacular, 200), (name.by, 120), (name.basis, 200), (name.note, 4000))
    if any(len(text) > most for text, most in limits):
        wrong.append(
            say("A name, its grounds or its note is longer than the box: “{name}…”.", name=typed[:40])
        )
    if typed not in known:
        # Matching takes long, and a file holds the same names again and again.
        named = naming.read(typed)
        known[typed] = (named.row, named.qualifier)
    taxon, qualifier = known[typed]
    try:
        on = date.fromisoformat(name.on[:10]) if len(name.on) >= 10 else None
    except ValueError:
        on = None
    given = NameGiven(
        typed=typed,
        vernacular_typed=visible(name.vernacular),
        taxon=taxon,
        qualifier=qualifier,
        determined_on=on,
        basis=visible(name.basis),
        note=visible(name.note, lines=True),
    )
    return NameThere(given, one_line(name.by), is_current=name.is_current)
