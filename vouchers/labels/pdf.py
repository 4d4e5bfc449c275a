"""The only drawer: labels in, one PDF out, with what became of each label.

The PDF is tagged and meets PDF/A-2a and PDF/UA-1, so that it can be kept and read aloud; all fonts are
inside it. Drawing and fitting are done by typst from the templates beside this file. The texts go in
as JSON data and are never evaluated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from itertools import cycle, islice
from pathlib import Path
from typing import Any

from ledger.paper.typesetting import Typeset, require_zone, templates_in
from ledger.words import later, say
from vouchers.labels import fit, refusals
from vouchers.labels.content import LabelError
from vouchers.labels.prepare import VALUES_OF, Label, Lines, Ready, prepared
from vouchers.labels.refusals import Refusal
from vouchers.labels.sheets import CutSheet, PacketSheet, Sheet, SheetError, find_sheet
from vouchers.labels.sizes import MANY_CALLED

_TOLERANCE_MM = 0.01
_TEMPLATES = Path(__file__).resolve().parent
_FOLDING = (
    ("", later("Lay this side down, this end towards you.")),
    ("1", later("Fold the pocket up and put the specimen in.")),
    ("2", later("Fold the flap with the label down over it.")),
    ("3", later("Fold both sides behind.")),
)
# Heads of the ruled lines on the back: what is done with a packet leaves its mark there.
_HANDLING = (later("Date"), later("Dried, frozen, lent, sampled"), later("By"))


@dataclass(frozen=True, slots=True)
class Batch:
    """Labels of one kind for one sheet (a code of `sheets.SHEETS`), in order."""

    sheet: str
    labels: Sequence[Label]


@dataclass(frozen=True, slots=True)
class Printed:
    """What a run gave: the PDF (None where no label could be printed) and what became of each label.

    `became` has one row per batch, parallel to its labels: what was printed, line by line, or why it was not.
    """

    pdf: bytes | None
    became: tuple[tuple[Lines | Refusal, ...], ...]

    @property
    def refused(self) -> tuple[Refusal, ...]:
        """The labels left out, in their order."""
        return tuple(one for batch in self.became for one in batch if isinstance(one, Refusal))


def render(
    labels: Sequence[Label], sheet: str, paper: str, *, made_at: datetime, language: str = "en"
) -> Printed:
    """Print labels of one kind, in order, on the sheet; see `render_run`."""
    return render_run([Batch(sheet, labels)], paper, made_at=made_at, language=language)


def render_run(batches: Sequence[Batch], paper: str, *, made_at: datetime, language: str = "en") -> Printed:
    """Print the batches one after the other on the paper (a code of `papers.PAPERS`), each on sheets of its own.

    `made_at` (with its zone) is written into the PDF as its date; the same arguments give the same
    bytes. `language` is the one that is active, as the PDF tells it to whoever has it read aloud: `en`, `de`.
    Raises SheetError for an unknown sheet or labels of another kind, PaperError for a date without its zone,
    LabelError where there is no label at all.
    """
    require_zone(made_at)
    layouts = [find_sheet(batch.sheet, paper) for batch in batches]
    if not any(batch.labels for batch in batches):
        raise LabelError(say("There is no label to print. Choose at least one voucher."))
    became: dict[_At, Ready | Refusal] = {}
    for number, (batch, layout) in enumerate(zip(batches, layouts, strict=True)):
        wanted = VALUES_OF[layout.size.kind]
        if any(not isinstance(label, wanted) for label in batch.labels):
            raise SheetError(
                f"Sheet {batch.sheet!r} takes {wanted.__name__} values only; nothing was printed."
            )
        for at, label in enumerate(batch.labels):
            became[number, at] = prepared(label, layout.size)
    pdf = _typeset(became, layouts, made_at, language.partition("-")[0])
    told = {at: one if isinstance(one, Refusal) else one.lines() for at, one in became.items()}
    rows = [
        tuple(told[number, at] for at in range(len(batch.labels))) for number, batch in enumerate(batches)
    ]
    return Printed(pdf, tuple(rows))


# The number of a batch, and the place of a label in it.
_At = tuple[int, int]


def _typeset(
    became: dict[_At, Ready | Refusal], layouts: Sequence[Sheet], made_at: datetime, language: str
) -> bytes | None:
    """Draw until nothing ends below its foot: what does goes to smaller type, in the smallest it is refused."""
    while ready := {at: one for at, one in became.items() if isinstance(one, Ready)}:
        run, overs = _laid_out(ready, layouts, language)
        if all(over <= _TOLERANCE_MM for over in overs.values()):
            return run.pdf(made_at)
        for at, label in ready.items():
            size, over = layouts[at[0]].size, overs[at]
            if over <= _TOLERANCE_MM:
                continue
            if label.step + 1 == len(size.steps) and label.texts.earlier:
                label.leave_off_the_earlier_name(size)
            elif label.step + 1 == len(size.steps):
                became[at] = refusals.too_tall(label.texts, size, over)
            else:
                label.step = fit.next_step(label.texts, size, label.step, over)
    return None


def _laid_out(
    ready: dict[_At, Ready], layouts: Sequence[Sheet], language: str = "en"
) -> tuple[Typeset, dict[_At, float]]:
    """Draw the labels; with the run, how far each ends below its foot, in millimetres."""
    run = Typeset(_templates(), "sheet.typ", _run(ready, layouts) | {"language": language})
    ends = iter(run.value("ends"))
    overs: dict[_At, float] = {}
    for number, layout in enumerate(layouts):
        feet = cycle(top + layout.size.edge_mm + layout.size.room_mm for _, top in layout.places)
        here = [at for at in ready if at[0] == number]
        for at, end, foot in zip(here, islice(ends, len(here)), feet, strict=False):
            overs[at] = end - foot
    return run, overs


def _run(ready: dict[_At, Ready], layouts: Sequence[Sheet]) -> dict[str, Any]:
    """The data of one run as the templates read it."""
    batches = []
    for number, layout in enumerate(layouts):
        labels = [one.data | {"step": one.step} for at, one in ready.items() if at[0] == number]
        if labels:
            batches.append(_batch(layout, labels))
    chosen = list(ready.values())
    first, last = (one.data.get("code") or one.texts.number for one in (chosen[0], chosen[-1]))
    kinds = {layouts[number].size.called for number, _ in ready}
    what = MANY_CALLED[kinds.pop()] if len(kinds) == 1 else say("Labels and slips")
    return {
        "title": say("{what}, {first} to {last}", what=what, first=first, last=last)
        if len(chosen) > 1
        else f"{what}, {first}",
        "author": next((one.data["institution"] for one in chosen if one.data["institution"]), ""),
        "batches": batches,
    }


def _batch(layout: Sheet, labels: list[dict[str, Any]]) -> dict[str, Any]:
    size = layout.size
    return {
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
        "places": layout.places,
        "marks": "cut" if isinstance(layout, CutSheet) else "fold" if isinstance(layout, PacketSheet) else "",
        "packet": _packet(layout) if isinstance(layout, PacketSheet) else None,
        "labels": labels,
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
        "steps": [(mark, str(words)) for mark, words in _FOLDING],
        "handling": [str(word) for word in _HANDLING],
    }


@cache
def _templates() -> dict[str, bytes]:
    return templates_in(_TEMPLATES)
