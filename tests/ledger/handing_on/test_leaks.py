"""A crawler over every kind of file as each role: no exact place of a sensitive find, no private field, and the same
for all.
"""

import io
import re
import zipfile
from collections.abc import Callable, Iterator
from datetime import datetime, time
from typing import Any

import pypdfium2
import pytest
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from ledger.finds.models import Find
from ledger.handing_on.choices import ALL, KINDS
from ledger.handing_on.models import Handing
from ledger.people.models import Member
from tests.house.test_crawl import PLACE, RAW_GPS, SERIAL
from tests.ledger.handing_on.scene import GUEST, OWNER, Scene, make_scene
from vouchers.permits.models import Permit, PermitUse
from vouchers.register.actions import accession

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

# Nobody agreed to be named; the owner of a wood never does; and a camera, a question, a password are nobody's business.
PRIVATE = (
    "Ada Thorne",
    "Carys Bowen",
    GUEST,
    "Dr Outside",
    OWNER,
    SERIAL,
    "Drawn Model One",
    "argon2",
    "md5$",
)
WITH_EVERYTHING = {"which": ALL, "status_word": "present", "notes": "on", "photos": "on", "permits": "on"}
ROLES = ("curator", "keeper")


@pytest.fixture
def scene(collector: Member, curator: Member, settings: Any) -> Scene:
    scene = make_scene(collector, curator)
    now = timezone.now()
    for find in (scene.share, scene.sensitive):
        accession(find.pk, by=curator, now=now)
    permit = Permit.objects.create(
        issuer=OWNER,
        holder="The club",
        area="Gateley Woods",
        source="letter",
        entered_at=now,
        entered_by=curator,
    )
    PermitUse.objects.create(permit=permit, foray=scene.open.foray, linked_at=now, linked_by=curator)
    return scene


def texts_of(data: bytes) -> Iterator[tuple[str, bytes]]:
    """The bytes themselves, what is packed in them, and the text of PDFs."""
    yield "as sent", data
    if data[:2] == b"PK":
        with zipfile.ZipFile(io.BytesIO(data)) as files:
            for name in files.namelist():
                yield name, name.encode()
                yield name, files.read(name)
                if name.endswith(".pdf"):
                    pages = pypdfium2.PdfDocument(files.read(name))
                    yield name, "\n".join(page.get_textpage().get_text_range() for page in pages).encode()


def leaks(data: bytes, private: tuple[str, ...] = PRIVATE) -> list[tuple[str, str]]:
    found = []
    for name, text in texts_of(data):
        found += [(name, match.decode()) for match in PLACE.findall(text)]
        found += [(name, word) for word in private if word.encode() in text]
        found += [(name, "position in metadata")] * (RAW_GPS in text)
    return found


def downloaded(client: Client, kind: str, **choices: str) -> bytes:
    answer = client.post("/handing-on/", {"kind": kind} | choices)
    assert answer.status_code == 302, answer.content.decode()
    file: Any = client.get(answer.headers["Location"] + "file/")
    return b"".join(file.streaming_content)


@pytest.mark.parametrize("who", ROLES)
@pytest.mark.parametrize("kind", KINDS)
def test_no_file_tells_a_sensitive_place_or_a_private_field(
    kind: str, who: str, scene: Scene, request: pytest.FixtureRequest, browser_of: Callable[[Member], Client]
) -> None:
    client = browser_of(request.getfixturevalue(who))
    # The words of permits name owners: they go along where a curator asks for them, and never with a sensitive find.
    asked = {name: value for name, value in WITH_EVERYTHING.items() if name != "permits"}
    data = downloaded(client, kind, **asked)
    assert str(scene.sensitive.pk).encode() in b"".join(text for _, text in texts_of(data))
    assert leaks(data) == []


@pytest.mark.parametrize("kind", KINDS)
def test_the_time_of_day_of_a_sensitive_find_goes_out_in_no_file(
    kind: str, scene: Scene, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    """Beside other finds of that walk it would tell where this one was made."""
    for find, at in ((scene.sensitive, "07:41"), (scene.open, "14:15")):
        Find.objects.filter(pk=find.pk).update(found_at_time=time.fromisoformat(at), utc_offset_minutes=60)
        find.photos.update(taken_at=datetime.fromisoformat(f"2026-10-03T{at}:20Z"))
    texts = b"".join(text for _, text in texts_of(downloaded(browser_of(curator), kind, **WITH_EVERYTHING)))
    assert (b"14:15" in texts, b"07:41" in texts) == (True, False)


@pytest.mark.parametrize("kind", KINDS)
def test_who_makes_the_file_changes_nothing_in_it(
    kind: str, scene: Scene, curator: Member, keeper: Member, browser_of: Callable[[Member], Client]
) -> None:
    files = [dict(_plain(downloaded(browser_of(who), kind, **WITH_EVERYTHING))) for who in (curator, keeper)]
    assert files[0] == files[1]


def _plain(data: bytes) -> Iterator[tuple[str, bytes]]:
    if data[:2] != b"PK":
        yield "", data
        return
    with zipfile.ZipFile(io.BytesIO(data)) as files:
        for name in files.namelist():
            if not name.endswith((".pdf", "eml.xml", "SHA256SUMS.txt")):
                yield name, files.read(name)


def test_words_of_permits_go_out_only_where_asked_for_and_never_with_a_sensitive_find(
    scene: Scene, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    data = downloaded(browser_of(curator), "csv", **WITH_EVERYTHING).decode()
    lines = {line.split(",")[0]: line for line in re.split("\r\n(?=[0-9a-f]{8}-)", data)}
    assert OWNER in lines[str(scene.open.pk)]
    assert OWNER not in lines[str(scene.sensitive.pk)]
    assert "kept back with the place" in lines[str(scene.sensitive.pk)]


@pytest.mark.parametrize("who", ["stranger", "leader"])
def test_others_do_not_get_at_a_file(
    who: str,
    scene: Scene,
    curator: Member,
    request: pytest.FixtureRequest,
    browser_of: Callable[[Member], Client],
) -> None:
    browser_of(curator).post("/handing-on/", {"kind": "csv"} | WITH_EVERYTHING)
    key = Handing.objects.get().pk
    client = browser_of(request.getfixturevalue(who))
    for address in (
        "/handing-on/",
        f"/handing-on/{key}/",
        f"/handing-on/{key}/file/",
        f"/handing-on/{key}/state.json",
    ):
        assert client.get(address).status_code == 403


def test_the_whole_record_is_whole_and_says_that_it_is_not_to_be_given_away(
    scene: Scene, tmp_path: Any
) -> None:
    out = tmp_path / "safe.zip"
    call_command("export", "readable", str(out), "--whole", verbosity=0)
    found = {word for _, word in leaks(out.read_bytes())}
    assert {"51.4712", "Ada Thorne", GUEST, OWNER, SERIAL} <= found
    with zipfile.ZipFile(out) as files:
        assert "Do not give it away" in " ".join(files.read("README.txt").decode().split())
        assert {"history.csv", "flags.csv", "vouchers.csv", "parts.csv"} <= set(files.namelist())
