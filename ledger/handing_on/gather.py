"""Finds to plain values for whatever leaves the club, a thousand at a time; memory stays the same however many.

The place comes by its door (`finds.access.place_leaving`), the same whoever asks: a role decides who may make such a
file, and nothing about what stands in it. People come as they agreed (`named.py`).
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import QuerySet

from ledger.club.queries import the_club
from ledger.exchange.formulas import guarded_row
from ledger.exchange.lines import cell, fact_lines, seen_cells, trait_cells
from ledger.exchange.media import SHARE_OF, RelationOut
from ledger.exchange.names_out import NameOut
from ledger.exchange.occurrence import FindOut, PlaceOut
from ledger.exchange.people import PeopleOut
from ledger.exchange.tables import LINE_END, MEASUREMENT_COLUMNS, line_of
from ledger.finds import access
from ledger.finds.models import Find, Photo, Status
from ledger.handing_on.choices import Choices
from ledger.handing_on.named import people_leaving
from ledger.handing_on.providers import FindFacts, facts_of
from ledger.handing_on.rows import FindRow, Reader
from ledger.taxa.queries import vocabulary

_NO_FACTS = FindFacts()


class Gathered(NamedTuple):
    """One find as it leaves, with its rows.

    `readings`: lines of MeasurementOrFact, with the facts, as they go out (`exchange.tables.line_of`).
    `photos`: those that may leave. `relations`: to other records.
    """

    row: FindRow
    find: FindOut
    readings: Sequence[str]
    names: Sequence[NameOut]
    photos: Sequence[Photo]
    relations: Sequence[RelationOut]

    @property
    def tells_time(self) -> bool:
        """Whether the time of day may be told: of a place that is kept back, other finds of that walk would tell where."""
        return self.find.place.step_deg is None

    def taken_at(self, photo: Photo) -> str:
        """When a photo of it was taken, by the wall clock there; empty where that is not known or not told."""
        moment = photo.moment if self.tells_time else None
        return moment.replace(tzinfo=None).isoformat() if moment else ""


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
        # Ten times as many readings as finds go out: what is the same in many of their lines is made once.
        self._readers = {key: cell(person.name) for key, person in self.people.members.items()}
        self._heads = {code: trait_cells(code, trait.label) for code, trait in vocabulary().traits.items()}

    def country_code(self, find: FindOut) -> str:
        """The club's own, where the find is of its country; of others the ledger has the name alone."""
        is_here = bool(find.place.country) and find.place.country == self.club.country
        return self.club.country_code if is_here else ""

    def gathered(
        self, finds: QuerySet[Find] | None = None, *, by_number: bool = True, with_readings: bool = True
    ) -> Iterator[Gathered]:
        """All chosen finds in the order of their numbers, or of their keys, which is faster. They are read some hundred at
        a time and made one by one, so that Python's search for what is in use no longer has little to look at.
        """
        reader = Reader(
            self.choices.finds() if finds is None else finds,
            by_number=by_number,
            is_narrow=finds is not None or self.choices.is_narrow,
            with_readings=with_readings,
        )
        for chunk in reader.chunks():
            photos = self._photos(chunk.finds) if self.choices.photos else {}
            # By the identity as it goes out, which every find has at hand.
            facts = {str(key): told for key, told in facts_of(chunk.finds, self.choices).items()}
            readings, names = chunk.readings, chunk.names
            for find in chunk.finds:
                row, key = find.key, find.id
                shown = photos.get(find.pk, ()) if photos else ()
                told = facts.get(key, _NO_FACTS)
                yield self._gathered(
                    reader, find, key, readings.get(row, ()), names.get(row, ()), shown, told
                )

    def _gathered(
        self,
        reader: Reader,
        find: FindRow,
        key: str,
        reading_rows: Sequence[tuple[Any, ...]],
        name_rows: Sequence[tuple[Any, ...]],
        photos: Sequence[Photo],
        facts: FindFacts,
    ) -> Gathered:
        place = self.place_of(find, in_words=False)
        by, by_id = self.people.named(find.finder_id, find.found_by)
        names = [self._name(reader, row, tells=place.exact) for row in name_rows]
        name, name_place = None, 0
        for number, row in enumerate(name_rows):
            if row[1] == find.current_determination_id:
                name, name_place = names[number], number + 1
                break
        out = FindOut(
            key,
            find.collecting_number,
            find.kept,
            find.changed_at,
            find.found_on,
            # As for `tells_time`.
            find.found_at_time if place.exact else None,
            find.utc_offset_minutes if place.exact else None,
            by,
            by_id,
            find.fruit_bodies,
            find.host,
            _place_out(place, find, notes=self.choices.notes),
            name,
            name_place,
            find.status == Status.SETTLED,
            facts.terms,
        )
        rows: list[str] = []
        if reader.with_readings:
            rows = self._readings(find, key, by, reading_rows, facts.read_by)
            rows += fact_lines(key, _facts(find, place))
            rows += [line_of(guarded_row(_strange(key, row))) for row in facts.measurements]
        relations = list(facts.relations)
        if find.split_from_id is not None:
            relations.insert(0, RelationOut(f"{key}:share", key, SHARE_OF, str(find.split_from_id)))
        return Gathered(find, out, rows, names, photos, relations)

    def _readings(
        self, find: FindRow, key: str, by: str, rows: Sequence[tuple[Any, ...]], told: Mapping[str, str]
    ) -> list[str]:
        """Lines of MeasurementOrFact by trait. A reading by whoever logged the find is told as its finder's."""
        own, own_name = (find.finder_id, find.logged_by_id), cell(by)
        heads, readers = self._heads, self._readers
        made = []
        for _, trait, reader, at, *saw in sorted(rows):
            seen, remarks = seen_cells(*saw)
            name = own_name if reader in own else readers[reader]
            if told and trait in told:
                name = cell(told[trait])
            head = heads.get(trait) or trait_cells(trait, trait)
            made.append(f"{key},{key}{head}{seen}{name},{at[:10]},,{remarks}{LINE_END}")
        return made

    def _name(self, reader: Reader, row: tuple[Any, ...], *, tells: bool) -> NameOut:
        _, _, taxon, typed, vernacular, determiner, other, on, basis, note = row
        by, by_id = self.people.named(determiner, other)
        return NameOut(
            typed,
            vernacular,
            *reader.known(taxon),
            by,
            by_id,
            on or "",
            # Both are written freely: where the place is kept back, they may tell it.
            basis if tells else "",
            note if tells and self.choices.notes else "",
        )

    def taken_by(self, photo: Photo, of: Gathered) -> str:
        """Whoever sent a photo; where that is who logged the find, its finder."""
        own = photo.uploaded_by_id in (of.row.finder_id, of.row.logged_by_id)
        return of.find.by if own else self.people.named(photo.uploaded_by_id).name

    def _photos(self, finds: Sequence[FindRow]) -> dict[UUID, list[Photo]]:
        views = {find.pk: access.photos_leaving(find) for find in finds}
        found: dict[UUID, list[Photo]] = {}
        rows = Photo.objects.filter(find__in=list(views)).order_by("find_id", "uploaded_at", "id")
        for photo in rows:
            allowed = views[photo.find_id]
            if allowed is None or photo.view in allowed or self.place_of is access.place_held:
                found.setdefault(photo.find_id, []).append(photo)
        return found


def _place_out(place: access.Place, find: FindRow, *, notes: bool) -> PlaceOut:
    """What the door gave, as columns. Of the foray the door tells whether it may be told; its parts come from the row."""
    foray = find.foray if place.foray else None
    return PlaceOut(
        place.latitude,
        place.longitude,
        place.datum,
        place.uncertainty_m,
        place.altitude_m,
        place.typed,
        place.source,
        place.locality,
        place.region,
        place.country,
        foray.name if foray else "",
        foray.held_on if foray else "",
        place.note if notes else "",
        None if place.exact else place.step_deg,
    )


def _facts(find: FindRow, place: access.Place) -> dict[str, object]:
    """What goes into MeasurementOrFact beside the readings."""
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
        "keyed_at_table": bool(find.keyed_at_table),
        "utc_offset_minutes": find.utc_offset_minutes if find.found_at_time is None else None,
    }


def _strange(key: str, row: Mapping[str, str]) -> list[str]:
    return [key, *(row.get(column, "") for column in MEASUREMENT_COLUMNS)]
