"""The form of a loan as a PDF: who borrows, each specimen with its code, the terms, the cautions, the signatures. Pure."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from ledger.days import day_text
from ledger.paper.barcode import qr_svg
from ledger.paper.papers import PAPERS
from ledger.paper.text import CAUTION, PaperError, Pieces, clean
from ledger.paper.typesetting import Typeset, refuse_unknown_signs, require_zone, template
from vouchers.loans.terms import NO_SAMPLING, cautions

_TEMPLATE = Path(__file__).resolve().parent / "form.typ"
# A code of 29 modules, the white around it counted: some 0.4 mm each, which any phone reads from a laser print.
CODE_MM = 12.0


@dataclass(frozen=True, slots=True)
class FormItem:
    """One specimen on the form. `gathering` is collector, number and day; `leave` a leave to cut that was granted for it."""

    number: str
    kind: str
    name: Pieces
    authority: str = ""
    gathering: str = ""
    condition: str = ""
    permission: str = ""
    leave: str = ""


@dataclass(frozen=True, slots=True)
class LoanForm:
    """All that the form says. `terms` are lines; an empty line between two is dropped.

    `not_frozen`: numbers of the items without freezing on record when they were lent.
    """

    number: str
    collection: str
    institution: str
    person: str
    address: str
    used_by: str
    purpose: str
    terms: str
    lent_on: date
    due_on: date
    lent_by: str
    items: tuple[FormItem, ...]
    not_frozen: tuple[str, ...]


def print_form(form: LoanForm, paper: str, *, made_at: datetime) -> bytes:
    """Draw the form on `paper` (a code of PAPERS), on as many pages as it takes. PaperError says why nothing was."""
    require_zone(made_at)
    if paper not in PAPERS:
        raise PaperError(
            f"There is no paper {paper!r}; nothing was printed. Choose one of {', '.join(PAPERS)}."
        )
    _refuse_unknown_signs(form)
    size = PAPERS[paper]
    data = _data(form) | {"paper": {"width": size.width_mm, "height": size.height_mm}}
    return Typeset(template(_TEMPLATE), "form.typ", data).pdf(made_at)


def _data(form: LoanForm) -> dict[str, Any]:
    many = "1 specimen" if len(form.items) == 1 else f"{len(form.items)} specimens"
    return {
        "title": f"Loan {form.number}",
        "number": form.number,
        "collection": clean(form.collection),
        "facts": [
            {"word": word, "lines": lines}
            for word, lines in (
                ("Borrower", _lines(form.institution)),
                ("Asked by", _lines(form.person)),
                ("Address", _lines(form.address)),
                ("Studied by", _lines(form.used_by)),
                ("Purpose", _lines(form.purpose)),
                ("Lent", [f"{many}, {day_text(form.lent_on)}"]),
                ("Due back", [day_text(form.due_on)]),
            )
            if lines
        ],
        "items": [_item(item) for item in form.items],
        "no-sampling": NO_SAMPLING
        if not any(item.leave for item in form.items)
        else f"{NO_SAMPLING} Where leave was granted, it is named with the specimen.",
        "terms": _lines(form.terms),
        "cautions": cautions([clean(number) for number in form.not_frozen]),
        "caution": CAUTION,
        "code": CODE_MM,
        "lent-by": clean(form.lent_by),
        "count": many,
        "due": day_text(form.due_on),
    }


def _item(item: FormItem) -> dict[str, Any]:
    notes = [
        ("condition", clean(item.condition) or "not noted when it left"),
        ("taken under", clean(item.permission)),
        ("leave to cut", clean(item.leave)),
    ]
    return {
        **{key: value for key, value in asdict(item).items() if key in ("number", "kind")},
        "name": item.name,
        "authority": clean(item.authority),
        "gathering": clean(item.gathering),
        "notes": [{"word": word, "text": text} for word, text in notes if text],
        "svg": qr_svg(item.number),
    }


def _lines(text: str) -> list[str]:
    return [line for line in map(clean, text.splitlines()) if line]


def _refuse_unknown_signs(form: LoanForm) -> None:
    """One sign without a drawing would stop the whole file."""
    texts = [
        form.collection,
        form.institution,
        form.person,
        form.address,
        form.used_by,
        form.purpose,
        form.terms,
    ]
    texts.append(form.lent_by)
    for item in form.items:
        texts += [item.authority, item.gathering, item.condition, item.permission, item.leave]
        texts += [text for text, _ in item.name]
    lines = (("", line) for text in texts for line in _lines(text))
    refuse_unknown_signs(lines, kept="The loan is kept as it is")
