"""A Darwin Core archive written as a stream. Pure.

Use: `begin()`, then `add(...)` per find and `pieces()` now and then, then `finish()`. What comes out is to be sent on
as it comes. Memory stays the same: the core goes straight out, the other tables wait packed in temporary files.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime

from ledger.exchange import terms as known
from ledger.exchange.eml import About, eml_xml
from ledger.exchange.lines import name_line, occurrence_line
from ledger.exchange.media import PhotoOut, RelationOut, photo_row, relation_row
from ledger.exchange.meta import EML, META, meta_xml
from ledger.exchange.names_out import NameOut
from ledger.exchange.occurrence import FindOut
from ledger.exchange.tables import LINE_END, CsvLines, TablePlan
from ledger.exchange.zip_stream import ZipStream


class ArchiveWriter:
    """`plans` from `tables.plans`; `about` goes into eml.xml. `rows` counts what was written, by table."""

    def __init__(self, plans: Sequence[TablePlan], about: About, made_at: datetime) -> None:
        self.plans, self.about, self.made_at = plans, about, made_at
        self.zip = ZipStream(made_at)
        self.lines = {plan.table: CsvLines() for plan in plans}
        self.files = {plan.table: plan.file for plan in plans}

    @property
    def rows(self) -> dict[str, int]:
        return {table: lines.rows for table, lines in self.lines.items()}

    def begin(self) -> Iterator[bytes]:
        yield self.zip.whole(META, meta_xml(self.plans))
        yield self.zip.whole(EML, eml_xml(self.about, self.made_at.date()))
        for plan in self.plans:
            self.lines[plan.table].header(plan.header)
        yield self.zip.begin(self.files[known.OCCURRENCE])

    def add_find(self, find: FindOut, country_code: str = "") -> None:
        self.lines[known.OCCURRENCE].add_line(occurrence_line(find, country_code) + LINE_END)

    def add_measurements(self, lines: Sequence[str]) -> None:
        """Rows of MeasurementOrFact, written as lines already: there are ten times as many as finds."""
        self.lines[known.MEASUREMENT].add_lines(lines)

    def add_names(self, find_id: str, names: Sequence[NameOut]) -> None:
        for place, name in enumerate(names, 1):
            self.lines[known.IDENTIFICATION].add_line(name_line(find_id, place, name))

    def add_photo(self, find_id: str, photo: PhotoOut) -> None:
        self.lines[known.MEDIA].add(photo_row(find_id, photo))

    def add_relation(self, find_id: str, relation: RelationOut) -> None:
        self.lines[known.RELATION].add(relation_row(find_id, relation))

    def pieces(self) -> bytes:
        """Pack what was added since, and give what is to be sent now."""
        for table, lines in self.lines.items():
            if table != known.OCCURRENCE and (data := lines.taken()):
                self.zip.beside(self.files[table], data)
        return self.zip.live(self.lines[known.OCCURRENCE].taken())

    def finish(self) -> Iterator[bytes]:
        """The rest; files that were kept apart (photographs) may be put in between by `zip.whole` before `end`."""
        yield self.pieces()
        yield self.zip.close_live()
        yield from self.zip.follow()

    def end(self) -> bytes:
        return self.zip.end()
