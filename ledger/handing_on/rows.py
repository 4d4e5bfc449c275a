"""Rows of finds, readings and names, some hundred at a time, with as little made of them as can be.

A million finds have ten million readings: a model instance of each, or an UUID of each key, would take longer than all
the rest.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, time
from functools import cached_property, lru_cache
from itertools import groupby, islice
from operator import itemgetter
from typing import Any, NamedTuple
from uuid import UUID

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import QuerySet, TextField
from django.db.models.functions import Cast

from ledger.bench.models import Determination
from ledger.finds.models import Find, Reading
from ledger.forays.models import Foray
from ledger.taxa.models import Taxon

AT_ONCE = 1000
_SOME = 250  # rows
Rows = Mapping[str, Sequence[tuple[Any, ...]]]
_NO_MORE: tuple[str | None, Iterable[tuple[Any, ...]]] = (None, ())


class _Columns(NamedTuple):
    key: str
    finder_id: int
    logged_by_id: int
    found_by: str
    accession_number: str
    collecting_code: str
    collecting_serial: int
    collecting_suffix: str
    split_key: str | None
    kept: bool
    keyed_at_table: bool
    found_day: str | None
    found_time: str | None
    utc_offset_minutes: int | None
    latitude: float | None
    longitude: float | None
    datum: str
    uncertainty_m: float | None
    position_source: str
    position_typed: str
    altitude_m: float | None
    facing_deg: float | None
    locality: str
    region: str
    country: str
    own_blur_step_deg: float | None
    named_blur_step_deg: float | None
    place_opened: bool
    host: str
    host_known_by: str
    trees_nearby: str
    wood_position: str
    height_m: float | None
    diameter_cm: float | None
    decay_scale: str
    decay_class: str
    permission: str
    fruit_bodies: int | None
    smell: str
    note: str
    specimen_state: str
    specimen_age: str
    status: str
    changed: str
    foray_id: int | None
    current_determination_id: int | None


# Columns that are read as the text the database holds, by their own names: nothing need be made of most of them.
_AS_TEXT = {
    "key": "pk",
    "split_key": "split_from_id",
    "found_day": "found_on",
    "found_time": "found_at_time",
    "changed": "changed_at",
}


@lru_cache(maxsize=20_000)
def _day(text: str) -> date:
    return date.fromisoformat(text)


class FindRow(_Columns):
    """What is read of a find, for its door and for whoever tells more of it: named as the columns of Find, and as its
    rules.

    `key` is its identity as the database writes it, and days and times are its text; `foray` and
    `current_determination` are set by `Chunk`.
    """

    foray: "ForayRow | None" = None
    current_determination: "Opinion | None" = None
    # The rules are the model's own.
    collecting_number = Find.collecting_number

    @cached_property
    def blur_step_deg(self) -> float | None:
        rule: Any = Find.blur_step_deg
        step: float | None = rule.fget(self)
        return step

    @property
    def id(self) -> str:
        """The identity as it goes out."""
        key = self.key
        return key if len(key) == 36 else f"{key[:8]}-{key[8:12]}-{key[12:16]}-{key[16:20]}-{key[20:]}"

    @cached_property
    def pk(self) -> UUID:
        return UUID(self.key)

    @property
    def split_from_id(self) -> UUID | None:
        return UUID(self.split_key) if self.split_key else None

    @property
    def found_on(self) -> date | None:
        return _day(self.found_day) if self.found_day else None

    @property
    def found_at_time(self) -> time | None:
        return time.fromisoformat(self.found_time) if self.found_time else None

    @property
    def changed_at(self) -> str:
        """In UTC, as it goes out."""
        return f"{self.changed[:10]}T{self.changed[11:19]}Z"


class ForayRow(NamedTuple):
    """A foray of many finds, its texts made once. `str` of it is what the model says."""

    name: str
    held_on: str
    leader_id: int
    permission: str
    told: str

    def __str__(self) -> str:
        return self.told


class Opinion(NamedTuple):
    """That somebody took a find for a taxon; the same for all finds, and named as in Determination. `known`: name, author,
    order and family.
    """

    taxon: Taxon
    known: tuple[str, str, str, str]


class Reader:
    """Reads chosen finds in lists of AT_ONCE, with their readings and names.

    By key it takes all rows of a stretch of keys at once, which is fast; but where few of many finds were chosen, or
    their order is that of their numbers, it asks for those of the finds by name.
    """

    def __init__(
        self, finds: QuerySet[Find], *, by_number: bool, is_narrow: bool, with_readings: bool = True
    ) -> None:
        self.finds, self.by_number, self.is_narrow = finds, by_number, is_narrow
        self.with_readings = with_readings
        # Few, and asked for with every find: a join would cost more.
        self._forays = {
            one.pk: ForayRow(one.name, one.held_on.isoformat(), one.leader_id, one.permission, str(one))
            for one in Foray.objects.all()
        }
        self._opinions = {
            taxon.pk: Opinion(taxon, (taxon.name, taxon.authority, taxon.order, taxon.family))
            for taxon in Taxon.objects.all()
        }

    def known(self, taxon: int | None) -> tuple[str, str, str, str]:
        """Name, author, order and family; of what is no known taxon nothing."""
        return self._opinions[taxon].known if taxon is not None else ("", "", "", "")

    def chunks(self) -> Iterator["Chunk"]:
        texts = {name: Cast(column, TextField()) for name, column in _AS_TEXT.items()}
        rows = self.finds.annotate(**texts).values_list(*_Columns._fields)
        if self.by_number:
            ordered = rows.order_by("collecting_code", "collecting_serial", "collecting_suffix", "pk")
            waiting = ordered.iterator(chunk_size=AT_ONCE)
            while found := [FindRow._make(row) for row in islice(waiting, AT_ONCE)]:
                yield self._chunk(found, {"find__in": [row.pk for row in found]})
            return
        last: UUID | None = None
        while True:
            beyond = rows if last is None else rows.filter(pk__gt=last)
            found = [FindRow._make(row) for row in _held(beyond.order_by("pk")[:AT_ONCE])]
            if not found:
                return
            first, last = last, found[-1].pk
            if self.is_narrow:
                yield self._chunk(found, {"find__in": [row.pk for row in found]})
            else:
                yield self._chunk(found, {"find__lte": last} | ({"find__gt": first} if first else {}))

    def _chunk(self, finds: list[FindRow], stretch: Mapping[str, Any]) -> "Chunk":
        names = _by_find(_name_rows(stretch))
        for find in finds:
            if find.foray_id is not None:
                find.foray = self._forays[find.foray_id]
            for row in names.get(find.key, ()):
                if row[1] == find.current_determination_id:
                    find.current_determination = self._opinions.get(row[2])
        readings: Rows | Along = {}
        if self.with_readings:
            rows = _reading_rows(stretch)
            readings = _by_find(rows) if self.by_number else Along(rows)
        return Chunk(finds, readings, names)


class Along:
    """Rows that come in the order of the finds, taken find by find: ten thousand need not be held at once.

    The last find of a chunk takes the last of them, so nothing of the database is open while a piece is being sent.
    """

    def __init__(self, rows: Iterable[tuple[Any, ...]]) -> None:
        self._finds = groupby(rows, itemgetter(0))
        self._key, self._rows = next(self._finds, _NO_MORE)

    def get(self, key: str, nothing: Sequence[tuple[Any, ...]] = ()) -> Sequence[tuple[Any, ...]]:
        """Those of the find; keys must be asked for as they rise. Rows of finds that are not asked for are passed over."""
        while self._key is not None and self._key < key:
            self._key, self._rows = next(self._finds, _NO_MORE)
        if self._key != key:
            return nothing
        found = list(self._rows)
        self._key, self._rows = next(self._finds, _NO_MORE)
        return found


class Chunk(NamedTuple):
    """Finds with their rows by `FindRow.key`.

    A reading: key of the find, trait, key of its reader, time, then what it saw; they are asked for once, in the order of
    the finds. A name: key of the find, its own key, that of its taxon, then what was said; the earliest first.
    """

    finds: list[FindRow]
    readings: "Rows | Along"
    names: Rows


def _by_find(rows: Iterable[tuple[Any, ...]]) -> Rows:
    """Rows that stand together by find."""
    return {key: list(of_find) for key, of_find in groupby(rows, itemgetter(0))}


def _held(rows: "QuerySet[Any, Any]") -> Iterator[tuple[Any, ...]]:
    """The rows as the database gives them: nothing of them needs Django to make anything of it."""
    try:
        query = rows.query.sql_with_params()
    except EmptyResultSet:
        return
    with connection.cursor() as cursor:
        cursor.execute(*query)
        while some := cursor.fetchmany(_SOME):
            yield from some


def _reading_rows(stretch: Mapping[str, Any]) -> Iterator[tuple[Any, ...]]:
    """Readings in force. Lists and times come as the text that the database holds."""
    rows = (
        Reading.objects.filter(ended_at__isnull=True, **stretch)
        .order_by("find_id")
        .annotate(
            of=Cast("find_id", TextField()),
            at=Cast("read_at", TextField()),
            list_of_values=Cast("values", TextField()),
            list_of_states=Cast("states", TextField()),
        )
    )
    return _held(
        rows.values_list(
            *("of", "trait", "read_by_id", "at", "looked", "list_of_values", "low", "high", "n", "unit"),
            *("resolution", "typed", "list_of_states", "state", "age"),
        )
    )


def _name_rows(stretch: Mapping[str, Any]) -> Iterator[tuple[Any, ...]]:
    rows = (
        Determination.objects.filter(**stretch)
        .order_by("find_id", "made_at", "id")
        .annotate(of=Cast("find_id", TextField()), on=Cast("determined_on", TextField()))
    )
    return _held(
        rows.values_list(
            *("of", "pk", "taxon_id", "name_typed", "vernacular_typed", "determiner_id", "determiner_name"),
            *("on", "basis", "note"),
        )
    )
