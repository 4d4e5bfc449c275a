"""Each kind of file as a stream of bytes, made while it is sent.

    made = Made()
    for piece in stream(choices, now=now, made=made): ...

`made` is told how many finds are done, so that progress can be said beside the stream.
"""

import gc
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime

from django.db.models import QuerySet

from ledger.club.models import LICENCES, Club
from ledger.exchange import geojson
from ledger.exchange.eml import About
from ledger.exchange.formulas import guarded_row
from ledger.exchange.lines import occurrence_line
from ledger.exchange.occurrence import occurrence_row
from ledger.exchange.tables import CONSTANT_COLUMNS, OCCURRENCE_COLUMNS, CsvLines, line_of, plans
from ledger.exchange.writer import ArchiveWriter
from ledger.finds.models import Find
from ledger.handing_on import readable
from ledger.handing_on.choices import Choices
from ledger.handing_on.gather import Gatherer
from ledger.handing_on.pictures import PackedPhotos
from ledger.handing_on.rows import AT_ONCE
from ledger.words import each_in_english, say


@dataclass(slots=True)
class Made:
    """How far a stream has come: finds done, rows by table, photos that could not be copied by the number of their
    find.
    """

    done: int = 0
    rows: dict[str, int] = field(default_factory=dict)
    left_out: list[str] = field(default_factory=list)

    def one_more(self) -> bool:
        """Another find is done; whether so many are that what was made of them should be sent."""
        self.done += 1
        return not self.done % AT_ONCE


def stream(
    choices: Choices, *, now: datetime, made: Made | None = None, finds: QuerySet[Find] | None = None
) -> Iterator[bytes]:
    """The whole file, piece by piece. `finds`: these instead of those the choices mean, for a list that is shown."""
    makers = {"archive": archive, "csv": flat_csv, "geojson": map_layer, "readable": readable.readable}
    with _settled_memory():
        yield from each_in_english(
            makers[choices.kind](Gatherer(choices), now.astimezone(UTC), made or Made(), finds)
        )


@contextmanager
def _settled_memory() -> Iterator[None]:
    """Python looks now and then for what is in use no longer, through all there is. What is there before the first of a
    million finds it need not look at again and again; until the end, when all is as it was.
    """
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()


def archive(
    gatherer: Gatherer, now: datetime, made: Made, finds: QuerySet[Find] | None = None
) -> Iterator[bytes]:
    """A Darwin Core archive; photographs, where they go along, stand in `media/` behind the tables."""
    choices = gatherer.choices
    planned = plans(constants_of(gatherer.club, choices), with_media=choices.photos)
    writer = ArchiveWriter(planned, about_of(gatherer.club, choices), now)
    photos = PackedPhotos(writer.zip) if choices.photos else None
    with closing(writer.zip):
        yield from writer.begin()
        for one in gatherer.gathered(finds, by_number=False):
            writer.add_find(one.find, gatherer.country_code(one.find))
            writer.add_measurements(one.readings)
            writer.add_names(one.find.id, one.names)
            for relation in one.relations:
                writer.add_relation(one.find.id, relation)
            if photos is not None:
                for photo in one.photos:
                    copy = photos.copied(photo, gatherer.taken_by(photo, one), one.taken_at(photo))
                    if copy is None:
                        made.left_out.append(one.find.number)
                    else:
                        writer.add_photo(one.find.id, copy)
            if made.one_more():
                yield writer.pieces()
        yield from writer.finish()
        made.rows = writer.rows
        if photos is not None:
            yield from photos.follow()
        yield writer.end()


def flat_csv(
    gatherer: Gatherer, now: datetime, made: Made, finds: QuerySet[Find] | None = None
) -> Iterator[bytes]:
    """One table of all finds in columns of simple Darwin Core, what is the same in all rows behind."""
    constants = constants_of(gatherer.club, gatherer.choices)
    told = line_of(guarded_row([constants.get(column, "") for column in CONSTANT_COLUMNS]))
    lines = CsvLines()
    lines.header(_names([*OCCURRENCE_COLUMNS, *CONSTANT_COLUMNS]))
    for one in gatherer.gathered(finds, with_readings=False):
        lines.add_line(f"{occurrence_line(one.find, gatherer.country_code(one.find))},{told}")
        if made.one_more():
            yield lines.taken()
    made.rows = {"occurrence": lines.rows}
    yield lines.taken()


def map_layer(
    gatherer: Gatherer, now: datetime, made: Made, finds: QuerySet[Find] | None = None
) -> Iterator[bytes]:
    """A feature for each find; see `exchange.geojson`."""
    constants = constants_of(gatherer.club, gatherer.choices)
    shared = {column.partition(":")[2]: value for column, value in constants.items()}
    names = _names(OCCURRENCE_COLUMNS)
    yield geojson.BEGIN
    waiting: list[str] = []
    for one in gatherer.gathered(finds, with_readings=False):
        cells = occurrence_row(one.find, gatherer.country_code(one.find))
        between = ",\n" if made.done else ""
        waiting.append(
            between + geojson.feature(one.find.place, dict(zip(names, cells, strict=True)) | shared)
        )
        if made.one_more():
            yield "".join(waiting).encode()
            waiting = []
    made.rows = {"occurrence": made.done}
    yield "".join(waiting).encode() + geojson.END


def _names(columns: list[str] | tuple[str, ...]) -> list[str]:
    return [column.partition(":")[2] for column in columns]


def constants_of(club: Club, choices: Choices) -> Mapping[str, str]:
    """What is the same in every row."""
    return {
        "dwc:occurrenceStatus": choices.status_word,
        "dcterms:license": club.licence,
        "dcterms:rightsHolder": club.heading,
        "dwc:institutionID": club.public_id,
        "dwc:institutionCode": club.heading,
        "dwc:datasetName": f"Finds of {club.name}",
        "dwc:kingdom": "Fungi",
        "dwc:nomenclaturalCode": "ICN",
    }


def about_of(club: Club, choices: Choices) -> About:
    words = dict(LICENCES).get(club.licence, "")
    return About(
        identity=f"finds-of-{club.accession_prefix.lower()}",
        title=f"Finds of {club.name}",
        institution=club.heading,
        institution_id=club.public_id,
        licence=club.licence,
        licence_words=words,
        country=club.country,
        paragraphs=told_of(club, choices),
    )


def told_of(club: Club, choices: Choices) -> list[str]:
    """What was done to the records before they went out, in sentences; the same text in eml.xml and on the page."""
    told: list[str] = [
        say(
            "Records of fungi on wood, found by members of {club}. Each was checked trait by trait against published "
            "descriptions; a name says what its finder or a curator thought, and on what grounds.",
            club=club.name,
        ),
        say(
            "Places of sensitive finds are told as the cell of a fixed net that they lie in; dataGeneralizations says "
            "how wide it is, informationWithheld what is kept back. This is so whoever made the file."
        ),
        say(
            "Members are named as they agreed: by name, or by their collecting code alone. Guests and determiners "
            "outside the club are named where they agreed, and else not."
        ),
        say(
            "An apostrophe in front of = + - @, of a tab or of a line break at the start of a cell is not part of the "
            "value: it keeps spreadsheets from taking the text for a formula."
        ),
        say(
            "Traits and what else was noted of a find are rows of MeasurementOrFact. measurementAccuracy is the "
            "resolution of the instrument, in the unit of the value."
        ),
    ]
    if not choices.notes:
        told.append(say("Notes, which members write freely, are left out."))
    return told
