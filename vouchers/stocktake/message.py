"""What a phone sends of a walk: codes as they were seen. Pure: bytes in, values out."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from ledger.phone.payload import PayloadError, parse_object
from ledger.record.visible import one_line
from ledger.words import say

MOST_AT_ONCE = 500
TEXT_LENGTH = 60
_FIRST = datetime(2000, 1, 1, tzinfo=UTC)
_LAST = datetime(9000, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Told:
    """One sighting as the phone has it. `place`: the number on the place's label; `at`: by the phone's clock."""

    id: uuid.UUID
    text: str
    place: int
    at: datetime
    is_taken_back: bool


@dataclass(frozen=True, slots=True)
class Walk:
    """`member`: who saw it, as the phone knows; `sent_at`: by its clock, so that one set wrong can be allowed for."""

    member: int
    sent_at: datetime
    sightings: tuple[Told, ...]


def parse_walk(raw: bytes) -> Walk:
    """Read one message of a walk. PayloadError says what of it cannot be read."""
    data = parse_object(raw)
    given = data.get("sightings")
    if not isinstance(given, list) or not all(isinstance(one, dict) for one in given):
        raise PayloadError(say("its sightings are no list"))
    if len(given) > MOST_AT_ONCE:
        raise PayloadError(say("it holds more than {most} sightings", most=MOST_AT_ONCE))
    return Walk(_whole(data, "member"), _time(data, "sent_at"), tuple(_told(one) for one in given))


def _told(given: Mapping[str, Any]) -> Told:
    text = given.get("text")
    if not isinstance(text, str):
        raise PayloadError(say("a sighting has no text"))
    return Told(
        _uuid(given),
        one_line(text, TEXT_LENGTH),
        _whole(given, "place"),
        _time(given, "at"),
        given.get("taken_back") is True,
    )


def _uuid(given: Mapping[str, Any]) -> uuid.UUID:
    try:
        return uuid.UUID(str(given.get("id")))
    except ValueError:
        raise PayloadError(say("a sighting has no key")) from None


def _whole(given: Mapping[str, Any], name: str) -> int:
    value = given.get(name)
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= 2_147_483_647:
        raise PayloadError(say("its {name} is no number", name=name))
    return value


def _time(given: Mapping[str, Any], name: str) -> datetime:
    try:
        time = datetime.fromisoformat(str(given.get(name)))
    except ValueError:
        raise PayloadError(say("its {name} is no time", name=name)) from None
    time = time if time.tzinfo else time.replace(tzinfo=UTC)
    if not _FIRST <= time <= _LAST:
        raise PayloadError(say("its {name} is no time of our days", name=name))
    return time.astimezone(UTC)
