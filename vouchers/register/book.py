"""The register book of a year as a PDF: every number with its gathering and name, and all that followed. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path

from ledger.days import day_text
from ledger.paper.papers import PAPERS
from ledger.paper.text import PaperError, Pieces, clean
from ledger.paper.typesetting import Typeset, refuse_unknown_signs, require_zone, template
from ledger.words import say, say_n

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


def print_book(book: Book, paper: str, *, made_at: datetime, language: str = "en") -> bytes:
    """Return the PDF on `paper`, a code of PAPERS. The same book printed at the same moment gives the same bytes.

    `language` is the one that is active, as the PDF tells it to whoever has it read aloud: `en`, `de`.

    PaperError for an unknown paper, a moment without its zone, or a sign that the print fonts do not have: the text
    names the number it stands under.
    """
    require_zone(made_at)
    if paper not in PAPERS:
        raise PaperError(
            say(
                "There is no paper {paper}; nothing was printed. Choose one of {papers}.",
                paper=repr(paper),
                papers=", ".join(PAPERS),
            )
        )
    refuse_unknown_signs((say("under {number}", number=number), clean(text)) for number, text in _texts(book))
    sheet = PAPERS[paper]
    data = {
        "language": language.partition("-")[0],
        "words": _words(),
        "title": say("Register of accessions {year}", year=book.year),
        "institution": clean(book.institution),
        "paper": {"width": sheet.width_mm, "height": sheet.height_mm},
        "rows": [_cleaned(row) for row in book.rows],
        "earlier": [{"number": line.number, "said": clean(line.said)} for line in book.earlier],
        "close": _close(book, made_at),
        "entry": book.entry,
        "digest": [book.digest[at : at + 8] for at in range(0, len(book.digest), 8)],
    }
    return Typeset(template(_TEMPLATE), "book.typ", data).pdf(made_at)


def _cleaned(row: BookRow) -> dict[str, object]:
    texts = {name: clean(value) if isinstance(value, str) else value for name, value in asdict(row).items()}
    return texts | {"followed": [clean(said) for said in row.followed]}


def _words() -> dict[str, str]:
    """What the template says of itself; it puts in what stands in braces."""
    return {
        "page": say("page {page} of {pages}"),
        "none": say("No number of this year was given."),
        "out": say("out of the collection"),
        "not named": say("not named"),
        "number": say("Number"),
        "accessioned": say("Accessioned"),
        "gathering": say("Gathering"),
        "followed": say("Name, and what followed"),
        "earlier": say("Entered this year on numbers of earlier years"),
        "entry": say("Entry"),
        "close": say("Close of the book"),
        "last": say("Last entry of the whole register: {entry}, with the digest"),
        "proof": say(
            "Kept on paper, this number and digest prove that no entry before them was altered or made anew: give both to "
            "{command}."
        ),
        "compared": say("Compared with the packets by {who} on {day}"),
    }


def _close(book: Book, made_at: datetime) -> str:
    return say_n(
        "{count} number, of which {out} out of the collection. Printed {day}.",
        "{count} numbers, of which {out} out of the collection. Printed {day}.",
        len(book.rows),
        count=f"{len(book.rows):,}".replace(",", " "),
        out=sum(row.is_out for row in book.rows),
        day=day_text(made_at.date()),
    )


def _texts(book: Book) -> Iterator[tuple[str, str]]:
    yield say("the name of the club"), book.institution
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
