"""One message of a phone's outbox: what it must hold, and the seal on it. Pure: bytes in, values out."""

import hashlib
import hmac
import json
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from ledger.record.visible import one_line

MOST_FIELDS = 1000
# More than any box takes, so that the form can say which one is too full.
MOST_TEXT = 20_000
MOST_NAME = 80
# More than a find holds, so that it can be said in words.
MOST_PHOTOS = 200
# Integers that a column of either database holds.
MOST_INTEGER = 2_147_483_647
MOST_BYTES = 9_007_199_254_740_991
_HEX = re.compile(r"[0-9a-f]{64}")
# As browsers write a year of more than four figures, or before the year 0.
_BEYOND = re.compile(r"([+-]\d{6}|0000)-\d\d-\d\dT[\d:.]+Z")
_FIRST = datetime(1, 1, 2, tzinfo=UTC)
_LAST = datetime(9999, 12, 30, tzinfo=UTC)


class PayloadError(ValueError):
    """A message that cannot be read; the text says what of it."""


class Tampered(PayloadError):
    """The message is whole, but its seal does not fit what it holds."""


@dataclass(frozen=True, slots=True)
class PhotoSaid:
    """A photo that belongs to the find and comes after it: SHA-256 of its bytes, how many, and what it shows."""

    sha256: str
    bytes: int
    view: str


@dataclass(frozen=True, slots=True)
class Message:
    """A find as one phone sends it. `fields` are those of the log form, in its order, as they were typed.

    `version` is that of the find on the ledger which the phone had before it; None: a new find. `made_at` (the form was
    opened), `typed_at` (last key) and `sent_at` are by the phone's clock; None where they cannot be read as times.
    """

    find: uuid.UUID
    member: int
    version: int | None
    opened_at: datetime | None
    sent_at: datetime | None
    made_at: datetime | None
    typed_at: datetime | None
    phone: uuid.UUID | None
    reference: str
    finder: int | None
    found_by: str
    serial: int | None
    fields: tuple[tuple[str, str], ...]
    photos: tuple[PhotoSaid, ...]
    digest: str


def parse_message(raw: bytes) -> Message:
    """Read one message. PayloadError says what cannot be read, Tampered that the seal does not fit."""
    data = parse_object(raw)
    find = _text(data, "find", 36)
    fields, photos = _fields(data.get("fields")), _photos(data.get("photos", []))
    message = Message(
        find=_uuid("find", find),
        member=_must(_integer(data, "member"), "member"),
        version=_integer(data, "version"),
        opened_at=_time(data.get("opened_at")),
        sent_at=_time(data.get("sent_at")),
        made_at=_time(data.get("made_at")),
        typed_at=_time(data.get("typed_at") or data.get("made_at")),
        phone=_uuid("phone", _text(data, "phone", 36)) if data.get("phone") else None,
        reference=_text(data, "reference", 64) if data.get("reference") else "",
        finder=_integer(data, "finder"),
        found_by=one_line(_text(data, "found_by", MOST_TEXT)) if data.get("found_by") else "",
        serial=_integer(data, "serial"),
        fields=fields,
        photos=photos,
        digest=_text(data, "digest", 64),
    )
    made = digest_of(data)
    if not hmac.compare_digest(made.encode(), message.digest.encode("ascii", "replace")):
        raise Tampered("what it holds is not what its seal was made of")
    return message


def digest_of(data: Mapping[str, Any]) -> str:
    """SHA-256, in hex, over what a find is made of: the compact JSON that a browser's JSON.stringify writes."""
    sealed = [
        *(data.get(name) for name in ("find", "version", "finder")),
        data.get("found_by") or "",
        data.get("serial"),
        data.get("fields"),
        [[photo["sha256"], photo["bytes"], photo["view"]] for photo in data.get("photos") or []],
    ]
    return hashlib.sha256(json.dumps(sealed, ensure_ascii=False, separators=(",", ":")).encode()).hexdigest()


