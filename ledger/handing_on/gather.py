"""Finds to plain values for whatever leaves the club, some hundred at a time; memory stays the same however many.

The place comes by its door (`finds.access.place_leaving`), the same whoever asks: a role decides who may make such a
file, and nothing about what stands in it. People come as they agreed (`named.py`).
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import QuerySet, TextField
from django.db.models.functions import Cast, Substr

from ledger.bench.models import Determination
from ledger.club.queries import the_club
from ledger.exchange import measurements
from ledger.exchange.media import SHARE_OF, RelationOut
from ledger.exchange.names_out import NameOut
from ledger.exchange.occurrence import FindOut, PlaceOut
from ledger.exchange.people import PeopleOut
from ledger.exchange.tables import MEASUREMENT_COLUMNS
from ledger.finds import access
from ledger.finds.models import Find, Photo, Reading, Status
from ledger.forays.models import Foray
from ledger.handing_on.choices import Choices
from ledger.handing_on.named import people_leaving
from ledger.handing_on.providers import FindFacts, facts_of
from ledger.taxa.models import Taxon
from ledger.taxa.queries import vocabulary

AT_ONCE = 1000
_NO_FACTS = FindFacts()
# What of a find is read; a whole row would be half as fast again.
_FIELDS = (
    *(
        "id",
        "finder_id",
        "logged_by_id",
        "found_by",
        "collecting_code",
        "collecting_serial",
        "collecting_suffix",
    ),
    *(
        "split_from_id",
        "kept",
        "keyed_at_table",
        "found_on",
        "found_at_time",
        "utc_offset_minutes",
        "latitude",
    ),
    *("longitude", "datum", "uncertainty_m", "position_source", "position_typed", "altitude_m", "facing_deg"),
    *("locality", "region", "country", "own_blur_step_deg", "named_blur_step_deg", "place_opened", "host"),
    *(
        "host_known_by",
        "trees_nearby",
        "wood_position",
        "height_m",
        "diameter_cm",
        "decay_scale",
        "decay_class",
    ),
    *(
        "permission",
        "fruit_bodies",
        "smell",
        "note",
        "specimen_state",
        "specimen_age",
        "status",
        "changed_at",
    ),
    *("foray_id", "current_determination_id"),
)


@dataclass(frozen=True, slots=True)
class Gathered:
    """One find as it leaves, with its rows. `row`: the find itself; `readings` are rows of MeasurementOrFact, with the
    facts; `photos` those that may leave; `relations` to other records."""

    row: Find
    find: FindOut
    place: access.Place
    readings: Sequence[list[str]]
    names: Sequence[NameOut]
    photos: Sequence[Photo]
    relations: Sequence[RelationOut]


class Gatherer:
    """`place_of` is `access.place_leaving`, or `access.place_held` for the club's own safe."""

    def __init__(
        self,
        choices: Choices,
        *,
        place_of: Callable[..., access.Place] = access.place_leaving,
        people: PeopleOut | None = None,
    ) -> None:
        self.choices, self.place_of = choices, place_of
        self.club = the_club()
        self.people = people or people_leaving()
        # Few, and asked for with every find.
        self._forays = Foray.objects.in_bulk()
        self._opinions = {taxon.pk: Determination(taxon=taxon) for taxon in Taxon.objects.all()}
        self._labels = {code: trait.label for code, trait in vocabulary().traits.items()}

    def country_code(self, find: FindOut) -> str:
        """The club's own, where the find is of its country; of others the ledger has the name alone."""
        is_here = bool(find.place.country) and find.place.country == self.club.country
        return self.club.country_code if is_here else ""

    def gathered(self, finds: QuerySet[Find] | None = None) -> Iterator[list[Gathered]]:
        """All chosen finds in the order of their numbers, in lists of AT_ONCE."""
        rows = (self.choices.finds() if finds is None else finds).order_by(
            "collecting_code", "collecting_serial", "collecting_suffix", "id"
        )
        waiting = rows.only(*_FIELDS).iterator(chunk_size=AT_ONCE)
        while chunk := list(islice(waiting, AT_ONCE)):
            yield self._chunk(chunk)

    def _chunk(self, finds: list[Find]) -> list[Gathered]:
        ids = [find.pk for find in finds]
        key_of = _key_as_text()
        names = _by_find(_name_rows(ids))
        current = [self._know(find, names.get(key_of(find.pk), ())) for find in finds]
        readings = _by_find(_reading_rows(ids))
        photos = self._photos(finds) if self.choices.photos else {}
        facts = facts_of(finds, self.choices)
        return [
            self._gathered(
                find,
                place,
                readings.get(key_of(find.pk), ()),
                names.get(key_of(find.pk), ()),
                photos.get(find.pk, ()),
                facts.get(find.pk, _NO_FACTS),
            )
            for find, place in zip(finds, current, strict=True)
        ]

    def _know(self, find: Find, name_rows: Sequence[tuple[Any, ...]]) -> int | None:
        """Let a find know its foray and the taxon it is named by, which its door asks for; a join a find would be slower.

        Returns which of its names holds now.
        """
        if find.foray_id is not None:
            find.foray = self._forays[find.foray_id]
        key = find.current_determination_id
        for place, row in enumerate(name_rows):
            if row[1] == key:
                find.current_determination = self._opinions.get(row[2])
                return place
        return None

    def _gathered(
        self,
        find: Find,
        current: int | None,
        reading_rows: Sequence[tuple[Any, ...]],
        name_rows: Sequence[tuple[Any, ...]],
        photos: Sequence[Photo],
        facts: FindFacts,
    ) -> Gathered:
        found = self.place_of(find, in_words=False)
        key = str(find.pk)
        by = self.people.named(find.finder_id, find.found_by)
        place = _place_out(found, find, notes=self.choices.notes)
        names = [self._name(row, tells=found.exact) for row in name_rows]
        out = FindOut(
            id=key,
            number=find.collecting_number,
            kept=find.kept,
            changed_at=find.changed_at,
            found_on=find.found_on,
            found_at=find.found_at_time,
            offset_minutes=find.utc_offset_minutes,
            by=by.name,
            by_id=by.public_id,
            fruit_bodies=find.fruit_bodies,
            host=find.host,
            place=place,
            name=None if current is None else names[current],
            name_place=0 if current is None else current + 1,
            settled=find.status == Status.SETTLED,
            extra=facts.terms,
        )
        own = (find.finder_id, find.logged_by_id)
        rows = [
            self._reading(key, row, by.name if row[1] in own else "", facts.read_by)
            for row in sorted(reading_rows, key=_trait_of)
        ]
        rows += measurements.fact_rows(key, _facts(find, found))
        rows += [_strange(key, row) for row in facts.measurements]
        relations = list(facts.relations)
        if find.split_from_id is not None:
            relations.insert(0, RelationOut(f"{key}:share", key, SHARE_OF, str(find.split_from_id)))
        return Gathered(find, out, found, rows, names, photos, relations)

    def taken_by(self, photo: Photo, of: Gathered) -> str:
        """Whoever sent a photo; where that is who logged the find, its finder."""
        own = photo.uploaded_by_id in (of.row.finder_id, of.row.logged_by_id)
        return of.find.by if own else self.people.named(photo.uploaded_by_id).name

    def _reading(self, key: str, row: tuple[Any, ...], own: str, told: Mapping[str, str]) -> list[str]:
        _, reader, trait, read_on, *seen = row
        by = told.get(trait) or own or self.people.named(reader).name
        *body, remarks = _seen(*seen)
        return [key, f"{key}:{trait}", self._labels.get(trait, trait), trait, *body, by, read_on, "", remarks]

    def _name(self, row: tuple[Any, ...], *, tells: bool) -> NameOut:
        _, _, key, typed, vernacular, determiner, other, on, basis, note = row
        by = self.people.named(determiner, other)
        taxon = self._opinions[key].taxon if key is not None else None
        name, authority = (taxon.name, taxon.authority) if taxon else ("", "")
        order, family = (taxon.order, taxon.family) if taxon else ("", "")
        return NameOut(
            typed=typed,
            vernacular=vernacular,
            taxon=name,
            authority=authority,
            order=order,
            family=family,
            by=by.name,
            by_id=by.public_id,
            on=on.isoformat() if on else "",
            # Both are written freely: where the place is kept back, they may tell it.
            basis=basis if tells else "",
            note=note if tells and self.choices.notes else "",
        )

    def _photos(self, finds: Sequence[Find]) -> dict[UUID, list[Photo]]:
        views = {find.pk: access.photos_leaving(find) for find in finds}
        found: dict[UUID, list[Photo]] = {}
        rows = Photo.objects.filter(find__in=list(views)).order_by("find_id", "uploaded_at", "id")
        for photo in rows:
            allowed = views[photo.find_id]
            if allowed is None or photo.view in allowed or self.place_of is access.place_held:
                found.setdefault(photo.find_id, []).append(photo)
        return found


