"""Templates and data to a PDF by typst: tagged, PDF/A-2a and PDF/UA-1, every font inside, nothing evaluated.

Texts go in as one JSON file that a template reads; no text is ever part of a template.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import typst

from ledger.paper import glyphs
from ledger.paper.text import PaperError


class Typeset:
    """One run: `main` of the `templates` (by file name) over `data`, which they read as run.json.

    The layout is remembered: asking for a value and then for the PDF draws once.
    """

    def __init__(self, templates: Mapping[str, bytes], main: str, data: Mapping[str, Any]) -> None:
        # typst takes files by name, which its type hints do not know of.
        files: Any = dict(templates)
        files["main.typ"] = files.pop(main)
        files["run.json"] = json.dumps(data, ensure_ascii=False).encode()
        self._files = files
        self._compiler = typst.Compiler(self._files, font_paths=fonts())

    def value(self, label: str) -> Any:
        """Return the value that the template left under `<label>`."""
        return json.loads(self._compiler.query(f"<{label}>", field="value", one=True))

    def pdf(self, made_at: datetime) -> bytes:
        """Return the PDF. `made_at`, with its zone, is written into it; the same run gives the same bytes."""
        require_zone(made_at)
        pdf = self._compiler.compile(
            input=self._files,
            format="pdf",
            pdf_standards=["a-2a", "ua-1"],
            timestamp=int(made_at.timestamp()),
        )
        assert isinstance(pdf, bytes)
        return pdf


def require_zone(made_at: datetime) -> None:
    """Raise PaperError where the date of printing has no time zone."""
    if made_at.tzinfo is None:
        raise PaperError("The date of printing has no time zone; nothing was printed.")


@cache
def template(path: Path) -> dict[str, bytes]:
    """Return one template by its file name; read once."""
    return {path.name: path.read_bytes()}


def templates_in(folder: Path) -> dict[str, bytes]:
    """Return the templates of a folder by file name."""
    return {path.name: path.read_bytes() for path in sorted(folder.glob("*.typ"))}


def refuse_unknown_signs(texts: Iterable[tuple[str, str]], *, kept: str = "") -> None:
    """PaperError where a text holds a sign that no print font draws: one would stop the whole file.

    Each with where it stands, such as `under TFG 2026-0001`, empty where the text itself says it; `kept`: what stays.
    """
    for where, text in texts:
        if unknown := glyphs.missing(text):
            at, do = f"{where}, " if where else "", f"{kept}; write" if kept else "Write"
            raise PaperError(
                f"Nothing was printed: {at}“{glyphs.shown(text)[:60]}” holds {glyphs.shown(unknown)}, which the print fonts "
                f"cannot draw. {do} it in other letters."
            )


@cache
def fonts() -> typst.Fonts:
    """Return the print fonts of the house, and no others."""
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(glyphs.FONT_FOLDER)]
    )
