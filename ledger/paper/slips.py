"""Sheets of paper data slips, each with a collecting number of its own: four a sheet, to cut, for a pencil.

The code on a slip holds what it is given (the address of the number's entry); nothing else is in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from ledger.paper import glyphs
from ledger.paper.barcode import qr_svg
from ledger.paper.icons import icon_svg
from ledger.paper.papers import PAPERS, Paper
from ledger.paper.slip_rows import PICTURES_IN_A_ROW, Line, PictureRow, Row, Ticks, slip_rows
from ledger.paper.text import CAUTION, PaperError, clean
from ledger.paper.typesetting import Typeset, require_zone, template
from ledger.traits.vocabulary import Vocabulary
from ledger.words import Said, later, say, together

_TEMPLATE = Path(__file__).resolve().parent / "slip.typ"
SLIPS_A_SHEET = 4
SCALE_NOTE = later("For the eye only: printers scale. Check it against a ruler.")
FOOT = later("Tick through the pictures.")

_WIDTH_MM, _EDGE_MM = 98.0, 3.5
_BOTTOM_MM = 2.6
_INNER_MM = _WIDTH_MM - 2 * _EDGE_MM
_CODE_MM = 17.0
_HEAD_MM = 21.6
_FOOT_MM = 3.6
# Largest first. A number is read from a photo of the slip beside the specimen; the least is still legible there.
_NUMBER_PT = (30.0, 26.0, 22.0, 18.0, 15.0)
_FINDER_PT = (9.0, 8.0)
# A slip of each paper, and a line of it to write on.
_HEIGHTS_MM = {"a4": 141.0, "us-letter": 132.0}
_LINES_MM = {"a4": 6.0, "us-letter": 5.85}


@dataclass(frozen=True, slots=True, kw_only=True)
class DataSlip:
    """One slip: its collecting number (`AT 57`), its finder's full name, the club, and what its code holds."""

    number: str
    finder: str
    code: str
    institution: str = ""


class NotPrinted(NamedTuple):
    """A slip that was not printed: its number, and a sentence that says why and what to do."""

    number: str
    sentence: str


class PrintedSlips(NamedTuple):
    """The PDF (None where no slip could be printed) and the slips left out."""

    pdf: bytes | None
    refused: tuple[NotPrinted, ...]


def print_slips(
    slips: Sequence[DataSlip],
    vocabulary: Vocabulary,
    paper: str,
    *,
    made_at: datetime,
    language: str = "en",
) -> PrintedSlips:
    """Print the slips in order, four a sheet, on `paper` (a code of PAPERS).

    `language` is the one that is active, as the PDF tells it to whoever has it read aloud.

    PaperError for an unknown paper, no slip at all, a date without its zone, or a vocabulary whose rows no slip holds.
    """
    require_zone(made_at)
    if paper not in PAPERS:
        raise PaperError(no_paper(paper))
    if not slips:
        raise PaperError(say("There is no slip to print. Choose how many."))
    refused: list[NotPrinted] = []
    ready: list[dict[str, Any]] = []
    for slip in slips:
        made = _prepared(slip)
        if isinstance(made, NotPrinted):
            refused.append(made)
        else:
            ready.append(made)
    if not ready:
        return PrintedSlips(None, tuple(refused))
    run = _run(ready, slip_rows(vocabulary), PAPERS[paper]) | {"language": language.partition("-")[0]}
    return PrintedSlips(_typeset(run, PAPERS[paper], made_at), tuple(refused))


def no_paper(code: str) -> Said:
    """What a code is told that is none of PAPERS."""
    return say(
        "There is no paper {code}; nothing was printed. Choose one of {codes}.",
        code=repr(code),
        codes=", ".join(PAPERS),
    )


def code_not_printed(number: str, why: PaperError) -> Said:
    """What is told of a slip or card whose code `qr_svg` would not draw."""
    return say(
        "{number} was not printed: {why}. Shorten the ledger's address.", number=number, why=why.args[0]
    )


def places_on(paper: Paper) -> list[tuple[float, float]]:
    """Return left and top of each slip on a sheet, in millimetres."""
    height = _HEIGHTS_MM[paper.code]
    left, top = paper.width_mm / 2 - _WIDTH_MM, paper.height_mm / 2 - height
    return [(left + column * _WIDTH_MM, top + row * height) for row in (0, 1) for column in (0, 1)]


