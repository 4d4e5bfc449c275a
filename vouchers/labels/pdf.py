"""The only drawer: labels in, one PDF out, with the labels that could not be printed named.

The PDF is tagged and meets PDF/A-2a and PDF/UA-1, so that it can be kept and read aloud; all fonts are
inside it. Drawing and fitting are done by typst from the templates beside this file. The texts go in
as JSON data and are never evaluated.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import typst

from vouchers.labels import barcode, content, glyphs
from vouchers.labels.content import AnnotationSlip, Label, LabelError, PacketLabel
from vouchers.labels.sheets import CutSheet, PacketSheet, Sheet, SheetError, find_sheet

_TEMPLATES = Path(__file__).resolve().parent
# A text without a space of this length could be wider than its column at 12 pt: it is measured.
_LONG_WORD = 18
_BREAKS = re.compile(r"[\s\-–—/]+")
_FOLDING = (
    ("", "Lay this side down, this end towards you."),
    ("1", "Fold the pocket up and put the specimen in."),
    ("2", "Fold the flap with the label down over it."),
    ("3", "Fold both sides behind."),
)
# Heads of the ruled lines on the back: what is done with a packet leaves its mark there.
_HANDLING = ("Date", "Dried, frozen, lent, sampled", "By")


@dataclass(frozen=True, slots=True)
class Refusal:
    """A label that was not printed: its number, the line at fault, and a sentence saying why."""

    accession_number: str
    line: str
    sentence: str


class Printed(NamedTuple):
    """What a run gave: the PDF (None where no label could be printed) and the labels left out."""

    pdf: bytes | None
    refused: tuple[Refusal, ...]


def render(labels: Sequence[Label], sheet: str, paper: str, *, made_at: datetime) -> Printed:
    """Print the labels, in order, on the sheet (a code of `sheets.SHEETS`) and paper (`sheets.PAPERS`).

    `made_at` (with its zone) is written into the PDF as its date; the same arguments give the same
    bytes. Raises SheetError for an unknown sheet or labels of another kind, LabelError where there is
    no label at all.
    """
    if made_at.tzinfo is None:
        raise LabelError("The date of printing has no time zone; nothing was printed.")
    layout = find_sheet(sheet, paper)
    if not labels:
        raise LabelError("There is no label to print. Choose at least one voucher.")
    wanted = AnnotationSlip if layout.size.kind == "slip" else PacketLabel
    if any(not isinstance(label, wanted) for label in labels):
        raise SheetError(f"Sheet {sheet!r} takes {wanted.__name__} values only; nothing was printed.")
    refused: dict[int, Refusal] = {}
    ready: list[tuple[int, dict[str, Any]]] = []
    for at, label in enumerate(labels):
        made = _refusal_before_layout(label) or _data(label)
        if isinstance(made, Refusal):
            refused[at] = made
        else:
            ready.append((at, made))
    pdf = None
    if ready:
        pdf, fits = _typeset([data for _, data in ready], layout, made_at)
        for (at, _), fit in zip(ready, fits, strict=True):
            if fit["step"] is None:
                refused[at] = _does_not_fit(labels[at], layout, fit)
    return Printed(pdf, tuple(refused[at] for at in sorted(refused)))


def _typeset(
    data: list[dict[str, Any]], layout: Sheet, made_at: datetime
) -> tuple[bytes | None, list[dict[str, Any]]]:
    # typst takes files by name, which its type hints do not know of.
    files: Any = dict(_templates()) | {
        "run.json": json.dumps(_run(data, layout), ensure_ascii=False).encode()
    }
    compiler = typst.Compiler(files, font_paths=_fonts())
    # The query lays everything out; the compilation after it finds the layout remembered.
    fits = json.loads(compiler.query("<fits>", field="value", one=True))
    if all(fit["step"] is None for fit in fits):
        return None, fits
    pdf = compiler.compile(
        input=files, format="pdf", pdf_standards=["a-2a", "ua-1"], timestamp=int(made_at.timestamp())
    )
    assert isinstance(pdf, bytes)
    return pdf, fits


def _run(data: list[dict[str, Any]], layout: Sheet) -> dict[str, Any]:
    size, paper = layout.size, layout.paper
    cut = isinstance(layout, CutSheet)
    columns, rows = (layout.columns, layout.rows) if isinstance(layout, CutSheet) else (1, 1)
    left, top = layout.left_mm, layout.top_mm
    numbers = data[0]["number"] if len(data) == 1 else f"{data[0]['number']} to {data[-1]['number']}"
    return {
        "title": f"{'Packet labels' if size.kind == 'packet' else 'Determination slips'}, {numbers}",
        "author": next((label["institution"] for label in data if label["institution"]), ""),
        "paper": {"width": paper.width_mm, "height": paper.height_mm},
        "size": {
            "kind": size.kind,
            "width": size.width_mm,
            "height": size.height_mm,
            "edge": size.edge_mm,
            "margin": size.margin_mm,
            "code": size.code_mm,
            "steps": [
                {"name": step.name_pt, "text": step.text_pt, "leading": step.leading_em, "row": step.row_em}
                for step in size.steps
            ],
        },
        "columns": columns,
        "rows": rows,
        "left": left,
        "top": top,
        "places": [
            (left + column * size.width_mm, top + row * size.height_mm)
            for row in range(rows)
            for column in range(columns)
        ],
        "packet": None if cut else _packet(layout),
        "labels": data,
    }


def _packet(layout: Sheet) -> dict[str, Any]:
    assert isinstance(layout, PacketSheet)
    width = layout.paper.width_mm
    folds = (layout.pocket_mm, 2 * layout.pocket_mm)
    sides = (layout.side_mm, width - layout.side_mm)
    return {
        "folds": folds,
        "sides": sides,
        "mark-places": [("1", width / 2, folds[0]), ("2", width / 2, folds[1])]
        + [("3", x, layout.pocket_mm * 1.5) for x in sides],
        "steps": _FOLDING,
        "handling": _HANDLING,
    }


def _data(label: Label) -> dict[str, Any] | Refusal:
    number = content.clean(label.accession_number)
    code = content.clean(label.code) or number
    data: dict[str, Any] = {
        "number": number,
        "institution": content.clean(label.institution),
        "name": content.heading(label),
        "authority": content.clean(label.authority),
        "determination": content.determination(label),
        "lines": [{"word": line.word, "pieces": line.pieces} for line in label.lines()],
        "long": _long_words(label),
    }
    if isinstance(label, AnnotationSlip):
        return data | {"heading": " · ".join(filter(None, ("Determination", data["institution"])))}
    try:
        svg = barcode.qr_svg(code)
    except LabelError as error:
        return Refusal(number, "Code", f"{number} was not printed: {error}. Shorten what the code holds.")
    return data | {"svg": svg, "code": code, "caution": content.CAUTION}


def _texts(label: Label) -> Iterable[tuple[str, str]]:
    yield "Number", content.clean(label.accession_number)
    yield "Institution", content.clean(label.institution)
    yield "Name", content.plain_text(content.heading(label))
    yield "Name", content.clean(label.authority)
    yield "Det.", content.plain_text(content.determination(label))
    for line in label.lines():
        yield line.word, content.plain_text(line.pieces)


def _refusal_before_layout(label: Label) -> Refusal | None:
    for word, text in _texts(label):
        if unknown := glyphs.missing(text):
            number = glyphs.shown(content.clean(label.accession_number))
            signs = ", ".join(f"{glyphs.shown(sign)} (U+{ord(sign):04X})" for sign in unknown)
            sentence = (
                f"{number} was not printed: its line {word} holds {signs}, which the print fonts cannot draw. "
                "Write it in other letters."
            )
            return Refusal(number, word, sentence)
    return None


def _long_words(label: Label) -> list[tuple[str, str]]:
    return [
        (word, part) for word, text in _texts(label) for part in _BREAKS.split(text) if len(part) > _LONG_WORD
    ]


def _does_not_fit(label: Label, layout: Sheet, fit: dict[str, Any]) -> Refusal:
    number = content.clean(label.accession_number)
    size, step = layout.size, layout.size.steps[-1]
    where = f"{size.width_mm:g} × {size.height_mm:g} mm {size.kind} label at {step.text_pt:g} pt"
    if fit["wide"]:
        line = fit["wide"][0]
        sentence = (
            f"{number} was not printed: its line {line} holds a word that is wider than the {where}. "
            "Put a space or a hyphen into it."
        )
        return Refusal(number, line, sentence)
    line = max(fit["heights"], key=lambda word: fit["heights"][word])
    sentence = (
        f"{number} was not printed: its text is {fit['over']:.1f} mm too tall for the {where}; the longest line is "
        f"{line} ({fit['heights'][line]:.0f} mm). Shorten it."
    )
    return Refusal(number, line, sentence)


@cache
def _templates() -> dict[str, bytes]:
    files = {path.name: path.read_bytes() for path in sorted(_TEMPLATES.glob("*.typ"))}
    return {"main.typ": files.pop("sheet.typ")} | files


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(glyphs.FONT_FOLDER)]
    )
