"""The export that somebody can read in thirty years without this program: tables, photographs by number, register book.

Two kinds. What is given away tells places and people as every other export does. `whole` is for the club's own safe
and its next keeper: everything as it is held, originals too; it is made by the command alone, on the machine itself,
and says so in its README and in the name of its folder.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import QuerySet

from ledger.bench.models import Flag, Question
from ledger.club.models import LICENCES
from ledger.exchange import plain
from ledger.exchange.plain import PlainTable
from ledger.exchange.tables import CsvLines, cells_of, line_of
from ledger.exchange.zip_stream import ZipStream
from ledger.finds.models import Change, Find, Photo
from ledger.forays.models import Foray
from ledger.handing_on import readable_tables as tables
from ledger.handing_on.gather import Gathered, Gatherer
from ledger.handing_on.pictures import copied
from ledger.handing_on.providers import providers
from ledger.handing_on.shown import chosen_words
from ledger.photos.errors import PhotoRefused

if TYPE_CHECKING:
    from ledger.handing_on.streams import Made

LONG_SIDE_PX = 4096
PHOTOS = "photos"
_AT_ONCE = 100
_PIECE = 500


def readable(
    gatherer: Gatherer,
    now: datetime,
    made: "Made",
    finds: QuerySet[Find] | None = None,
    *,
    whole: bool = False,
) -> Iterator[bytes]:
    """The zip, in one pass over the finds."""
    with closing(ZipStream(now)) as zipped:
        yield from _Readable(gatherer, now, made, zipped, whole=whole).pieces(finds)


class _Readable:
    def __init__(
        self, gatherer: Gatherer, now: datetime, made: "Made", zipped: ZipStream, *, whole: bool
    ) -> None:
        self.gatherer, self.now, self.made, self.zip, self.whole = gatherer, now, made, zipped, whole
        self.plans = tables.planned(whole=whole, notes=gatherer.choices.notes)
        self.lines = {table.file: CsvLines() for table in self.plans}
        self.told: list[PlainTable] = list(self.plans)
        self.others: dict[str, str] = {}
        self._photos: list[tuple[str, object]] = []

    def pieces(self, finds: QuerySet[Find] | None) -> Iterator[bytes]:
        for table in self.plans:
            self.lines[table.file].header([column.name for column in table.columns])
        yield self.zip.begin(tables.FINDS)
        for one in self.gatherer.gathered(finds):
            self._add(one)
            if self.made.one_more():
                yield self._taken()
        self.made.rows = {file: lines.rows for file, lines in self.lines.items()}
        yield self._taken()
        yield self.zip.close_live()
        yield from self.zip.follow()
        yield from self._further()
        yield from self._pictures()
        for provider in providers():
            for path, what, data in provider.files(self.gatherer.choices):
                self.others[path] = what
                yield self.zip.whole(path, data)
        yield from self._about()

    def _add(self, one: Gathered) -> None:
        notes = self.gatherer.choices.notes
        self.lines[tables.FINDS].add(tables.find_cells(one, whole=self.whole, notes=notes))
        rows = [line_of(tables.reading_cells(one, cells)) for cells in cells_of(one.readings)]
        self.lines[tables.READINGS].add_lines(rows)
        for place, name in enumerate(one.names, 1):
            is_current = one.find.name is not None and place == one.find.name_place
            self.lines[tables.NAMES].add(tables.name_cells(one, name, is_current=is_current, notes=notes))
        for relation in one.relations:
            self.lines[tables.RELATIONS].add(
                [relation.of, relation.how, relation.to, relation.on, relation.remarks]
            )
        for number, photo in enumerate(one.photos, 1):
            path = (
                f"{PHOTOS}/{tables.photo_name(one, photo, number)}.{photo.format if self.whole else 'jpeg'}"
            )
            self._photos.append((path, photo.pk))
            by = self.gatherer.taken_by(photo, one)
            self.lines[tables.PHOTOS].add(tables.photo_cells(one, photo, path, by))

    def _taken(self) -> bytes:
        for file, lines in self.lines.items():
            if file != tables.FINDS and (data := lines.taken()):
                self.zip.beside(file, data)
        return self.zip.live(self.lines[tables.FINDS].taken())

    def _further(self) -> Iterator[bytes]:
        """Tables that are no find's own: of the vouchers, and of the whole record its history."""
        further: list[PlainTable] = []
        if self.whole:
            further += _whole_tables()
        for provider in providers():
            further += provider.tables(self.gatherer.choices, whole=self.whole)
        for table in further:
            self.told.append(table)
            lines = self.lines[table.file] = CsvLines()
            lines.header([column.name for column in table.columns])
            yield self.zip.begin(table.file)
            for number, cells in enumerate(table.rows, 1):
                lines.add(list(cells))
                if not number % _PIECE:
                    yield self.zip.live(lines.taken())
            yield self.zip.live(lines.taken())
            yield self.zip.close_live()

    def _pictures(self) -> Iterator[bytes]:
        if self._photos:
            self.others[f"{PHOTOS}/"] = (
                "photographs by the number of their find, as they came"
                if self.whole
                else f"photographs by the number of their find: copies without metadata, {LONG_SIDE_PX} pixels at most"
            )
        for start in range(0, len(self._photos), _AT_ONCE):
            some = self._photos[start : start + _AT_ONCE]
            rows = Photo.objects.in_bulk([key for _, key in some])
            for path, key in some:
                photo = rows[key]
                try:
                    data = _original(photo) if self.whole else copied(photo, LONG_SIDE_PX)
                except (PhotoRefused, OSError):
                    self.made.left_out.append(path)
                    continue
                yield self.zip.whole(path, data, store=True)

    def _about(self) -> Iterator[bytes]:
        lines = CsvLines()
        lines.header(["file", "column", "meaning", "words"])
        for row in plain.dictionary_rows(self.told):
            lines.add(row)
        yield self.zip.whole(plain.DICTIONARY, lines.taken())
        club = self.gatherer.club
        others = {plain.DICTIONARY: "what each column of each table means", **self.others}
        text = plain.readme_text(
            club=club.name,
            country=club.country,
            chosen=chosen_words(self.gatherer.choices),
            made_on=self.now.date(),
            tables=self.told,
            counts={file: lines.rows for file, lines in self.lines.items()},
            others=others,
            paragraphs=self._paragraphs(),
            licence="" if self.whole else f"{dict(LICENCES).get(club.licence, '')} {club.licence}".strip(),
        )
        yield self.zip.whole(plain.README, text.encode())
        yield self.zip.whole(plain.SUMS, plain.sums_text(self.zip.sums).encode())
        yield self.zip.end()

    def _paragraphs(self) -> list[str]:
        if self.whole:
            told = [
                "THIS IS THE WHOLE RECORD, FOR THE CLUB'S OWN SAFE. It holds the exact places of sensitive "
                "finds, the full names "
                "of people whatever they agreed to, and photographs with their metadata. Do not give it away or "
                "put it where "
                "others can read it.",
            ]
        else:
            told = [
                "Places of sensitive finds are told as the cell of a fixed net that they lie in: place_cell_deg "
                "is its side, the "
                "numbers are its middle. Members are named as they agreed, else by their collecting code.",
            ]
        if self.made.left_out:
            told.append(f"Photographs that could not be read: {', '.join(self.made.left_out[:50])}.")
        return told


