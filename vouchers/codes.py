"""What the printed codes hold, and how they are read, scanned or typed. Pure.

    TFG 2026-0118       a voucher, and its first packet
    TFG 2026-0118 S1    another part of it: the letter says the kind, the number runs from 1 within the kind
    TFG PLACE 17        a place of the store
    TFG TRAY 5          a tray of the drier

Capital letters, digits, blank and hyphen only: a QR code holds these in its alphanumeric mode, so that it stays small
enough for a tube. What a person can read below the code is the same text.
"""

import re
from collections.abc import Collection
from dataclasses import dataclass

from ledger.words import Later, Said, later, lowered
from vouchers.register.numbers import AccessionNumber


@dataclass(frozen=True, slots=True)
class PartKind:
    """A kind of part: what it is called, and its letter in the suffix. The packet has none: it bears the bare number.

    `code` is what the rows hold; `label` is said where the kind stands alone, `kind_word` within a sentence.
    """

    code: str
    letter: str
    plural: str
    label: Later


PART_KINDS = (
    PartKind("packet", "", "packets", later("Packet")),
    PartKind("duplicate", "D", "duplicates", later("Duplicate")),
    PartKind("slide", "S", "slides", later("Slide")),
    PartKind("spore print", "P", "spore prints", later("Spore print")),
    PartKind("tissue tube", "T", "tissue tubes", later("Tissue tube")),
    PartKind("wood piece", "W", "wood pieces", later("Wood piece")),
)
KIND_OF_LETTER = {kind.letter: kind for kind in PART_KINDS if kind.letter}
LETTER_OF_KIND = {kind.code: kind.letter for kind in PART_KINDS}
_LABELS = {kind.code: kind.label for kind in PART_KINDS}


def kind_word(code: str) -> Said:
    """A kind of part within a sentence, by what the rows hold: `spore print`."""
    return lowered(_LABELS[code])


@dataclass(frozen=True, slots=True)
class VoucherCode:
    number: AccessionNumber

    @property
    def text(self) -> str:
        return str(self.number)


@dataclass(frozen=True, slots=True)
class PartCode:
    """`suffix` is S1, D2 ...; the first packet's code is a VoucherCode."""

    number: AccessionNumber
    suffix: str

    @property
    def kind(self) -> str:
        return KIND_OF_LETTER[self.suffix[0]].code

    @property
    def text(self) -> str:
        return f"{self.number} {self.suffix}"


@dataclass(frozen=True, slots=True)
class PlaceCode:
    prefix: str
    place: int

    @property
    def text(self) -> str:
        return f"{self.prefix} PLACE {self.place}"


@dataclass(frozen=True, slots=True)
class TrayCode:
    prefix: str
    tray: int

    @property
    def text(self) -> str:
        return f"{self.prefix} TRAY {self.tray}"


@dataclass(frozen=True, slots=True)
class ForeignCode:
    """A code of this shape with a prefix that is not ours: another club's specimen, a borrowed one, a slip of the pen."""

    prefix: str
    text: str


@dataclass(frozen=True, slots=True)
class UnknownCode:
    """Anything else: an empty box, a shop's barcode, a collecting number. `text` is what was read, 60 characters of it."""

    text: str


Code = VoucherCode | PartCode | PlaceCode | TrayCode | ForeignCode | UnknownCode

# Every stroke that a keyboard, a word processor or a telephone may put for a hyphen.
_STROKES = str.maketrans(dict.fromkeys("‐‑‒–—―−﹣－_", "-"))
_NUMBER = re.compile(r"(?:([A-Z]{2,8})[ -]*)?(\d{4})[ /-]+(\d{1,6})(?:[ /-]*([A-Z])[ -]?0*(\d{1,3}))?")
_PLACE_OR_TRAY = re.compile(r"(?:([A-Z]{2,8})[ -]+)?(PLACE|PLATZ|TRAY)[ .-]*0*(\d{1,6})")


def read_code(text: str, prefix: str | Collection[str]) -> Code:
    """Return what *text* names. Never raises.

    `prefix` is the club's prefix, or all it ever had, today's first: numbers keep the prefix they were given with. A
    number typed without one is of today's. Small letters, missing blanks, leading zeros and other strokes are read as
    meant; letters are never taken for digits, since a guessed number is another specimen's.
    """
    ours = (prefix,) if isinstance(prefix, str) else tuple(prefix)
    typed = " ".join(text.translate(_STROKES).upper().split())
    if found := _PLACE_OR_TRAY.fullmatch(typed):
        given, what, digits = found[1] or ours[0], found[2], int(found[3])
        # A German page calls it "Platz 7", which is then typed; what is printed says PLACE.
        code = TrayCode(given, digits) if what == "TRAY" else PlaceCode(given, digits)
        return _ours_or_foreign(code, given, ours) if digits else UnknownCode(typed[:60])
    found = _NUMBER.fullmatch(typed)
    if found is None or int(found[3]) == 0 or (found[4] and int(found[5]) == 0):
        return UnknownCode(" ".join(text.split())[:60])
    given = found[1] or ours[0]
    number = AccessionNumber(given, int(found[2]), int(found[3]))
    if not found[4]:
        return _ours_or_foreign(VoucherCode(number), given, ours)
    if found[4] not in KIND_OF_LETTER:
        return UnknownCode(" ".join(text.split())[:60])
    return _ours_or_foreign(PartCode(number, f"{found[4]}{int(found[5])}"), given, ours)


def _ours_or_foreign(
    code: VoucherCode | PartCode | PlaceCode | TrayCode, given: str, ours: Collection[str]
) -> Code:
    return code if given in ours else ForeignCode(given, code.text)
