"""Texts as they go to paper: without the signs that stop a PDF or deceive the eye, in pieces for Latin names."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from typing import TypeAlias

from ledger.words import later

# A text in pieces, spaces included; True where the piece is a Latin name and stands in italics.
Pieces: TypeAlias = tuple[tuple[str, bool], ...]

CAUTION = later("A record of a find; never a reason to eat one.")

_SPACES = re.compile(r"\s+")
_DROPPED = {"Cc", "Cf"}  # Unicode categories: control, format


class PaperError(ValueError):
    """Something that cannot be printed at all; the message says why and what to do."""


def clean(text: str) -> str:
    """The text as it is printed: composed (NFC), one space for any run of white space, no controls.

    Control characters stop a PDF/A from being made; format characters (soft hyphens, marks that turn
    the direction of writing) would print a text other than the one that is read.
    """
    if text.isascii() and text.isprintable() and "  " not in text:
        return text.strip()
    spaced = _SPACES.sub(" ", unicodedata.normalize("NFC", text))
    return "".join(c for c in spaced if unicodedata.category(c) not in _DROPPED).strip()


def italicised(text: str, latin: Collection[str]) -> Pieces:
    """The text in pieces, every whole word or name among `latin` in italics."""
    if not latin:
        return ((text, False),)
    names = "|".join(re.escape(name) for name in sorted(latin, key=len, reverse=True))
    parted = re.split(rf"(?<!\w)({names})(?!\w)", text)
    return tuple((piece, at % 2 == 1) for at, piece in enumerate(parted) if piece)
