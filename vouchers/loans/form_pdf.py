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
from ledger.words import later, say, say_n, together
from vouchers.loans.terms import NO_SAMPLING, cautions

_TEMPLATE = Path(__file__).resolve().parent / "form.typ"
# A code of 29 modules, the white around it counted: some 0.4 mm each, which any phone reads from a laser print.
CODE_MM = 12.0
# What the drawing says of its own; what stands in braces is filled in there.
_WORDS = {
    "what": later("Loan of specimens"),
    "page": later("page {page} of {pages}"),
    "lent": later("Specimens lent"),
    "code": later("code"),
    "alt": later("Code of {number}"),
    "specimen": later("number, name, gathering and condition as it left"),
    "back": later("came back"),
    "terms": later("Terms"),
    "cautions": later("On opening and sending"),
    "signatures": later("Signatures"),
    "curator": later("place, date, signature of the curator"),
    "borrower": later("place, date, signature of the borrower’s head"),
    "received": later("Received as listed, the terms are agreed to"),
    "returned": later("Returned as listed"),
    "received-back": later("Received back, the condition noted"),
    "copies": later("Two copies: one stays with the borrower, one comes back signed. Due back: {due}."),
}


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


def print_form(form: LoanForm, paper: str, *, made_at: datetime, language: str = "en") -> bytes:
    """Draw the form on `paper` (a code of PAPERS), on as many pages as it takes. PaperError says why nothing was.

    `language`: the code of the one that is said in, for programs that read the file aloud.
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
    _refuse_unknown_signs(form)
    size = PAPERS[paper]
    data = _data(form) | {
        "language": language.partition("-")[0],
        "paper": {"width": size.width_mm, "height": size.height_mm},
    }
    return Typeset(template(_TEMPLATE), "form.typ", data).pdf(made_at)


def _data(form: LoanForm) -> dict[str, Any]:
    many = say_n("{n} specimen", "{n} specimens", len(form.items))
    lent_by = clean(form.lent_by)
    return {
        "title": say("Loan {number}", number=form.number),
        "number": form.number,
        "collection": clean(form.collection),
        "facts": [
            {"word": word, "lines": lines}
            for word, lines in (
                (say("Borrower"), _lines(form.institution)),
                (say("Asked by"), _lines(form.person)),
                (say("Address"), _lines(form.address)),
                (say("Studied by"), _lines(form.used_by)),
                (say("Purpose"), _lines(form.purpose)),
                (say("Lent"), [f"{many}, {day_text(form.lent_on)}"]),
                (say("Due back"), [day_text(form.due_on)]),
            )
            if lines
        ],
        "items": [_item(item) for item in form.items],
        "no-sampling": say(NO_SAMPLING)
        if not any(item.leave for item in form.items)
        else together([NO_SAMPLING, say("Where leave was granted, it is named with the specimen.")]),
        "terms": _lines(form.terms),
        "cautions": cautions([clean(number) for number in form.not_frozen]),
        "caution": say(CAUTION),
        "code": CODE_MM,
        "lent-by": say("Lent by {name}: {count}", name=lent_by, count=many),
        "due": day_text(form.due_on),
        "words": {name: str(word) for name, word in _WORDS.items()},
    }


def _item(item: FormItem) -> dict[str, Any]:
    notes = [
        (say("condition"), clean(item.condition) or say("not noted when it left")),
        (say("taken under"), clean(item.permission)),
        (say("leave to cut"), clean(item.leave)),
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
    refuse_unknown_signs(lines, kept=say("The loan is kept as it is"))