def _typeset(run: dict[str, Any], paper: Paper, made_at: datetime) -> bytes:
    """Draw once to learn what room the rows leave, and again with that room ruled for notes."""
    drawn = Typeset(template(_TEMPLATE), "slip.typ", run)
    foot = places_on(paper)[0][1] + _HEIGHTS_MM[paper.code] - _BOTTOM_MM - _FOOT_MM
    free_mm = foot - drawn.value("ends")[0]
    if free_mm < 0:
        raise PaperError(
            say(
                "The rows of a slip are {mm} mm too tall for {paper}; nothing was printed. "
                "Take a trait out of the short form.",
                mm=f"{-free_mm:.1f}",
                paper=paper.title,
            )
        )
    if notes := int(free_mm / _LINES_MM[paper.code]):
        drawn = Typeset(template(_TEMPLATE), "slip.typ", run | {"notes": notes})
    return drawn.pdf(made_at)


def _prepared(slip: DataSlip) -> dict[str, Any] | NotPrinted:
    """The slip as the template reads it, or why it cannot be printed."""
    number, finder, institution = clean(slip.number), clean(slip.finder), clean(slip.institution)
    if not number:
        return NotPrinted("", say("A slip without a number was not printed. Reserve a number for it."))
    for word, text in (
        (later("number"), number),
        (later("finder's name"), finder),
        (later("club's name"), institution),
    ):
        if unknown := glyphs.missing(text):
            signs = ", ".join(f"{glyphs.shown(sign)} (U+{ord(sign):04X})" for sign in unknown)
            return NotPrinted(
                number,
                say(
                    "{number} was not printed: its {what} holds {signs}, which the print fonts cannot draw. "
                    "Write it in other letters.",
                    number=glyphs.shown(number),
                    what=word,
                    signs=signs,
                ),
            )
    room_mm = _INNER_MM - _CODE_MM - 2
    number_pt = glyphs.first_fitting(number, _NUMBER_PT, room_mm, bold=True)
    finder_pt = glyphs.first_fitting(finder, _FINDER_PT, room_mm)
    if number_pt is None:
        return NotPrinted(
            number,
            say(
                "{number} was not printed: the number is wider than a slip. Use a shorter code.",
                number=number,
            ),
        )
    if finder_pt is None:
        return NotPrinted(
            number,
            say(
                "{number} was not printed: the finder's name is wider than {mm} mm in type of {pt} pt. "
                "Shorten the name on the finder's own page.",
                number=number,
                mm=f"{room_mm:g}",
                pt=f"{_FINDER_PT[-1]:g}",
            ),
        )
    try:
        svg = qr_svg(clean(slip.code))
    except PaperError as error:
        return NotPrinted(number, code_not_printed(number, error))
    return {
        "number": number,
        "number-pt": number_pt,
        "finder": finder,
        "finder-pt": finder_pt,
        "institution": institution,
        # A long name of the club gives way: the number says whose slip it is.
        "beside": institution
        if glyphs.first_fitting(finder + " · " + institution, (finder_pt,), room_mm)
        else "",
        "svg": svg,
        "svg-word": say("Code of {number}", number=number),
    }


def _run(ready: list[dict[str, Any]], rows: Sequence[Row], paper: Paper) -> dict[str, Any]:
    first, last = ready[0]["number"], ready[-1]["number"]
    icons = {
        picture.icon: icon_svg(picture.icon)
        for row in rows
        if isinstance(row, PictureRow)
        for trait in row.traits
        for picture in trait.pictures
    }
    return {
        "title": say("Data slips, {first} to {last}", first=first, last=last)
        if len(ready) > 1
        else say("Data slips, {number}", number=first),
        "institution": ready[0]["institution"],
        "paper": {"width": paper.width_mm, "height": paper.height_mm},
        "size": {
            "width": _WIDTH_MM,
            "height": _HEIGHTS_MM[paper.code],
            "edge": _EDGE_MM,
            "foot": _BOTTOM_MM,
            "inner": _INNER_MM,
            "code": _CODE_MM,
            "head": _HEAD_MM,
            "line": _LINES_MM[paper.code],
            "picture": 6.2,
            "scale": 70,
        },
        "pictures": PICTURES_IN_A_ROW,
        "places": places_on(paper),
        "icons": icons,
        "rows": [_row(row) for row in rows],
        "slips": ready,
        "notes": 0,
        "scale-note": SCALE_NOTE,
        "notes-word": say("Notes"),
        "foot": together((FOOT, CAUTION)),
    }


def _row(row: Row) -> dict[str, Any]:
    if isinstance(row, PictureRow):
        return {"kind": "pictures"} | asdict(row)
    alone = len(row.pieces) == 1 and isinstance(row.pieces[0], Ticks)
    return {"kind": "ticks" if alone else "line", "pieces": [_piece(piece) for piece in row.pieces]}


def _piece(piece: Any) -> dict[str, Any]:
    return {"kind": "ticks" if isinstance(piece, Ticks) else "blank"} | asdict(piece)


__all__ = ["SLIPS_A_SHEET", "DataSlip", "Line", "NotPrinted", "PrintedSlips", "places_on", "print_slips"]