def parse_object(raw: bytes) -> dict[str, Any]:
    """A JSON object whose texts can be stored: no NUL, no half characters, no NaN. PayloadError otherwise."""
    try:
        text = raw.decode("utf-8")
        data = json.loads(text, parse_constant=_no_constant)
        # A half of a surrogate pair is text in JSON, and none that can be stored or sealed.
        json.dumps(data, ensure_ascii=False).encode()
    except RecursionError as error:
        raise PayloadError("it is nested too deeply") from error
    except ValueError as error:
        raise PayloadError("it is not JSON") from error
    if not isinstance(data, dict):
        raise PayloadError("it is not a JSON object")
    return data


def _no_constant(name: str) -> float:
    raise ValueError(name)


def _fields(given: Any) -> tuple[tuple[str, str], ...]:
    if not isinstance(given, list) or len(given) > MOST_FIELDS:
        raise PayloadError(f"fields must be a list of at most {MOST_FIELDS} pairs")
    return tuple(_pair(pair) for pair in given)


def _pair(pair: Any) -> tuple[str, str]:
    is_pair = isinstance(pair, list) and len(pair) == 2 and all(isinstance(part, str) for part in pair)
    if not is_pair or len(pair[0]) > MOST_NAME:
        raise PayloadError("a field must be a pair of texts, a name and a value")
    if len(pair[1]) > MOST_TEXT:
        raise PayloadError(f"the box {pair[0]} holds more than {MOST_TEXT:,} characters")
    if "\0" in pair[0] or "\0" in pair[1]:
        raise PayloadError("a field holds a character that no keyboard has")
    return pair[0], pair[1]


def _photos(given: Any) -> tuple[PhotoSaid, ...]:
    if not isinstance(given, list) or len(given) > MOST_PHOTOS:
        raise PayloadError(f"photos must be a list of at most {MOST_PHOTOS}")
    made = []
    for photo in given:
        if not isinstance(photo, dict) or set(photo) != {"sha256", "bytes", "view"}:
            raise PayloadError("a photo must give sha256, bytes and view")
        many = _must(_integer(photo, "bytes", most=MOST_BYTES), "bytes")
        made.append(PhotoSaid(digest_named(photo["sha256"]), many, _text(photo, "view", 20)))
    return tuple(made)


def digest_named(text: Any) -> str:
    """A SHA-256 in small hex. PayloadError for anything else."""
    if not isinstance(text, str) or not _HEX.fullmatch(text):
        raise PayloadError("sha256 must be 64 small hexadecimal digits")
    return text


def _text(data: Mapping[str, Any], name: str, most: int) -> str:
    value = data.get(name)
    if not isinstance(value, str) or len(value) > most or "\0" in value:
        raise PayloadError(f"{name} must be a text of at most {most} characters")
    return value


def _uuid(name: str, text: str) -> uuid.UUID:
    try:
        found = uuid.UUID(text)
    except ValueError as error:
        raise PayloadError(f"{name} is not a UUID") from error
    if str(found) != text:
        raise PayloadError(f"{name} must be written with small letters and hyphens")
    return found


def _integer(data: Mapping[str, Any], name: str, most: int = MOST_INTEGER) -> int | None:
    value = data.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= most:
        raise PayloadError(f"{name} must be a whole number from 0 to {most}")
    return value


def _must(value: int | None, name: str) -> int:
    if value is None:
        raise PayloadError(f"{name} is missing")
    return value


def _time(value: Any) -> datetime | None:
    """A time with its zone; None where it is none. One beyond the years 1 to 9999 is the end on that side."""
    if not isinstance(value, str) or len(value) > 40:
        return None
    if _BEYOND.fullmatch(value):
        return _LAST if value.startswith("+") else _FIRST
    try:
        at = datetime.fromisoformat(value)
        return at.astimezone(UTC) if at.tzinfo else None
    except (ValueError, OverflowError):
        return None
