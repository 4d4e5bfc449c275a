"""A pocket sheet as a PDF: one page that folds to eight small ones without a cut, and behind it what it rests on.

The page is folded back along its middle, print outside, then to and fro along three upright lines. So its lower half
holds pages 1 to 4 from the left, and its upper half pages 5 to 8 from the right, upside down.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from ledger.days import short_day_text
from ledger.paper.icons import icon_svg
from ledger.paper.papers import PAPERS, Paper
from ledger.paper.pocket import Block, PairLine, Pocket
from ledger.paper.slips import no_paper
from ledger.paper.text import PaperError, Pieces, clean, italicised
from ledger.paper.typesetting import Typeset, refuse_unknown_signs, require_zone, template
from ledger.traits.ranges import Source
from ledger.words import Said, later, lowered, say, together

COLUMNS, ROWS = 4, 2
_TEMPLATE = Path(__file__).resolve().parent / "pocket.typ"
PAGES = COLUMNS * ROWS
CAUTION = later("No guide to eating: nothing on this sheet says that a fungus may be eaten.")
FOLDING = (
    later("Fold 1: back along the middle, print outside."),
    later("Fold 2: to and fro along the three upright lines, page 1 in front."),
)
_MARKS = later("● half or more of its sources print it, ○ fewer, · no source says")
_BARS = later(
    "Bars: one for each source, of fresh or any material; a thin line to rare extremes. "
    "“Parts A from B”: no source has them alike."
)
_BY_TRAIT = later("By trait: the letter of a taxon, then the numbers of its sources below.")
# White inside a small page; the foot is an edge of the paper, where printers leave 5 mm.
_SIDE_MM, _TOP_MM, _FOOT_MM = 5.0, 4.5, 6.0
_GAP_MM = 2.6
_MONTHS = "JFMAMJJASOND"
_SIGNS = {"most": "●", "some": "○", "none": "", "unknown": "·"}


class PrintedPocket(NamedTuple):
    """The PDF, and the labels of the traits that had no room on it."""

    pdf: bytes
    left_out: tuple[str, ...]


def print_pocket(
    pocket: Pocket, paper: str, *, institution: str, digest: str, made_at: datetime, language: str = "en"
) -> PrintedPocket:
    """Print the sheet on `paper` (a code of PAPERS, used landscape).

    Where not all traits have room, those that part the fewest taxa give way. `digest` names the state of the reference,
    `language` the one that is active, as the PDF tells it to whoever has it read aloud.
    PaperError for an unknown paper, a date without its zone, or signs that the print fonts do not have.
    """
    require_zone(made_at)
    if paper not in PAPERS:
        raise PaperError(no_paper(paper))
    data = _data(pocket, PAPERS[paper], institution, digest, made_at)
    data["language"] = language.partition("-")[0]
    _refuse_unknown_signs(data)
    measured = Typeset(template(_TEMPLATE), "pocket.typ", data | {"panels": [], "left-out": ""}).value(
        "heights"
    )
    panels, dropped = _laid_out(pocket, measured)
    left_out = tuple(pocket.blocks[at].trait.label for at in sorted(dropped))
    run = data | {"panels": panels, "left-out": _left_out(left_out)}
    drawn = Typeset(template(_TEMPLATE), "pocket.typ", run)
    return PrintedPocket(drawn.pdf(made_at), left_out)


def _left_out(labels: Sequence[str]) -> Said:
    if not labels:
        return Said("")
    traits = together([lowered(label) for label in labels], ", ")
    return say("Without room on the small pages: {traits}.", traits=traits)


def panel_mm(paper: Paper) -> tuple[float, float]:
    """Return width and height of a small page."""
    return paper.height_mm / COLUMNS, paper.width_mm / ROWS


# --- which block on which page ---


def _laid_out(pocket: Pocket, measured: dict[str, Any]) -> tuple[list[list[dict[str, Any]]], set[int]]:
    """The items of pages 2 to 8, and the blocks that found no room.

    Blocks go on in the order of their worth, each as long as all still have room in the order of looking.
    """
    room_mm: float = measured["room"]
    pairs = [({"kind": "pair", "at": at}, height) for at, height in enumerate(measured["pairs"])]
    while len(_filled(pairs, room_mm)) >= PAGES:
        pairs = pairs[:-1]
    chosen: list[int] = []
    panels = _filled(pairs, room_mm)
    for at in sorted(range(len(pocket.blocks)), key=lambda at: _worth(pocket.blocks[at], at), reverse=True):
        wanted = sorted([*chosen, at])
        items = [({"kind": "block", "at": one}, measured["blocks"][one]) for one in wanted]
        tried = _filled([*items, *pairs], room_mm)
        if measured["blocks"][at] <= room_mm and len(tried) < PAGES:
            chosen, panels = wanted, tried
    empty: list[list[dict[str, Any]]] = [[] for _ in range(PAGES - 1 - len(panels))]
    return panels + empty, set(range(len(pocket.blocks))) - set(chosen)


def _worth(block: Block, at: int) -> tuple[bool, int, int, int]:
    """What a block is kept for: use in the wood, the pairs it parts, the taxa it is known of, being looked at early."""
    return block.trait.effort != "microscope", block.parted_count, len(block.sources), -at


def _filled(items: Sequence[tuple[dict[str, Any], float]], room_mm: float) -> list[list[dict[str, Any]]]:
    panels: list[list[dict[str, Any]]] = []
    left = 0.0
    for item, height in items:
        if not panels or height > left:
            panels.append([])
            left = room_mm
        panels[-1].append(item)
        left -= height + _GAP_MM
    return panels


# --- the data of the template ---


def _data(pocket: Pocket, paper: Paper, institution: str, digest: str, made_at: datetime) -> dict[str, Any]:
    width, height = panel_mm(paper)
    icons = {row.state.icon for block in pocket.blocks for row in block.states}
    title = say("Pocket sheet, {title}", title=pocket.title)
    made, club, state = short_day_text(made_at.date()), clean(institution), digest[:8]
    return {
        "title": title,
        "subject": italicised(title, pocket.latin),
        "institution": club,
        "words": {
            "pocket-sheet": say("Pocket sheet"),
            "marks": _MARKS,
            "bars": _BARS,
            "made": say("Made {made} from reference {digest}. Sources overleaf.", made=made, digest=state),
            "rests": say("What each figure rests on"),
            "by-trait": _BY_TRAIT,
            "sources": say("Sources"),
            "rest": say("The rest"),
            "made-by": say("Made {made} from reference {digest}, {club}.", made=made, digest=state, club=club)
            if club
            else say("Made {made} from reference {digest}.", made=made, digest=state),
        },
        "caution": CAUTION,
        "folding": FOLDING,
        "paper": {"width": paper.height_mm, "height": paper.width_mm},
        "panel": {"width": width, "height": height, "side": _SIDE_MM, "top": _TOP_MM, "foot": _FOOT_MM},
        "gap": _GAP_MM,
        "places": places_on(paper),
        "icons": {name: icon_svg(name) for name in sorted(icons)},
        "months": list(_MONTHS),
        "taxa": [
            {"letter": taxon.letter, "name": taxon.name, "short": taxon.short}
            | {"authority": clean(taxon.authority), "vernacular": clean(taxon.vernacular)}
            for taxon in pocket.taxa
        ],
        "blocks": [_block(pocket, block) for block in pocket.blocks],
        "pairs": [_pair(pair, pocket.latin) for pair in pocket.pairs],
        "sources": [
            {"number": number, "pieces": _citation(source, pocket.latin)} for number, source in pocket.sources
        ],
    }


def places_on(paper: Paper) -> list[dict[str, float | bool]]:
    """Return left and top of the small pages 1 to 8, and which stand upside down."""
    width, height = panel_mm(paper)
    lower = [{"x": column * width, "y": height, "turned": False} for column in range(COLUMNS)]
    upper = [{"x": column * width, "y": 0.0, "turned": True} for column in reversed(range(COLUMNS))]
    return [*lower, *upper]


def _block(pocket: Pocket, block: Block) -> dict[str, Any]:
    letters = {taxon.name: taxon.letter for taxon in pocket.taxa}
    trait = block.trait
    label, effort = say(trait.label), say(trait.effort)
    figures = {row.taxon.letter: row.text for row in block.ranges}
    return {
        "label": label.partition(",")[0] if trait.kind == "number" else label,
        "effort": say("{effort}, fresh only", effort=effort) if trait.fresh_only else effort,
        "said": block.said,
        "states": [
            {
                "icon": row.state.icon,
                "word": say(row.state.label),
                "marks": [_SIGNS[mark] for mark in row.marks],
            }
            for row in block.states
        ],
        "months": [
            {"letter": row.taxon.letter, "marks": [_SIGNS[mark] for mark in row.marks]}
            for row in block.months
        ],
        "strip": {
            "unit": block.strip.unit,
            "sentence": block.strip.sentence,
            "ticks": [asdict(tick) for tick in block.strip.ticks],
            "rows": [
                asdict(row) | {"letter": letters[row.taxon], "figures": figures[letters[row.taxon]]}
                for row in block.strip.rows
            ],
        }
        if block.strip
        else None,
        "sources": [f"{taxon.letter} {' '.join(map(str, numbers))}" for taxon, numbers in block.sources],
    }


def _citation(source: Source, latin: Collection[str]) -> Pieces:
    """The citation with its year, Latin names in italics; what is known from memory says so."""
    if source.kind == "memory":
        return ((say("from memory"), False),)
    text, year = clean(source.citation), clean(source.year)
    return italicised(text if not year or year in text else f"{text} ({year})", latin)


def _pair(pair: PairLine, latin: Collection[str]) -> dict[str, Any]:
    return {
        "letters": f"{pair.a.letter} {pair.b.letter}",
        "pieces": italicised(clean(pair.text), {*latin, *pair.epithets}),
        "source": pair.source,
    }


def _refuse_unknown_signs(data: dict[str, Any]) -> None:
    """One sign without a drawing would stop the whole file."""
    texts = [data["institution"], data["title"]]
    texts += ["".join(text for text, _ in source["pieces"]) for source in data["sources"]]
    texts += [taxon[part] for taxon in data["taxa"] for part in ("name", "authority", "vernacular")]
    texts += [text for pair in data["pairs"] for text, _ in pair["pieces"]]
    refuse_unknown_signs(("", text) for text in texts)
