"""How each kind of difference can be settled. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Way:
    """`moves`: what it does to the record: nothing, "seen" (the part moves to where it was seen last) or "typed" (to the
    place that is named with it)."""

    code: str
    words: str
    moves: str = ""


IN_PLACE = Way("in place", "Found after all, in its place")
ELSEWHERE = Way("elsewhere", "Found in another place, where it stays", moves="typed")
STAYS_MISSING = Way("stays missing", "Looked for and not found: it stays missing")
RECORD_FOLLOWS = Way("record follows", "The record follows: it stays where it was seen", moves="seen")

WAYS: Mapping[str, tuple[Way, ...]] = {
    "missing": (
        IN_PLACE,
        ELSEWHERE,
        STAYS_MISSING,
    ),
    "misplaced": (
        Way("put back", "Put back where the record has it"),
        RECORD_FOLLOWS,
        Way("noted", "Noted; nothing else is done here"),
    ),
    "unknown": (
        Way("new label", "It was given its right label"),
        Way("set apart", "Taken out of the store and set apart"),
        Way("no specimen", "No specimen: a wrong code was read"),
    ),
    "twice": (
        Way("same", "The same one, read twice"),
        Way("two", "Two bear this number: one gets another label"),
        RECORD_FOLLOWS,
    ),
}


def way_of(kind: str, code: str) -> Way | None:
    return next((way for way in WAYS.get(kind, ()) if way.code == code), None)
