"""A report as a PDF. Pure."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from ledger.paper import glyphs
from ledger.paper.apart import pdf_apart
from ledger.paper.papers import PAPERS
from ledger.paper.text import CAUTION, PaperError, clean
from ledger.paper.typesetting import require_zone, template
from ledger.reports.sheet import Report
from ledger.words import say

_TEMPLATE = Path(__file__).resolve().parent / "report.typ"
# Stands for a sign that no print font draws: one of them would stop the whole file, and with it everybody else's finds.
NOT_DRAWN = "\u25af"


def print_report(report: Report, paper: str, *, made_at: datetime, language: str = "en") -> bytes:
    """Return the PDF on `paper`, a code of PAPERS. The same report at the same moment gives the same bytes.

    `language`: the code of the one that is said in, for programs that read the file aloud.

    A sign that the print fonts do not have stands as NOT_DRAWN, and the foot says so. PaperError for an unknown paper, or
    a moment without its zone.
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
    sheet = PAPERS[paper]
    drawn = _Drawn()
    data = {
        "what": report.what,
        "of": drawn.text(report.of),
        "club": drawn.text(report.club),
        "made": drawn.text(report.made_text),
        "language": language.partition("-")[0],
        "words": {"page": say("page {page} of {pages}"), "read-with-it": say("To be read with it")},
        "warning": drawn.text(report.warning),
        "part": say("part {part} of {parts}", part=report.part, parts=report.parts)
        if report.parts > 1
        else "",
        "blocks": [{"kind": block.kind, **drawn.all(asdict(block))} for block in report.blocks],
        "cautions": [drawn.text(line) for line in report.cautions],
        "caution": str(CAUTION),
        "paper": {"width": sheet.width_mm, "height": sheet.height_mm},
    }
    data["not-drawn"] = drawn.said
    return pdf_apart(template(_TEMPLATE), "report.typ", data, made_at)


class _Drawn:
    """Texts as they can be drawn; remembers what could not be."""

    def __init__(self) -> None:
        self.lost: set[str] = set()

    def text(self, text: str) -> str:
        # The ends stay: a piece of a name brings its blank along.
        cleaned = clean(text)
        whole = f"{' ' if text[:1].isspace() else ''}{cleaned}{' ' if text[-1:].isspace() else ''}"
        for sign in glyphs.missing(whole):
            self.lost.add(sign)
            whole = whole.replace(sign, NOT_DRAWN)
        return whole

    def all(self, value: Any) -> Any:
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, dict):
            return {key: self.all(one) for key, one in value.items()}
        if isinstance(value, Sequence):
            return [self.all(one) for one in value]
        return value

    @property
    def said(self) -> str:
        if not self.lost:
            return ""
        return say(
            "{sign} stands for a sign that the print fonts cannot draw; the ledger’s page shows it.",
            sign=NOT_DRAWN,
        )
