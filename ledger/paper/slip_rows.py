"""What a data slip asks, in the order hands do things: rows of pictures to tick, words to tick and blanks to fill.

The traits come from the vocabulary: those marked as `on_slip`, colours as blanks, since a pencil says them better than
a box. What is not a trait (place, photos, name) is the trade's own (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from ledger.paper.icons import is_colour
from ledger.photos.view_table import SLIP_WORDS
from ledger.traits.readings import AGES, SPECIMEN_STATES
from ledger.traits.strip import UNIT_WORDS
from ledger.traits.vocabulary import Trait, Vocabulary
from ledger.words import later, lowered, say

# Pictures side by side in the width of a slip.
PICTURES_IN_A_ROW = 8
_SUBSTRATE = "substrate"
# As a specimen is met in a wood, in the words of the form; the others hardly come up there.
_STATES = tuple(state for state in SPECIMEN_STATES if state in ("fresh", "moist", "air-dry"))
_AGES = tuple(age for age in AGES if age != "mixed")
# How the blank of a colour is called, and a measure where its label says more than a blank has room for.
_COLOURED = {
    "pore_surface_colour": later("underside"),
    "margin_colour": later("edge"),
    "cap_colour": later("cap"),
}
_MEASURED = {"pores_per_mm": later("Pores")}


@dataclass(frozen=True, slots=True)
class Picture:
    """A state to tick: its drawing and its word."""

    icon: str
    word: str


@dataclass(frozen=True, slots=True)
class Pictures:
    """A trait whose states are ticked in pictures."""

    word: str
    pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True)
class Blank:
    """A word, the room to write in as a share of the line, and what stands behind it.

    `between` divides the room: `–` for a lowest and a highest value.
    """

    word: str
    share: float = 1.0
    behind: str = ""
    between: str = ""


@dataclass(frozen=True, slots=True)
class Ticks:
    """Words to tick, after the word that says of what."""

    word: str
    words: tuple[str, ...]


Piece: TypeAlias = Blank | Ticks


@dataclass(frozen=True, slots=True)
class PictureRow:
    """Traits in pictures, side by side."""

    traits: tuple[Pictures, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """Blanks and words to tick on one line."""

    pieces: tuple[Piece, ...]


Row: TypeAlias = PictureRow | Line


def slip_rows(vocabulary: Vocabulary) -> tuple[Row, ...]:
    """Return the rows of a slip."""
    traits = list(vocabulary.traits.values())
    return (
        *_picture_rows([trait for trait in traits if _in_pictures(trait)]),
        Line((Ticks(say("It is"), tuple(say(word) for word in (*_STATES, *_AGES))),)),
        Line(tuple(_colours([trait for trait in traits if _is_colour(trait)]))),
        *_with_smell(_measures([trait for trait in traits if trait.on_slip and trait.kind == "number"])),
        *(
            Line((Ticks(say("Wood"), _words(trait)),))
            for trait in traits
            if _of_the_wood(trait) and len(trait.states) > 2
        ),
        Line((_host(vocabulary), Blank(say("Host"), 1.6), Blank(say("known by")))),
        Line((_rot(vocabulary), Blank(say("decay class"), 0.8), Blank(say("of"), 0.5))),
        Line((Blank(say("Date"), 0.55), Blank(say("Place")))),
        Line((Blank(say("Position"), 1.8), Blank("±", 0.5, "m"))),
        Line((Ticks(say("Photos"), tuple(say(word) for word in SLIP_WORDS)), Blank(say("in all")))),
        Line((Blank(say("Name, for now"), 1.7), Blank(say("by")))),
        Line((Ticks("", (say("kept"), say("seen only"))), Blank(say("Permission")))),
    )


def _in_pictures(trait: Trait) -> bool:
    pictured = trait.kind == "states" and not any(is_colour(state.icon) for state in trait.states)
    return pictured and trait.on_slip and not _of_the_wood(trait)


def _of_the_wood(trait: Trait) -> bool:
    return trait.group == _SUBSTRATE and trait.on_slip and trait.kind == "states"


def _is_colour(trait: Trait) -> bool:
    return trait.on_slip and any(is_colour(state.icon) for state in trait.states)


def _colours(traits: list[Trait]) -> Iterator[Blank]:
    """`Colours: underside ____ edge ____`: each by the part it is of."""
    for at, trait in enumerate(traits):
        part = say(_COLOURED.get(trait.code) or trait.label.lower())
        yield Blank(part if at else say("Colours: {part}", part=part))


def _measures(traits: list[Trait]) -> Iterator[Line]:
    """Lowest and highest of each; those of one unit share a line, which asks how many were measured."""
    for unit in dict.fromkeys(trait.unit or "" for trait in traits):
        those = [trait for trait in traits if trait.unit == unit]
        names = [_short(trait) for trait in those]
        first = names[0].partition(" ")[0] + " "
        if all(name.startswith(first) for name in names):
            names[1:] = [name.removeprefix(first) for name in names[1:]]
        units = [""] * (len(those) - 1) + [str(UNIT_WORDS.get(unit, unit))]
        blanks = tuple(Blank(name, 1.0, said, "–") for name, said in zip(names, units, strict=True))
        counted = Blank(say("of"), 0.8, say("caps")) if unit == "mm" else Blank(say("at"), 0.8, say("places"))
        yield Line((*blanks, counted))


def _with_smell(measures: Iterator[Line]) -> tuple[Line, ...]:
    """On the last line of the measures, which the counts leave room on."""
    *before, last = measures
    return (*before, Line((*last.pieces, Blank(say("Smells"), 2.0))))


def _short(trait: Trait) -> str:
    """The name of a trait without what the unit behind the blank says already."""
    return say(_MEASURED.get(trait.code) or trait.label).partition(",")[0]


def _picture_rows(traits: list[Trait]) -> Iterator[Row]:
    """Full rows of pictures; what would leave half a row empty is ticked in words on one line."""
    rows: list[list[Trait]] = [[]]
    for trait in traits:
        if sum(len(one.states) for one in [*rows[-1], trait]) > PICTURES_IN_A_ROW:
            rows.append([])
        rows[-1].append(trait)
    for row in rows:
        if sum(len(one.states) for one in row) > PICTURES_IN_A_ROW / 2:
            yield PictureRow(tuple(_pictures(trait) for trait in row))
        else:
            yield from (Line((Ticks(say(trait.label), _words(trait)),)) for trait in row)


def _pictures(trait: Trait) -> Pictures:
    return Pictures(say(trait.label), tuple(Picture(state.icon, say(state.label)) for state in trait.states))


def _words(trait: Trait) -> tuple[str, ...]:
    return tuple(lowered(state.label) for state in trait.states)


def _host(vocabulary: Vocabulary) -> Ticks:
    return Ticks("", _words(vocabulary.traits["host"]))


def _rot(vocabulary: Vocabulary) -> Ticks:
    return Ticks("", (*_words(vocabulary.traits["rot"]), say("none seen")))
