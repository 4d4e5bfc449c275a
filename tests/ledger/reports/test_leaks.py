"""A crawler over the reports as each role: no exact place of a sensitive find, no private field, on page and in PDF."""

import html
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from ledger.people.models import Member
from tests.factories import FindFactory, TaxonFactory, name_find
from tests.house.test_crawl import LATITUDE, LOCALITY, LONGITUDE, PLACE, SERIAL, text_of_pdf
from tests.ledger.handing_on.scene import GUEST, NOTE, Scene, make_scene
from tests.vouchers.permits.making import make_permit
from vouchers.register.actions import accession

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

LINK = re.compile(r'href="(/reports/[^"#]*)"')
# Both lists of the owner's report, and the years of the scene.
MORE = ("/reports/foray/{foray}/?list=finds", "/reports/year/?year=2026", "/reports/year/?year=2025")
PRIVATE = (
    *("Ada Thorne", "Carys Bowen", "Lewis Marsh", GUEST, "Dr Outside", SERIAL, "Drawn Model One"),
    *(NOTE.splitlines()[1], "Bog oak", "argon2", "md5$"),
)


@pytest.fixture
def scene(collector: Member, curator: Member, leader: Member) -> Scene:
    """The foray is the leader's; sensitive finds of it have numbers and a permit that names the place."""
    scene = make_scene(collector, curator)
    foray = scene.open.foray
    assert foray is not None
    foray.leader = leader
    foray.note = "Bog oak"
    foray.save()
    taxon = TaxonFactory(name="Ganoderma lucidum")
    taxon.blur_step_deg = 0.1
    taxon.save()
    by_name = FindFactory(
        finder=collector,
        foray=foray,
        latitude=LATITUDE,
        longitude=LONGITUDE,
        locality=LOCALITY,
        note="Bog oak",
    )
    name_find(by_name, taxon, determiner_name="Dr Outside")
    now = timezone.now()
    for find in (scene.share, scene.sensitive, by_name):
        accession(find.pk, by=curator, now=now)
    make_permit(curator, forays=[foray], holder="Carys Bowen")
    make_permit(curator, finds=[scene.sensitive, by_name], area=LOCALITY, reference="S 1")
    return scene


def reports_shown(client: Client, scene: Scene) -> Iterator[tuple[str, str]]:
    """Every report that is shown to this browser, its page without what stands around it."""
    foray = scene.open.foray
    assert foray is not None
    waiting, seen = ["/reports/", *(address.format(foray=foray.pk) for address in MORE)], set()
    while waiting:
        address = waiting.pop(0)
        if address in seen:
            continue
        seen.add(address)
        answer: Any = client.get(address)
        assert answer.status_code < 500, address
        if answer["Content-Type"] == "application/pdf":
            yield address, text_of_pdf(answer.content).decode()
            continue
        page = answer.content.decode()
        waiting += [html.unescape(found) for found in LINK.findall(page)]
        if "<article" in page:
            yield address, page[page.index("<article") : page.index("</article>")]


def leaks(text: str) -> list[str]:
    joined = " ".join(text.split())
    found = [match.decode() for match in PLACE.findall(joined.encode())]
    return found + [word for word in PRIVATE if word in joined]


@pytest.mark.parametrize("who", ["leader", "curator", "keeper"])
def test_no_report_that_leaves_the_club_tells_a_place_kept_back_or_a_private_field(
    who: str, scene: Scene, request: pytest.FixtureRequest, browser_of: Callable[[Member], Client]
) -> None:
    visited = dict(reports_shown(browser_of(request.getfixturevalue(who)), scene))
    leaving = {address: text for address, text in visited.items() if "/member/" not in address}
    assert sum("/foray/" in address and "print.pdf" in address for address in leaving) >= 4
    assert any("/year/print.pdf" in address for address in leaving) == (who != "leader")
    assert {address: leaks(text) for address, text in leaving.items() if leaks(text)} == {}


@pytest.mark.parametrize("who", ["stranger", "leader"])
def test_nobody_is_shown_the_place_or_the_note_of_somebody_else_s_find(
    who: str, scene: Scene, request: pytest.FixtureRequest, browser_of: Callable[[Member], Client]
) -> None:
    visited = dict(reports_shown(browser_of(request.getfixturevalue(who)), scene))
    assert any("/member/" in address and "print.pdf" in address for address in visited)
    own_name = request.getfixturevalue(who).full_name
    wrong = {address: [one for one in leaks(text) if one != own_name] for address, text in visited.items()}
    assert {address: found for address, found in wrong.items() if found} == {}


def test_the_same_crawler_finds_them_on_the_list_of_whose_they_are(
    scene: Scene, collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    visited = dict(reports_shown(browser_of(collector), scene))
    found = {part for address, text in visited.items() if "print.pdf" in address for part in leaks(text)}
    assert {"51.4712", LOCALITY} <= found
    # Of their own finds too, a list is no place for notes.
    assert "Bog oak" not in found and NOTE.splitlines()[1] not in found


@pytest.mark.parametrize("choices", ["", "?list=finds", "?list=finds&names=settled"])
def test_who_makes_the_owner_s_report_changes_nothing_in_it(
    choices: str, scene: Scene, leader: Member, keeper: Member, browser_of: Callable[[Member], Client]
) -> None:
    assert scene.open.foray is not None
    address = f"/reports/foray/{scene.open.foray.pk}/print.pdf{choices}"
    files = [text_of_pdf(browser_of(who).get(address).content) for who in (leader, keeper)]
    # But for who made it, which stands at its head.
    files = [
        file.replace(f" by {who.collector_code}".encode(), b"", 1)
        for file, who in zip(files, (leader, keeper), strict=True)
    ]
    assert files[0] == files[1] != b""
