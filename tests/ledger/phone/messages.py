"""Messages of an outbox for tests: a find and a photo as the phone makes them."""

import hashlib
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

from django.test import Client

from ledger.people.models import Member
from ledger.phone.payload import digest_of

PHONE = "0d5f9a54-7c1b-4a43-9a3c-1f3c1b0e7d01"
# Before it is sent: a form opened later than it arrives has a clock that is wrong.
MADE = datetime.now(UTC).replace(microsecond=0) - timedelta(hours=3)
PART = 700


def find_message(
    by: Member, *fields: tuple[str, str], typed: int = 0, photos: tuple[bytes, ...] = (), **given: Any
) -> dict[str, Any]:
    """A find that `by` typed. `typed`: seconds after it was begun; `given` replaces parts of the message."""
    data: dict[str, Any] = {
        "find": str(uuid.uuid4()),
        "member": by.pk,
        "version": None,
        "opened_at": None,
        "made_at": MADE.isoformat(),
        "typed_at": (MADE + timedelta(seconds=typed)).isoformat(),
        "sent_at": datetime.now(UTC).isoformat(),
        "phone": PHONE,
        "reference": "",
        "finder": None,
        "found_by": "",
        "serial": None,
        "fields": [list(pair) for pair in fields or (("locality", "Below the bridge"),)],
        "photos": [
            {"sha256": hashlib.sha256(photo).hexdigest(), "bytes": len(photo), "view": view}
            for photo, view in zip(photos, ("cap", "underside", "side"), strict=False)
        ],
    } | given
    return data | {"digest": given.get("digest") or digest_of(data)}


def send_find(browser: Client, message: Any) -> Any:
    return browser.post("/phone/finds", message, content_type="application/json")


def parts_of(photo: bytes) -> list[tuple[int, bytes]]:
    return [(start, photo[start : start + PART]) for start in range(0, len(photo), PART)]


def send_part(
    browser: Client,
    find: str,
    photo: bytes,
    offset: int,
    part: bytes,
    *,
    view: str = "cap",
    named: str | None = None,
) -> Any:
    digest = named or hashlib.sha256(photo).hexdigest()
    address = f"/phone/photos/{digest}?find={find}&size={len(photo)}&offset={offset}&view={view}"
    return browser.post(address, part, content_type="application/octet-stream")


def send_photo(browser: Client, find: str, photo: bytes, view: str = "cap") -> Any:
    answer = None
    for offset, part in parts_of(photo):
        answer = send_part(browser, find, photo, offset, part, view=view)
    return answer
