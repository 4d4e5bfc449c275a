"""The register book of a year as a PDF: every number with its gathering and name, and all that followed. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path

from ledger.days import day_text
from ledger.paper.papers import PAPERS
from ledger.paper.text import PaperError, Pieces, clean
from ledger.paper.typesetting import Typeset, refuse_unknown_signs, require_zone, template

_TEMPLATE = Path(__file__).resolve().parent / "book.typ"


@dataclass(frozen=True, slots=True)
class BookRow:
    """One number. Dates are written out; a text that is not known is empty. `followed` are later entries as sentences."""

    number: str
    accessioned_on: str
    accessioned_by: str
    collecting_number: str
    found_by: str
    found_on: str
    place: str
    name: Pieces = ()
    is_out: bool = False
    followed: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class LaterLine:
    """An entry of this year about a number of an earlier one."""

    number: str
    said: str


@dataclass(frozen=True, slots=True)
class Book:
    """The book of one year. `entry` and `digest` are the last of the whole register when it was printed."""

    year: int
    institution: str
    rows: Sequence[BookRow]
    entry: int
    digest: str
    earlier: Sequence[LaterLine] = field(default=())


def print_book(book: Book, paper: str, *, made_at: datetime) -> bytes:
    """Return the PDF on `paper`, a code of PAPERS. The same book printed at the same moment gives the same bytes.

    PaperError for an unknown paper, a moment without its zone, or a sign that the print fonts do not have: the text
    names the number it stands under.
    """
    require_zone(made_at)
    if paper not in PAPERS:
        raise PaperError(
            f"There is no paper {paper!r}; nothing was printed. Choose one of {', '.join(PAPERS)}."
        )
    refuse_unknown_signs((f"under {number}", clean(text)) for number, text in _texts(book))
    sheet = PAPERS[paper]
    data = {
        "title": f"Register of accessions {book.year}",
        "institution": clean(book.institution),
        "paper": {"width": sheet.width_mm, "height": sheet.height_mm},
        "made": day_text(made_at.date()),
        "rows": [_cleaned(row) for row in book.rows],
        "earlier": [{"number": line.number, "said": clean(line.said)} for line in book.earlier],
        "count": _counted(len(book.rows), "number"),
        "out": sum(row.is_out for row in book.rows),
        "entry": book.entry,
        "digest": [book.digest[at : at + 8] for at in range(0, len(book.digest), 8)],
    }
    return Typeset(template(_TEMPLATE), "book.typ", data).pdf(made_at)


def _cleaned(row: BookRow) -> dict[str, object]:
    texts = {name: clean(value) if isinstance(value, str) else value for name, value in asdict(row).items()}
    return texts | {"followed": [clean(said) for said in row.followed]}


def _counted(count: int, word: str) -> str:
    return f"{count:,} {word}{'' if count == 1 else 's'}".replace(",", " ")


def _texts(book: Book) -> Iterator[tuple[str, str]]:
    yield "the name of the club", book.institution
    for row in book.rows:
        for text in (
            row.accessioned_by,
            row.found_by,
            row.place,
            *row.followed,
            *(text for text, _ in row.name),
        ):
            yield row.number, text
    for line in book.earlier:
        yield line.number, line.said