def _place_out(place: access.Place, find: Find, *, notes: bool) -> PlaceOut:
    """What the door gave, as columns. Of the foray the door tells whether it may be told; its parts come from the row."""
    foray = find.foray if place.foray else None
    return PlaceOut(
        latitude=place.latitude,
        longitude=place.longitude,
        datum=place.datum,
        uncertainty_m=place.uncertainty_m,
        altitude_m=place.altitude_m,
        typed=place.typed,
        source=place.source,
        locality=place.locality,
        region=place.region,
        country=place.country,
        foray=foray.name if foray else "",
        foray_on=foray.held_on.isoformat() if foray else "",
        note=place.note if notes else "",
        step_deg=None if place.exact else place.step_deg,
    )


def _facts(find: Find, place: access.Place) -> dict[str, object]:
    """What goes into MeasurementOrFact beside the readings. The smell is written freely: a place may stand in it."""
    return {
        "host_known_by": find.host_known_by,
        "trees_nearby": place.trees_nearby,
        "wood_position": find.wood_position,
        "height_m": find.height_m,
        "diameter_cm": find.diameter_cm,
        "decay_scale": find.decay_scale if find.decay_class else "",
        "decay_class": find.decay_class,
        "facing_deg": find.facing_deg,
        "smell": find.smell,
        "specimen_state": find.specimen_state,
        "specimen_age": find.specimen_age,
        "keyed_at_table": find.keyed_at_table,
        "utc_offset_minutes": find.utc_offset_minutes if find.found_at_time is None else None,
    }


