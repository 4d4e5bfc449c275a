"""What is planned for one find of the demo: what is typed, what is photographed, and what the curators will do."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from ledger.demo.beside import NOTHING, Beside
from ledger.demo.drawing import CapSpec, Shot, UndersideSpec, WoodSpec
from ledger.demo.scene import Kind, Outing, Person, Wood
from ledger.finds.entries import ReadingEntry


@dataclass(frozen=True, slots=True)
class PlannedPhoto:
    """One photograph: the view, what is to be drawn, its seed, what the camera writes into it, and what lies beside."""

    view: str
    spec: CapSpec | UndersideSpec | WoodSpec
    seed: int
    shot: Shot
    beside: Beside = NOTHING


@dataclass(frozen=True, slots=True)
class PlannedMeasure:
    """What somebody measures on a photo of that view: way, trait and points as the page of measuring sends them."""

    view: str
    way: str
    trait: str
    points: tuple[tuple[float, float], ...]
    note: str = ""
    by_curator: bool = False


@dataclass(frozen=True, slots=True)
class Rename:
    """A redetermination by a curator."""

    typed: str
    basis: str
    note: str


@dataclass(frozen=True, slots=True)
class Ask:
    """A question with which the find goes back; `answer` None: it still waits for one."""

    text: str
    answer: str | None
    days: int = 3


@dataclass(frozen=True, slots=True)
class Fate:
    """What the curators do with the find, on the first bench evening after `rest_days`."""

    rest_days: int = 0
    ask: Ask | None = None
    rename: Rename | None = None
    settle: str = ""
    voucher: bool = False
    held: bool = False
    """One of those that are left held on purpose, so that each kind of flag can be seen."""


@dataclass(frozen=True, slots=True)
class PlannedFind:
    """One find. `taxon` is what it is, `name` what its finder typed; `later` are readings added days afterwards."""

    id: uuid.UUID
    kind: Kind
    wood: Wood
    finder: Person
    logged_at: datetime
    record: Mapping[str, Any]
    readings: Mapping[str, ReadingEntry]
    name: str
    photos: tuple[PlannedPhoto, ...]
    basis: str = "by eye"
    outing: Outing | None = None
    later: Mapping[str, ReadingEntry] = field(default_factory=dict)
    later_days: int = 2
    serial_back: int | None = None
    """For a number from a paper slip: how far from the next number it is; 0 is the next, -3 one used before."""
    number_of: str = ""
    """`void`: a number from slips that had come back unused; `phone`: one that waits on somebody else's phone."""
    named_on: date | None = None
    """The day of its name, where that is not the day it was logged."""
    clock_off_s: int | None = None
    """For a find from a phone: how far its clock was ahead of the ledger's."""
    measures: tuple[PlannedMeasure, ...] = ()
    """What is measured on its photos, by the finder that evening and by a curator two days later."""
    spores: tuple[tuple[float, float], ...] = ()
    """Length and width of each spore, µm, measured by the finder the next evening from a print."""
    fate: Fate = field(default_factory=Fate)

    @property
    def taxon(self) -> str:
        return self.kind.taxon