def _original(photo: Photo) -> bytes:
    with photo.original.open() as file:
        data: bytes = file.read()
    return data


def _whole_tables() -> Iterable[PlainTable]:
    return [
        tables.forays_table(_forays()),
        tables.changes_table(_changes()),
        tables.flags_table(_flags()),
        tables.questions_table(_questions()),
    ]


def _forays() -> Iterator[Sequence[str]]:
    rows = Foray.objects.select_related("leader").order_by("held_on", "pk")
    for row in rows.iterator(chunk_size=_PIECE):
        yield [row.name, row.held_on.isoformat(), row.place, row.leader.full_name, row.permission, row.note]


def _changes() -> Iterator[Sequence[str]]:
    rows = Change.objects.order_by("pk").values_list(
        "find_id", "changed_at", "by__full_name", "field", "old", "new"
    )
    for find, at, by, field, old, new in rows.iterator(chunk_size=_PIECE):
        yield [str(find), at.isoformat(timespec="seconds"), by, field, old, new]


def _flags() -> Iterator[Sequence[str]]:
    rows = Flag.objects.order_by("pk").values_list(
        *(
            "find_id",
            "code",
            "severity",
            "subject",
            "sentence",
            "raised_at",
            "settled_at",
            "settled_by__full_name",
        ),
        *("settle_reason", "withdrawn_at"),
    )
    for find, code, severity, subject, sentence, raised, settled, by, reason, withdrawn in rows.iterator(
        chunk_size=_PIECE
    ):
        moments = [
            moment.isoformat(timespec="seconds") if moment else "" for moment in (raised, settled, withdrawn)
        ]
        yield [
            str(find),
            code,
            severity,
            subject,
            sentence,
            moments[0],
            moments[1],
            by or "",
            reason,
            moments[2],
        ]


def _questions() -> Iterator[Sequence[str]]:
    rows = Question.objects.order_by("pk").values_list(
        "find_id",
        "asked_by__full_name",
        "asked_at",
        "text",
        "answered_by__full_name",
        "answered_at",
        "answer",
    )
    for find, by, at, text, answerer, answered, answer in rows.iterator(chunk_size=_PIECE):
        moments = [moment.isoformat(timespec="seconds") if moment else "" for moment in (at, answered)]
        yield [str(find), by, moments[0], text, answerer or "", moments[1], answer]