# The key of a find as the database writes it: to make an UUID of every row takes longer than to read it.
_OF = Cast("find_id", TextField())


def _key_as_text() -> Callable[[UUID], str]:
    return str if connection.features.has_native_uuid_field else _hex


def _hex(key: UUID) -> str:
    return key.hex


def _trait_of(row: tuple[Any, ...]) -> str:
    trait: str = row[2]
    return trait


def _by_find(rows: Iterator[tuple[Any, ...]]) -> dict[str, list[tuple[Any, ...]]]:
    found: dict[str, list[tuple[Any, ...]]] = {}
    for row in rows:
        found.setdefault(row[0], []).append(row)
    return found


def _reading_rows(ids: Sequence[UUID]) -> Iterator[tuple[Any, ...]]:
    """Readings in force: find, reader, trait, ISO day, then what `_seen` wants. JSON and times come as text: that is
    faster.
    """
    rows = (
        Reading.objects.filter(find__in=ids, ended_at__isnull=True)
        .order_by()
        .annotate(
            of=_OF,
            on=Substr(Cast("read_at", TextField()), 1, 10),
            list_of_values=Cast("values", TextField()),
            list_of_states=Cast("states", TextField()),
        )
    )
    return iter(
        rows.values_list(
            *("of", "read_by_id", "trait", "on", "looked", "list_of_values", "low", "high", "n", "unit"),
            *("resolution", "typed", "list_of_states", "state", "age"),
        )
    )


@lru_cache(maxsize=20_000)
def _seen(
    looked: str,
    values: str,
    low: float | None,
    high: float | None,
    n: int | None,
    unit: str,
    resolution: float | None,
    typed: str,
    states: str,
    state: str,
    age: str,
) -> tuple[str, str, str, str]:
    """Value, accuracy, unit and remarks. People read the same few things again and again, so answers are kept."""
    body = measurements.body(
        looked, json.loads(values), low, high, n, unit, resolution, typed, json.loads(states), state, age
    )
    return (*body, measurements.remarks_of(looked, n, low, high, state, age, typed))


def _name_rows(ids: Sequence[UUID]) -> Iterator[tuple[Any, ...]]:
    """Every determination, the earliest first: find, key, then as `Gatherer._name` takes them."""
    rows = Determination.objects.filter(find__in=ids).order_by("made_at", "id").annotate(of=_OF)
    return iter(
        rows.values_list(
            *("of", "pk", "taxon_id", "name_typed", "vernacular_typed", "determiner_id", "determiner_name"),
            *("determined_on", "basis", "note"),
        )
    )


def _strange(key: str, row: Mapping[str, str]) -> list[str]:
    return [key, *(row.get(column, "") for column in MEASUREMENT_COLUMNS)]
