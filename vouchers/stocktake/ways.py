"""How each kind of difference can be settled. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from ledger.words import Later, later


@dataclass(frozen=True, slots=True)
class Way:
    """`moves`: what it does to the record: nothing, "seen" (the part moves to where it was seen last) or "typed" (to the
    place that is named with it)."""

    code: str
    words: Later
    moves: str = ""


IN_PLACE = Way("in place", later("Found after all, in its place"))
ELSEWHERE = Way("elsewhere", later("Found in another place, where it stays"), moves="typed")
STAYS_MISSING = Way("stays missing", later("Looked for and not found: it stays missing"))
RECORD_FOLLOWS = Way("record follows", later("The record follows: it stays where it was seen"), moves="seen")

# What each kind of difference is called where it heads a line.
KIND_WORDS: Mapping[str, Later] = {
    "missing": later("Missing"),
    "misplaced": later("Misplaced"),
    "unknown": later("Unknown"),
    "twice": later("Seen twice"),
}

WAYS: Mapping[str, tuple[Way, ...]] = {
    "missing": (
        IN_PLACE,
        ELSEWHERE,
        STAYS_MISSING,
    ),
    "misplaced": (
        Way("put back", later("Put back where the record has it")),
        RECORD_FOLLOWS,
        Way("noted", later("Noted; nothing else is done here")),
    ),
    "unknown": (
        Way("new label", later("It was given its right label")),
        Way("set apart", later("Taken out of the store and set apart")),
        Way("no specimen", later("No specimen: a wrong code was read")),
    ),
    "twice": (
        Way("same", later("The same one, read twice")),
        Way("two", later("Two bear this number: one gets another label")),
        RECORD_FOLLOWS,
    ),
}


def way_of(kind: str, code: str) -> Way | None:
    return next((way for way in WAYS.get(kind, ()) if way.code == code), None)
