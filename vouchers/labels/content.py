"""What a packet label and a determination slip say: plain values, ready to print.

Every text arrives formatted by its own room (names, places, traits); nothing is looked up here. An
empty field is a missing one: its line, or its part of a line, vanishes. Order of the lines: common
practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol, TypeAlias

from ledger.paper.text import PaperError, Pieces, clean
from ledger.words import Said, later, say


class LabelError(PaperError):
    """A label that cannot be made at all, such as one without its number."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a label: the word in the margin and the text beside it.

    The word is kept and compared as it is; `line_word` says it in the language that is active.
    """

    word: str
    pieces: Pieces


# Short words that mean other things elsewhere, each as a sentence of its own in the catalogue; nothing stands in the brace.
_SHORT_WORDS: Mapping[str, str] = {
    "At": later("At{line}"),
    "On": later("On{line}"),
    "Near": later("Near{line}"),
    "Cut": later("Cut{line}"),
    "For": later("For{line}"),
    "Leave": later("Leave{line}"),
    "Result": later("Result{line}"),
    "In": later("In{line}"),
}


def line_word(word: str) -> Said:
    """The word of a line as it is printed, and as a sentence names it."""
    return say(_SHORT_WORDS[word], line="") if word in _SHORT_WORDS else say(word)


@dataclass(frozen=True, slots=True, kw_only=True)
class PacketLabel:
    """The permanent label of one packet.

    `qualifier` is printed upright before the name; leave it empty where the pieces of `name` hold it
    already (Trametes cf. versicolor). `accepted` is the accepted name with its author where `name` is
    another one. `earlier` is the name the packet bore before, with who gave it and when; it is left off
    where it does not fit. `place` runs from country to locality. `position` is the whole text of the
    coordinates with datum and error, or the words of a coarsened place. `near` are the trees around,
    `part` is the side or part of the wood (upper side). `decay_class` names its scale. Readings stand
    by the state of the specimen: `fresh`, `moist`, `dry`, and `noted` where no state was. `code` is what
    the printed code holds: the accession number unless given. `what` stands before the institution: Duplicate.
    """

    accession_number: str
    institution: str = ""
    name: Pieces = ()
    authority: str = ""
    accepted: Pieces = ()
    qualifier: str = ""
    determined_by: str = ""
    determined_on: str = ""
    determined_basis: str = ""
    earlier: Pieces = ()
    place: tuple[str, ...] = ()
    position: str = ""
    altitude: str = ""
    near: str = ""
    substrate: str = ""
    host: Pieces = ()
    host_basis: str = ""
    part: str = ""
    decay_class: str = ""
    fresh: tuple[str, ...] = ()
    moist: tuple[str, ...] = ()
    dry: tuple[str, ...] = ()
    noted: tuple[str, ...] = ()
    collector: str = ""
    collecting_number: str = ""
    collected_on: str = ""
    permit: str = ""
    code: str = ""
    what: str = ""

    def __post_init__(self) -> None:
        if not clean(self.accession_number):
            raise LabelError(
                say("A packet label needs an accession number; nothing was printed. Accession it first.")
            )

    def lines(self) -> tuple[Line, ...]:
        """The ruled lines under name and determination, in order, the empty ones left out."""
        made = (
            Line(later("Place"), _joined(", ", *map(_plain, self.place))),
            Line("At", _joined("; ", _plain(self.position), self._altitude())),
            Line("On", _joined("; ", self._wood(), _plain(self.decay_class))),
            Line("Near", _plain(self.near)),
            Line(later("Fresh"), _joined("; ", *map(_plain, self.fresh))),
            Line(later("Moist"), _joined("; ", *map(_plain, self.moist))),
            Line(later("Dry"), _joined("; ", *map(_plain, self.dry))),
            Line(later("Noted"), _joined("; ", *map(_plain, self.noted))),
            Line(later("Coll."), gathering(self)),
            Line(later("Permission"), _plain(self.permit)),
        )
        return tuple(line for line in made if line.pieces)

    def _altitude(self) -> Pieces:
        tidy = clean(self.altitude)
        return ((say("altitude {altitude}", altitude=tidy), False),) if tidy else ()

    def _wood(self) -> Pieces:
        host = cleaned(self.host)
        wood = _plain(self.substrate)
        if wood and host:
            wood = _woven(say("{wood} of {host}"), wood=wood, host=host)
        known = _joined(" ", wood or host, _within("(", self.host_basis, ")"))
        return _joined(", ", known, _plain(self.part))


@dataclass(frozen=True, slots=True, kw_only=True)
class DeterminationSlip:
    """The slip that a later determination leaves in the packet; older slips and the label stay.

    Collector, collecting number and date lead back to the gathering if slip and packet are parted.
    """

    accession_number: str
    institution: str = ""
    name: Pieces = ()
    authority: str = ""
    accepted: Pieces = ()
    qualifier: str = ""
    determined_by: str = ""
    determined_on: str = ""
    determined_basis: str = ""
    collector: str = ""
    collecting_number: str = ""
    collected_on: str = ""
    earlier: Pieces = field(default=(), init=False)
    code: str = field(default="", init=False)

    def __post_init__(self) -> None:
        if not clean(self.accession_number):
            raise LabelError(
                say("A slip needs the accession number of its packet; nothing was printed. Choose a packet.")
            )

    def lines(self) -> tuple[Line, ...]:
        """None: what a slip says beside name and determination stands at its foot."""
        return ()


Named: TypeAlias = PacketLabel | DeterminationSlip


class Gathered(Protocol):
    """Whatever says who collected it, under which number and when."""

    @property
    def collector(self) -> str: ...
    @property
    def collecting_number(self) -> str: ...
    @property
    def collected_on(self) -> str: ...


def cleaned(pieces: Pieces) -> Pieces:
    """The pieces with clean text; spaces between two pieces are kept, empty pieces go."""
    kept: list[tuple[str, bool]] = []
    gap = False
    for text, italic in pieces:
        tidy = clean(text)
        if not tidy:
            gap = gap or text.isspace()
            continue
        if kept and (text[:1].isspace() or gap):
            kept.append((" ", False))
        kept.append((tidy, italic))
        gap = text[-1:].isspace()
    return tuple(kept)


def heading(label: Named) -> Pieces:
    """The name as it stands at the head of the label, the qualifier before it, without the authority."""
    return _joined(" ", _plain(label.qualifier), cleaned(label.name))


def determination(label: Named) -> Pieces:
    """Who determined it, when, and on what grounds: `A. Thornley, 2 Nov 2026; pores and spores`."""
    return _joined("; ", who_when(label.determined_by, label.determined_on), _plain(label.determined_basis))


def who_when(by: str, on: str) -> Pieces:
    """`A. Thornley, 2 Nov 2026`."""
    return _joined(", ", _plain(by), _plain(on))


def accepted(label: Named) -> Pieces:
    """The accepted name where the label bears another: `= Fomes fomentarius (L.) Fr.`"""
    name = cleaned(label.accepted)
    return _joined("", (("= ", False),), name) if name else ()


def earlier(label: Named) -> Pieces:
    """The name before this one: `earlier: Trametes versicolor, L. Crabbe, 14 Nov 2026`."""
    before = cleaned(label.earlier)
    return _woven(say("earlier: {name}"), name=before) if before else ()


def gathering(label: Gathered) -> Pieces:
    """Who collected it under which number, and when: `M. Rigg MR 118, 14 Oct 2026`."""
    who = _joined(" ", _plain(label.collector), _plain(label.collecting_number))
    return _joined(", ", who, _plain(label.collected_on))


def plain_text(pieces: Pieces) -> str:
    """The pieces as one text."""
    return "".join(text for text, _ in pieces)


def _plain(text: str) -> Pieces:
    tidy = clean(text)
    return ((tidy, False),) if tidy else ()


def _within(opening: str, text: str, closing: str) -> Pieces:
    tidy = clean(text)
    return ((opening + tidy + closing, False),) if tidy else ()


def _woven(sentence: str, **values: Pieces) -> Pieces:
    """The sentence with pieces in the places of the names that it has in braces."""
    parted = re.split(r"\{(\w+)\}", sentence)
    made = (values[part] if at % 2 else ((part, False),) for at, part in enumerate(parted) if part)
    return _joined("", *made)


def _joined(separator: str, *parts: Pieces) -> Pieces:
    """The parts that say something, with the separator between them; neighbours of one style merge."""
    made: list[tuple[str, bool]] = []
    for part in parts:
        if not part:
            continue
        if made:
            made.append((separator, False))
        made.extend(part)
    merged: list[tuple[str, bool]] = []
    for text, italic in made:
        if merged and merged[-1][1] == italic:
            merged[-1] = (merged[-1][0] + text, italic)
        else:
            merged.append((text, italic))
    return tuple(merged)
