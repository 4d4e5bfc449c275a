"""The only drawer: labels in, one PDF out, with the labels that could not be printed named.

The PDF is tagged and meets PDF/A-2a and PDF/UA-1, so that it can be kept and read aloud; all fonts are
inside it. Drawing and fitting are done by typst from the templates beside this file. The texts go in
as JSON data and are never evaluated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from itertools import cycle
from pathlib import Path
from typing import Any, NamedTuple

from ledger.paper import barcode
from ledger.paper.text import CAUTION, PaperError, clean
from ledger.paper.typesetting import Typeset, require_zone, templates_in
from vouchers.labels import content, fit, refusals
from vouchers.labels.content import AnnotationSlip, Label, LabelError, PacketLabel
from vouchers.labels.refusals import Refusal
from vouchers.labels.sheets import CutSheet, LabelSize, PacketSheet, Sheet, SheetError, find_sheet

_TOLERANCE_MM = 0.01
_SLIP = "Determination"
# Room of the word "Coll." at the foot of a slip.
_COLL_MM = 8.0
_TEMPLATES = Path(__file__).resolve().parent
_FOLDING = (
    ("", "Lay this side down, this end towards you."),
    ("1", "Fold the pocket up and put the specimen in."),
    ("2", "Fold the flap with the label down over it."),
    ("3", "Fold both sides behind."),
)
# Heads of the ruled lines on the back: what is done with a packet leaves its mark there.
_HANDLING = ("Date", "Dried, frozen, lent, sampled", "By")


class Printed(NamedTuple):
    """What a run gave: the PDF (None where no label could be printed) and the labels left out."""

    pdf: bytes | None
    refused: tuple[Refusal, ...]


def render(labels: Sequence[Label], sheet: str, paper: str, *, made_at: datetime) -> Printed:
    """Print the labels, in order, on the sheet (a code of `sheets.SHEETS`) and paper (`sheets.PAPERS`).

    `made_at` (with its zone) is written into the PDF as its date; the same arguments give the same
    bytes. Raises SheetError for an unknown sheet or labels of another kind, PaperError for a date without its zone,
    LabelError where there is no label at all.
    """
    require_zone(made_at)
    layout = find_sheet(sheet, paper)
    if not labels:
        raise LabelError("There is no label to print. Choose at least one voucher.")
    wanted = {"slip": AnnotationSlip, "packet": PacketLabel}[layout.size.kind]
    if any(not isinstance(label, wanted) for label in labels):
        raise SheetError(f"Sheet {sheet!r} takes {wanted.__name__} values only; nothing was printed.")
    refused: dict[int, Refusal] = {}
    ready: dict[int, _Ready] = {}
    for at, label in enumerate(labels):
        made = _prepared(label, layout.size)
        if isinstance(made, Refusal):
            refused[at] = made
        else:
            ready[at] = made
    pdf = _typeset(ready, refused, layout, made_at)
    return Printed(pdf, tuple(refused[at] for at in sorted(refused)))


@dataclass(slots=True)
class _Ready:
    """A label on its way: its texts, the data for the template, the type size tried now."""

    texts: fit.Texts
    data: dict[str, Any]
    step: int

    def leave_off_the_earlier_name(self, size: LabelSize) -> None:
        """Print without the name the packet bore before, in the largest type that then fits."""
        self.texts = replace(self.texts, earlier=())
        self.data["earlier"] = ()
        self.step = fit.first_step(self.texts, size)


def _typeset(
    ready: dict[int, _Ready], refused: dict[int, Refusal], layout: Sheet, made_at: datetime
) -> bytes | None:
    """Draw until nothing ends below its foot: what does goes to smaller type, in the smallest it is refused."""
    while ready:
        run, overs = _laid_out(list(ready.values()), layout)
        if all(over <= _TOLERANCE_MM for over in overs):
            return run.pdf(made_at)
        for (at, label), over in zip(list(ready.items()), overs, strict=True):
            if over <= _TOLERANCE_MM:
                continue
            if label.step + 1 == len(layout.size.steps) and label.texts.earlier:
                label.leave_off_the_earlier_name(layout.size)
            elif label.step + 1 == len(layout.size.steps):
                refused[at] = refusals.too_tall(label.texts, layout.size, over)
                del ready[at]
            else:
                label.step = fit.next_step(label.texts, layout.size, label.step, over)
    return None


def _laid_out(ready: list[_Ready], layout: Sheet) -> tuple[Typeset, list[float]]:
    """Draw the labels; with the run, how far each ends below its foot, in millimetres."""
    run = Typeset(_templates(), "sheet.typ", _run(ready, layout))
    ends = run.value("ends")
    tops = cycle(top for _, top in _places(layout))
    size = layout.size
    overs = [end - (top + size.edge_mm + size.room_mm) for end, top in zip(ends, tops, strict=False)]
    return run, overs


def _places(layout: Sheet) -> list[tuple[float, float]]:
    """Left and top of each label on a page, in millimetres."""
    columns, rows = (layout.columns, layout.rows) if isinstance(layout, CutSheet) else (1, 1)
    return [
        (layout.left_mm + column * layout.size.width_mm, layout.top_mm + row * layout.size.height_mm)
        for row in range(rows)
        for column in range(columns)
    ]


def _run(ready: list[_Ready], layout: Sheet) -> dict[str, Any]:
    """The data of one run as the templates read it."""
    size = layout.size
    first, last = ready[0].texts.number, ready[-1].texts.number
    kind = {"packet": "Packet labels", "slip": "Determination slips"}[size.kind]
    return {
        "title": f"{kind}, {first}" + (f" to {last}" if len(ready) > 1 else ""),
        "author": next((label.data["institution"] for label in ready if label.data["institution"]), ""),
        "paper": {"width": layout.paper.width_mm, "height": layout.paper.height_mm},
        "size": {
            "kind": size.kind,
            "width": size.width_mm,
            "height": size.height_mm,
            "edge": size.edge_mm,
            "margin": size.margin_mm,
            "gap": size.gap_mm,
            "code": size.code_mm,
            "code-column": size.code_column_mm,
            "number": size.number_pt,
            "steps": [
                {"name": step.name_pt, "text": step.text_pt, "leading": step.leading_em, "row": step.row_em}
                for step in size.steps
            ],
        },
        "places": _places(layout),
        "packet": _packet(layout) if isinstance(layout, PacketSheet) else None,
        "labels": [label.data | {"step": label.step} for label in ready],
    }


def _packet(layout: PacketSheet) -> dict[str, Any]:
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


def _prepared(label: Label, size: LabelSize) -> _Ready | Refusal:
    """The label cut into runs, its code drawn, and its first type size; or why it cannot be printed."""
    texts = _texts(label, size)
    if refusal := refusals.unknown_signs(texts):
        return refusal
    line = fit.too_wide(texts, size, size.steps[-1])
    if line == "Earlier":
        texts = replace(texts, earlier=())
        line = fit.too_wide(texts, size, size.steps[-1])
    if line:
        return refusals.too_wide(texts, size, line)
    data: dict[str, Any] = {
        "number": texts.number,
        "institution": clean(label.institution),
        "heading": texts.head,
        "name": texts.name,
        "authority": texts.authority,
        "accepted": texts.accepted,
        "determination": texts.determination,
        "earlier": texts.earlier,
        "lines": [{"word": word, "pieces": pieces} for word, pieces in texts.lines],
    }
    if isinstance(label, PacketLabel):
        code = clean(label.code) or texts.number
        try:
            svg = barcode.qr_svg(code)
        except PaperError as error:
            sentence = f"{texts.number} was not printed: {error}. Shorten what the code holds."
            return Refusal(texts.number, "Code", sentence)
        data |= {"svg": svg, "code": code, "caution": CAUTION}
    else:
        data["gathering"] = texts.foot
    return _Ready(texts, data, fit.first_step(texts, size))


def _texts(label: Label, size: LabelSize) -> fit.Texts:
    number = clean(label.accession_number)
    return fit.Texts(
        number=number,
        head=_head(label, number, size),
        name=fit.runs(content.heading(label)),
        authority=fit.authority_runs(clean(label.authority)),
        accepted=fit.runs(content.accepted(label)),
        determination=fit.runs(content.determination(label)),
        earlier=fit.runs(content.earlier(label)),
        lines=tuple((line.word, fit.runs(line.pieces)) for line in label.lines()),
        foot=_on_the_foot(label, size) if isinstance(label, AnnotationSlip) else "",
    )


def _head(label: Label, number: str, size: LabelSize) -> str:
    institution = clean(label.institution)
    if isinstance(label, PacketLabel):
        return institution
    # A slip has one line for its head: a long institution gives way, as the number names it too.
    heads = [" · ".join(filter(None, (_SLIP, institution))), institution or _SLIP, _SLIP]
    return fit.head_on_one_line(heads, number, size)


def _on_the_foot(slip: AnnotationSlip, size: LabelSize) -> str:
    whole = content.plain_text(content.gathering(slip))
    room_mm = size.inner_mm - _COLL_MM
    return fit.on_one_line([whole, clean(slip.collecting_number)], room_mm)


@cache
def _templates() -> dict[str, bytes]:
    return templates_in(_TEMPLATES)
