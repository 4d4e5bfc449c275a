"""One find of a file as the action of logging takes it, with what comes beside it; or what is wrong with its line."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from ledger.exchange.media import PhotoOut
from ledger.finds.entries import FindEntry, NameGiven

# Of records that name themselves by no UUID: the same identity gives the same find in whatever ledger.
_NAMES = uuid.UUID("6f0e3c0e-6e0d-5d0b-9d2c-5b1f6c1f2a10")


@dataclass(frozen=True, slots=True)
class NameThere:
    """One opinion of a name as the file tells it: who gave it, and whether it is the one in force."""

    given: NameGiven
    by: str
    is_current: bool = False


@dataclass(frozen=True, slots=True)
class Draft:
    """`identity`, `digest`: what the record is known by, and its row. `finder`: as it is named. `read_on`: ISO day of each
    trait's reading where it was told. `foray`: name and day, day None where only a name was told. `kept`: what the ledger
    has no box for. `says`: for the report. `agreed`: names that were published, with their public identifiers.
    """

    line: int
    id: uuid.UUID
    identity: str
    digest: str
    entry: FindEntry
    finder: str
    names: Sequence[NameThere] = ()
    read_on: dict[str, str] = field(default_factory=dict)
    changed_at: datetime | None = None
    foray: tuple[str, date | None] | None = None
    share_of: uuid.UUID | None = None
    photos: Sequence[PhotoOut] = ()
    kept: dict[str, Any] = field(default_factory=dict)
    agreed: dict[str, str] = field(default_factory=dict)
    says: Sequence[str] = ()

    @property
    def label(self) -> str:
        number = self.entry.number
        return f"{number.code} {number.serial}{number.suffix}" if number else ""


@dataclass(frozen=True, slots=True)
class WrongLine:
    """A line that cannot be taken in, and why, in sentences."""

    line: int
    why: Sequence[str]


def find_id_of(identity: str) -> uuid.UUID:
    """The UUID that the identity is, or the one that is made of it."""
    try:
        return uuid.UUID(identity.strip().removeprefix("urn:uuid:"))
    except ValueError:
        return uuid.uuid5(_NAMES, identity)
