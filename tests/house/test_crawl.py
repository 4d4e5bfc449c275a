"""A crawler as each role: it follows every address it is shown and reads every byte, looking for what nobody may leak.

The find is sensitive. Its photo carries in its metadata the place, and the camera's serial number.
"""

import html
import re
from collections.abc import Callable, Iterator
from typing import Any

import pypdfium2
import pytest
from django.test import Client
from PIL import Image

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.taxa.models import Taxon
from tests.factories import FindFactory, ForayFactory, TaxonFactory, make_photo, name_find
from tests.ledger.photos.built import ASCII, RATIONAL, exif, saved

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

SERIAL = "SN-48151623"
LOCALITY = "Hollow ash behind the chapel"
LATITUDE, LONGITUDE = 51.471234, -2.598765
# The place as a page, a JSON, an address or a photo's metadata may write it: four decimals are eleven metres.
PLACE = re.compile(rb"51[.,]4712|2[.,]5987|51\W+28\W+16|2\W+35\W+55|" + re.escape(LOCALITY.encode()))
RAW_GPS = (512345671).to_bytes(4, "big")  # the degrees' numerator: no other number of these bytes
ADDRESS = re.compile(r"""(?:href|src|action|data-[a-z-]+)="(/[^"#]*)""")
MORE = (
    "/phone/hello",
    "/phone/finds.json",
    "/phone/reference.json",
    "/finds/?q=",
    "/phone/form/",
    "/phone/table/",
)
# The reference has pages and prints of a hundred taxa, all made alike of books: those of one taxon are enough.
OF_THE_REFERENCE = re.compile(r"/(taxa|pocket)/(?!$)(?!.*trametes-versicolor)|/pocket/.*taxon=.*taxon=")
MOST_PAGES = 300


def with_secrets() -> bytes:
    """A photo whose metadata hold the place and the serial number of the camera."""
    block = exif(
        {0x010F: (ASCII, "Drawn"), 0x0110: (ASCII, "Model One"), 0xA431: (ASCII, SERIAL)},
        {0x9003: (ASCII, "2026:10:03 09:30:00"), 0xA431: (ASCII, SERIAL), 0xA435: (ASCII, SERIAL + "-LENS")},
        {
            0x0001: (ASCII, "N"),
            0x0002: (RATIONAL, [(512345671, 10_000_000), (0, 1), (0, 1)]),
            0x0003: (ASCII, "W"),
            0x0004: (RATIONAL, [(25987650, 10_000_000), (0, 1), (0, 1)]),
        },
    )
    data = saved(Image.new("RGB", (900, 600), "peru"), exif=block)
    assert SERIAL.encode() in data and RAW_GPS in data
    return data


@pytest.fixture
def scene(collector: Member, leader: Member) -> Find:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    taxon: Taxon = TaxonFactory()
    foray = ForayFactory(leader=leader)
    open_find = FindFactory(finder=collector, foray=foray)
    make_photo(find=open_find, by=collector, view="cap", data=with_secrets(), camera="Drawn Model One")
    find: Find = FindFactory(
        finder=collector,
        latitude=LATITUDE,
        longitude=LONGITUDE,
        locality=LOCALITY,
        position_typed=f"{LATITUDE}, {LONGITUDE}",
        own_blur_step_deg=0.1,
        status="held",
        worst_flag=2,
        open_flags=1,
    )
    name_find(find, taxon)
    for view in ("cap", "underside", "place", ""):
        make_photo(
            find=find,
            by=collector,
            view=view,
            data=with_secrets() + view.encode(),
            latitude=LATITUDE,
            longitude=LONGITUDE,
            camera="Drawn Model One",
        )
    return find


def crawl(client: Client) -> Iterator[tuple[str, bytes]]:
    """Every address that is shown to this browser, with all bytes of its answer and of its headers."""
    waiting, seen, visited = ["/", *MORE], set(), 0
    while waiting:
        address = waiting.pop(0)
        if address in seen:
            continue
        seen.add(address)
        if address.startswith(("/static/", "/sign-out")) or OF_THE_REFERENCE.match(address):
            continue
        visited += 1
        assert visited < MOST_PAGES, "the crawler does not come to an end"
        answer: Any = client.get(address)
        assert answer.status_code < 500, address
        body = b"".join(answer.streaming_content) if answer.streaming else answer.content
        yield address, body + text_of_pdf(body) + repr(answer.headers).encode()
        if "text/html" in answer.headers.get("Content-Type", ""):
            waiting += [html.unescape(found) for found in ADDRESS.findall(body.decode())]
        if answer.status_code in (301, 302):
            waiting.append(answer.headers["Location"])


def text_of_pdf(body: bytes) -> bytes:
    """What a PDF says on paper, which its bytes hide; nothing of any other file."""
    if not body.startswith(b"%PDF"):
        return b""
    document = pypdfium2.PdfDocument(body)
    try:
        return "\n".join(page.get_textpage().get_text_range() for page in document).encode()
    finally:
        document.close()


def leaks(body: bytes) -> list[str]:
    found = [part.decode() for part in (SERIAL.encode(),) if part in body]
    return found + ["position in metadata"] * (RAW_GPS in body) + [m.decode() for m in PLACE.findall(body)]


@pytest.mark.parametrize("who", ["nobody", "stranger", "leader"])
def test_nobody_who_is_not_entitled_is_served_place_or_serial_number(
    who: str, scene: Find, request: pytest.FixtureRequest
) -> None:
    client = Client()
    if who != "nobody":
        client.force_login(request.getfixturevalue(who))
    visited = dict(crawl(client))
    # The leader of the open find's foray is entitled to its original, and to nothing of the sensitive one.
    own = set() if who != "leader" else {f"/photos/{p.pk}/original/" for p in open_photos(scene)}
    wrong = {address: leaks(body) for address, body in visited.items() if address not in own and leaks(body)}
    assert wrong == {}
    if who != "nobody":
        assert f"/finds/{scene.pk}/" in visited
        assert any("/thumb/" in address or "/screen/" in address for address in visited)
        assert any(address.startswith("/reports/member/") and "print.pdf" in address for address in visited)


def test_the_same_crawler_finds_them_for_those_who_are_entitled(
    scene: Find, collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    found = {part for _, body in crawl(browser_of(collector)) for part in leaks(body)}
    assert {SERIAL, "position in metadata", "51.4712", LOCALITY} <= found


def test_addresses_nobody_was_shown_are_refused_as_well(scene: Find, stranger: Member) -> None:
    client = Client()
    client.force_login(stranger)
    for photo in scene.photos.all():
        for size in ("thumb", "screen", "original"):
            answer: Any = client.get(f"/photos/{photo.pk}/{size}/")
            body = b"".join(answer.streaming_content) if answer.streaming else answer.content
            assert leaks(body) == []
            if size == "original" or photo.view in ("place", ""):
                assert answer.status_code == 404
    for address in (f"/finds/{scene.pk}.json", f"/finds/{scene.pk}/amend/", f"/bench/{scene.pk}/"):
        assert leaks(client.get(address).content) == []


def open_photos(scene: Find) -> list[Any]:
    return [photo for find in Find.objects.exclude(pk=scene.pk) for photo in find.photos.all()]
