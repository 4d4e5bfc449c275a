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
from ledger.words import Later, Said, say


class Typeset:
    """One run: `main` of the `templates` (by file name) over `data`, which they read as run.json.

    The layout is remembered: asking for a value and then for the PDF draws once.
    """

    def __init__(self, templates: Mapping[str, bytes], main: str, data: Mapping[str, Any]) -> None:
        # typst takes files by name, which its type hints do not know of.
        files: Any = dict(templates)
        files["main.typ"] = files.pop(main)
        files["run.json"] = json.dumps(spoken(data), ensure_ascii=False).encode()
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


def spoken(data: Any) -> Any:
    """The data of a run with every word in the language that is active now; JSON would take a `later()` as English."""
    if isinstance(data, Later):
        return str(data)
    if isinstance(data, Mapping):
        return {name: spoken(value) for name, value in data.items()}
    return [spoken(value) for value in data] if isinstance(data, list | tuple) else data


def require_zone(made_at: datetime) -> None:
    """Raise PaperError where the date of printing has no time zone."""
    if made_at.tzinfo is None:
        raise PaperError(say("The date of printing has no time zone; nothing was printed."))


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
            raise PaperError(_not_drawn(where, glyphs.shown(text)[:60], glyphs.shown(unknown), kept))


def _not_drawn(where: str, text: str, signs: str, kept: str) -> Said:
    values = {"text": text, "signs": signs, "kept": kept, "where": where}
    if where and kept:
        return say(
            "Nothing was printed: {where}, “{text}” holds {signs}, which the print fonts cannot draw. "
            "{kept}; write it in other letters.",
            **values,
        )
    if where:
        return say(
            "Nothing was printed: {where}, “{text}” holds {signs}, which the print fonts cannot draw. "
            "Write it in other letters.",
            **values,
        )
    if kept:
        return say(
            "Nothing was printed: “{text}” holds {signs}, which the print fonts cannot draw. "
            "{kept}; write it in other letters.",
            **values,
        )
    return say(
        "Nothing was printed: “{text}” holds {signs}, which the print fonts cannot draw. Write it in other letters.",
        **values,
    )


@cache
def fonts() -> typst.Fonts:
    """Return the print fonts of the house, and no others."""
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(glyphs.FONT_FOLDER)]
    )
