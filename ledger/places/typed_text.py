"""Tidying of typed places before they are read: odd signs made plain, and the datum, error and altitude taken off."""

import re
import unicodedata
from dataclasses import dataclass

from ledger.places.errors import PlaceError
from ledger.words import say

LONGEST = 200

# What keyboards, maps and word processors put where a plain sign is meant.
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("−–—‒‑‐﹣－", "-"),
        **dict.fromkeys("º˚∘ᵒ", "°"),
        **dict.fromkeys("’‘´`ʹʼ′‵", "'"),
        **dict.fromkeys("”“„ʺ″‶", '"'),
        **dict.fromkeys("，", ","),
        **dict.fromkeys("；", ";"),
        **dict.fromkeys("：", ":"),
        **dict.fromkeys("\u200b\u200c\u200d\u2060\ufeff\u200e\u200f\u00ad", ""),
    }
)

# Datums by the ways people write them. None is converted; one that is not listed is refused as text not understood.
_DATUMS = {
    "WGS84": r"WGS[\s_-]*(?:19)?84|EPSG:4326",
    "ETRS89": r"ETRS[\s_-]*(?:19)?89|EPSG:4258",
    "NAD83": r"NAD[\s_-]*(?:19)?83",
    "NAD27": r"NAD[\s_-]*(?:19)?27",
    "ED50": r"ED[\s_-]*(?:19)?50",
    "OSGB36": r"OSGB[\s_-]*(?:19)?36",
    "GDA94": r"GDA[\s_-]*(?:19)?94",
    "GDA2020": r"GDA[\s_-]*2020",
    "NZGD2000": r"NZGD[\s_-]*2000",
    "SIRGAS2000": r"SIRGAS[\s_-]*2000",
}
# Datums on GRS80 or WGS84, for which the formulas of the grid hold.
GRID_DATUMS = frozenset({"WGS84", "ETRS89", "NAD83", "GDA94", "GDA2020", "NZGD2000", "SIRGAS2000"})

_NUMBER = r"(\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:[.,]\d+)?)"
# 5,200 is five thousand two hundred, as text.py prints it: nobody knows an error or a height to the millimetre.
_THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", re.ASCII)
_ERROR = re.compile(
    rf"(?:±|\+/-|\+-|\b(?:error|accuracy|uncertainty)\b[:=]?)\s*{_NUMBER}\s*(m|km|metres|meters)\b\.?",
    re.IGNORECASE | re.ASCII,
)
_ALTITUDE = re.compile(
    rf"\b(?:altitude|elevation|alt|elev)\b\.?\s*[:=]?\s*(-?){_NUMBER}\s*(m|metres|meters)\b\.?",
    re.IGNORECASE | re.ASCII,
)


@dataclass(frozen=True, slots=True)
class TypedPlace:
    """The coordinates as text, and what stood beside them."""

    coordinates: str
    datum: str | None
    error_m: float | None
    altitude_m: float | None


def tidy(text: str) -> TypedPlace:
    """Take a typed place apart. PlaceError where it is empty, too long, or names two datums."""
    if len(text) > LONGEST:
        raise PlaceError(
            say("A place has at most {most} characters; this has {n}.", most=LONGEST, n=len(text))
        )
    plain = text.translate(_PLAIN)
    plain = "".join(_digit_or_itself(ch) for ch in plain)
    plain = re.sub(r"\s+", " ", plain).strip()
    if not plain:
        raise PlaceError(say("Nothing was typed. Leave the place empty if it is not known."))
    # As text.py prints it, in either language.
    plain = re.sub(r"\b(?:(?:error|datum) not known|(?:Fehler|Bezugssystem) nicht bekannt)\b", " ", plain)
    plain, error_m = _take_error(plain)
    plain, altitude_m = _take_altitude(plain)
    plain, datum = _take_datum(plain)
    plain = re.sub(r"\(\s*[,;]?\s*\)", " ", plain)
    for opening, closing in ("()", "[]"):
        if plain.strip().startswith(opening) and plain.strip().endswith(closing):
            plain = plain.strip()[1:-1]
    plain = re.sub(r"\s+", " ", plain).strip(" ,;.")
    if not plain:
        raise PlaceError(say("{text} holds no coordinates.", text=repr(text.strip())))
    return TypedPlace(plain, datum, error_m, altitude_m)


def _digit_or_itself(ch: str) -> str:
    # Full-width and mathematical digits and letters only; a full NFKC would turn a degree sign typed as º into "o".
    return unicodedata.normalize("NFKC", ch) if "\uff01" <= ch <= "\uff5e" else ch


def _take_error(text: str) -> tuple[str, float | None]:
    match = _ERROR.search(text)
    if match is None:
        return text, None
    metres = _as_float(match[1]) * (1000 if match[2].lower() == "km" else 1)
    if metres <= 0:
        raise PlaceError(
            say(
                "An error of {number} {unit} cannot be: leave it out where it is not known.",
                number=match[1],
                unit=match[2],
            )
        )
    return text[: match.start()] + " " + text[match.end() :], metres


def _take_altitude(text: str) -> tuple[str, float | None]:
    match = _ALTITUDE.search(text)
    if match is None:
        return text, None
    metres = _as_float(match[2]) * (-1 if match[1] else 1)
    return text[: match.start()] + " " + text[match.end() :], metres


def _take_datum(text: str) -> tuple[str, str | None]:
    found: list[str] = []
    for datum, pattern in _DATUMS.items():
        text, times = re.subn(rf"(?<!\w)(?:{pattern})(?!\w)", " ", text, flags=re.IGNORECASE | re.ASCII)
        found += [datum] if times else []
    if len(found) > 1:
        raise PlaceError(
            say(
                "Two datums are named, {one} and {other}: keep the one the coordinates are in.",
                one=found[0],
                other=found[1],
            )
        )
    return text, found[0] if found else None


def _as_float(text: str) -> float:
    return float(text.replace(",", "" if _THOUSANDS.fullmatch(text) else "."))
