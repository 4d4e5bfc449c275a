"""Sheets of scale cards, to cut: laid beside a specimen, one makes a photo of it a measurement.

What a card holds and where stands in `ledger/measuring/card.py`, which the search on photos reads as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from ledger.days import short_day_text
from ledger.measuring.card import CHECK_WORDS, KINDS, MARKER_BITS, MODULES, CardKind
from ledger.paper import glyphs
from ledger.paper.barcode import qr_svg
from ledger.paper.papers import PAPERS, Paper
from ledger.paper.slips import NotPrinted, code_not_printed, no_paper
from ledger.paper.text import CAUTION, PaperError, clean
from ledger.paper.typesetting import Typeset, require_zone, template
from ledger.words import later, say

_TEMPLATE = Path(__file__).resolve().parent / "scale_card.typ"
# Said above the cards: a print that was made to fit the page makes every length wrong by the same share.
HOW_TO_PRINT = later(
    "Print at 100 %, never “fit to page”. Then lay a ruler on the 50 mm line: if it is longer or shorter, tell the "
    "ledger its length. Matt paper or card, black toner; cut along the marks."
)
# White kept at the edges of the paper, room for a line above and below, and between two cards, so that a cut that goes
# astray leaves no marks of the neighbour.
_EDGE_MM, _LINE_MM, _GUTTER_MM = 5.0, 6.5, 7.0
_NUMBER_PT = (48.0, 40.0, 34.0, 28.0, 24.0, 20.0, 17.0, 14.0, 12.0, 10.0)
# Of a field's height, what a line of type that big needs (capitals and figures of Noto Serif are 0.71 em high).
_NUMBER_ROOM = 0.62
_INSTITUTION_PT = (6.5, 6.0, 5.5, 5.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleCard:
    """One card: without a number its field stays free for a pencil; `code` is the text that its code holds, as on a slip."""

    number: str = ""
    code: str = ""


class PrintedCards(NamedTuple):
    """The PDF (None where no card could be printed) and the cards left out."""

    pdf: bytes | None
    refused: tuple[NotPrinted, ...]


def print_cards(
    kind: str,
    paper: str,
    *,
    cards: Sequence[ScaleCard] = (),
    institution: str = "",
    made_at: datetime,
    language: str = "en",
) -> PrintedCards:
    """Print cards of `kind` (a code of KINDS) on `paper` (a code of PAPERS); without `cards`, one sheet of free ones.

    `language` is the one that is active, as the PDF tells it to whoever has it read aloud.

    PaperError for an unknown kind or paper, a date without its zone, or a club's name that cannot be drawn.
    """
    require_zone(made_at)
    if kind not in KINDS:
        raise PaperError(
            say(
                "There is no card {code}; nothing was printed. Choose one of {codes}.",
                code=repr(kind),
                codes=", ".join(KINDS),
            )
        )
    if paper not in PAPERS:
        raise PaperError(no_paper(paper))
    chosen, sheet = KINDS[kind], PAPERS[paper]
    club = _club(clean(institution), chosen)
    wanted = cards or [ScaleCard()] * len(places_on(chosen, sheet))
    made = [_prepared(card, chosen) for card in wanted]
    refused = tuple(one for one in made if isinstance(one, NotPrinted))
    ready = [one for one in made if not isinstance(one, NotPrinted)]
    if not ready:
        return PrintedCards(None, refused)
    run = _run(ready, chosen, sheet, club, made_at) | {"language": language.partition("-")[0]}
    drawn = Typeset(template(_TEMPLATE), "scale_card.typ", run)
    return PrintedCards(drawn.pdf(made_at), refused)


def places_on(kind: CardKind, paper: Paper) -> list[tuple[float, float]]:
    """Return left and top of each card on a sheet, in millimetres, row by row."""
    across = _fitting(paper.width_mm - 2 * _EDGE_MM, kind.width_mm)
    down = _fitting(paper.height_mm - 2 * (_EDGE_MM + _LINE_MM), kind.height_mm)
    lefts = _spread(paper.width_mm, kind.width_mm, across)
    tops = _spread(paper.height_mm, kind.height_mm, down)
    return [(left, top) for top in tops for left in lefts]


def _fitting(room_mm: float, size_mm: float) -> int:
    return int((room_mm + _GUTTER_MM) / (size_mm + _GUTTER_MM))


def _spread(whole_mm: float, size_mm: float, many: int) -> list[float]:
    step = size_mm + _GUTTER_MM
    first = (whole_mm - many * step + _GUTTER_MM) / 2
    return [first + at * step for at in range(many)]


def _club(institution: str, kind: CardKind) -> dict[str, Any]:
    if unknown := glyphs.missing(institution):
        raise PaperError(
            say(
                "The club's name holds {signs}, which the print fonts cannot draw; nothing was printed. "
                "Write it in other letters.",
                signs=glyphs.shown(unknown),
            )
        )
    size = glyphs.first_fitting(institution, _INSTITUTION_PT, kind.number.width_mm)
    if size is None:
        raise PaperError(
            say(
                "The club's name is wider than {mm} mm in type of {pt} pt; nothing was printed. "
                "Shorten it in the club's settings.",
                mm=f"{kind.number.width_mm:g}",
                pt=f"{_INSTITUTION_PT[-1]:g}",
            )
        )
    return {"name": institution, "pt": size}


def _prepared(card: ScaleCard, kind: CardKind) -> dict[str, Any] | NotPrinted:
    """The card as the template reads it, or why it cannot be printed."""
    number = clean(card.number)
    if unknown := glyphs.missing(number):
        return NotPrinted(
            number,
            say(
                "{number} was not printed: it holds {signs}, which the print fonts cannot draw. "
                "Write it in other letters.",
                number=glyphs.shown(number),
                signs=glyphs.shown(unknown),
            ),
        )
    field = kind.number_beside_code if card.code else kind.number
    sizes = [size for size in _NUMBER_PT if size * glyphs.POINT_MM <= field.height_mm * _NUMBER_ROOM]
    number_pt = glyphs.first_fitting(number, sizes, field.width_mm, bold=True)
    if number_pt is None:
        return NotPrinted(
            number,
            say(
                "{number} was not printed: the number is wider than its field. Use a shorter code.",
                number=number,
            ),
        )
    svg = ""
    if card.code:
        try:
            svg = qr_svg(clean(card.code))
        except PaperError as error:
            return NotPrinted(number, code_not_printed(number, error))
    return {
        "number": number,
        "number-pt": number_pt,
        "svg": svg,
        "svg-word": say("Code of {number}", number=number),
        "field": asdict(field),
    }


def _run(
    ready: list[dict[str, Any]], kind: CardKind, paper: Paper, club: dict[str, Any], made_at: datetime
) -> dict[str, Any]:
    return {
        "title": f"{kind.titles}, {kind.width_mm:g} × {kind.height_mm:g} mm",
        "club": club,
        "name": f"{kind.title} {kind.width_mm:g} × {kind.height_mm:g} mm",
        "number-word": say("collecting number"),
        "made": say(
            "{cards} · made {made}",
            cards=f"{kind.titles}, {kind.width_mm:g} × {kind.height_mm:g} mm",
            made=short_day_text(made_at.date()),
        ),
        "paper": {"width": paper.width_mm, "height": paper.height_mm},
        "line": {"edge": _EDGE_MM, "height": _LINE_MM},
        "kind": asdict(kind),
        "big": kind.width_mm > 100,
        "markers": {str(marker.id): marker_svg(marker.id) for marker in kind.markers},
        "check-words": CHECK_WORDS,
        "places": places_on(kind, paper),
        "cards": ready,
        "how": HOW_TO_PRINT,
        "caution": CAUTION,
    }


def marker_svg(marker_id: int) -> str:
    """The marker as an SVG drawing, one unit a module, its black border included.

    All modules are one path: apart, printers would leave hairs of white between them.
    """
    side = MODULES + 2
    path = "".join(f"M{x} {y}h1v1h-1z" for x, y in _black_modules(marker_id))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}" width="{side}" height="{side}">'
        f'<path d="{path}" fill="#000"/></svg>'
    )


def _black_modules(marker_id: int) -> Iterator[tuple[int, int]]:
    bits = MARKER_BITS[marker_id]
    for y in range(MODULES + 2):
        for x in range(MODULES + 2):
            inside = 0 < x <= MODULES and 0 < y <= MODULES
            if not inside or bits[(y - 1) * MODULES + x - 1] == "0":
                yield x, y


__all__ = [
    "HOW_TO_PRINT",
    "NotPrinted",
    "PrintedCards",
    "ScaleCard",
    "marker_svg",
    "places_on",
    "print_cards",
]
