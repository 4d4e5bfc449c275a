"""A page says what was chosen in the language of its reader; the file that leaves is English, whoever made it."""

import io
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client

from ledger.exchange.plain import SUMS
from ledger.handing_on.choices import ALL, KINDS, Choices
from ledger.handing_on.models import Handing
from ledger.handing_on.shown import chosen_words
from ledger.handing_on.streams import stream
from ledger.people.models import Member
from tests.ledger.handing_on.scene import Scene, make_scene
from tests.speaking import in_brackets

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)


@pytest.fixture
def scene(collector: Member, curator: Member) -> Scene:
    return make_scene(collector, curator)


def told(data: bytes) -> dict[str, bytes]:
    """What a reader finds in the file; printed matter has the moment of its making in it, and so have the sums."""
    if not zipfile.is_zipfile(io.BytesIO(data)):
        return {"": data}
    with zipfile.ZipFile(io.BytesIO(data)) as files:
        names = [name for name in files.namelist() if not name.endswith(".pdf") and name != SUMS]
        return {name: files.read(name) for name in names}


@pytest.mark.parametrize("kind", KINDS)
def test_a_file_that_leaves_is_the_same_whatever_language_its_maker_reads(kind: str, scene: Scene) -> None:
    choices = Choices(kind=kind, which=ALL, notes=True, permits=True)
    plain = told(b"".join(stream(choices, now=NOW)))
    with in_brackets():
        assert told(b"".join(stream(choices, now=NOW))) == plain
    assert plain and not any("⟦".encode() in content for content in plain.values())


def test_what_was_chosen_is_said_whole() -> None:
    choices = Choices(kind="csv", year_from=2024, year_to=2026, notes=True)
    assert chosen_words(choices) == "finds that nothing holds, 2024 to 2026, with notes"
    with in_brackets():
        assert chosen_words(choices) == "⟦finds that nothing holds⟧, ⟦2024 to 2026⟧, ⟦with notes⟧"


def test_why_a_download_broke_off_is_on_record_in_english_and_said_to_its_reader(
    scene: Scene, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    client = browser_of(curator)
    sent = {"kind": "archive", "which": "all", "status_word": "present"}
    with in_brackets():
        address = client.post("/handing-on/", sent).headers["Location"]
        file: Any = client.get(address + "file/")
        next(file.streaming_content)
        for close in file._resource_closers:
            close()
        state = client.get(address + "state.json").json()["said"]
    kept = Handing.objects.get().trouble
    assert kept.startswith("It was broken off") and state == f"⟦{kept}⟧"
