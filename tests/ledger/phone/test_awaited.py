"""Photos that come after their find: said where they are, and asked for only when days have passed."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from ledger.finds.flagging import recheck_late_photos
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.models import AnnouncedPhoto
from ledger.traits.reference import Reference
from tests.factories import picture
from tests.ledger.phone.messages import find_message, send_find, send_photo

Browsers = Callable[[Member], Client]
CAP, UNDERSIDE = picture(), picture(colour="olive")
MISSING = {"photos_missing", "view_cap_missing", "view_underside_missing"}


@pytest.fixture
def phone(collector: Member, browser_of: Browsers, reference: Reference) -> Client:
    return browser_of(collector)


def open_codes(find: Find) -> set[str]:
    return set(
        find.flags.filter(withdrawn_at__isnull=True, settled_at__isnull=True).values_list("code", flat=True)
    )


def logged(phone: Client, by: Member, *photos: bytes, **given: Any) -> tuple[dict[str, Any], Find]:
    message = find_message(by, photos=photos or (CAP, UNDERSIDE), **given)
    assert send_find(phone, message).status_code in (200, 201)
    return message, Find.objects.get(pk=message["find"])


def wait(find: Find, days: float) -> None:
    AnnouncedPhoto.objects.filter(find=find).update(announced_at=timezone.now() - timedelta(days=days))


def test_photos_on_their_way_are_not_reported_as_missing(phone: Client, collector: Member) -> None:
    _, find = logged(phone, collector)
    assert not open_codes(find) & MISSING
    assert sorted(find.announced_photos.values_list("view", flat=True)) == ["cap", "underside"]


def test_a_view_that_nobody_announced_is_asked_for_at_once(phone: Client, collector: Member) -> None:
    _, find = logged(phone, collector, CAP)
    assert open_codes(find) & MISSING == {"view_underside_missing"}


@pytest.mark.parametrize("page", ["/bench/{}/", "/finds/{}/"])
def test_pages_say_on_whose_phone_they_are_and_since_when(
    phone: Client, collector: Member, curator: Member, browser_of: Browsers, page: str
) -> None:
    _, find = logged(phone, collector)
    since = timezone.localtime(find.announced_photos.earliest("announced_at").announced_at)
    shown = browser_of(curator).get(page.format(find.pk)).content.decode()
    said = f"2 photos of it are still on {collector.full_name}’s phone, since {since:%-d %B %Y, %H:%M}"
    assert said in shown
    assert "No photo came with this find" not in shown


def test_the_one_whose_phone_it_is_is_told_so(phone: Client, collector: Member) -> None:
    _, find = logged(phone, collector)
    assert "2 photos of it are still on your phone" in phone.get(f"/finds/{find.pk}/").content.decode()


def test_one_that_came_is_no_longer_said_to_be_on_its_way(
    phone: Client, collector: Member, curator: Member, browser_of: Browsers
) -> None:
    message, find = logged(phone, collector)
    send_photo(phone, message["find"], CAP)
    assert "1 photo of it is still on" in browser_of(curator).get(f"/bench/{find.pk}/").content.decode()
    send_photo(phone, message["find"], UNDERSIDE, view="underside")
    assert "still on" not in browser_of(curator).get(f"/bench/{find.pk}/").content.decode()
    assert not open_codes(find) & MISSING


def test_after_three_days_the_bench_asks_for_them_and_goes_on_saying_where_they_are(
    phone: Client, collector: Member, curator: Member, browser_of: Browsers
) -> None:
    _, find = logged(phone, collector)
    wait(find, 2.9)
    browser_of(curator).get("/bench/")
    assert not open_codes(find) & MISSING
    wait(find, 3.1)
    shown = browser_of(curator).get(f"/bench/{find.pk}/").content.decode()
    assert open_codes(find) & MISSING == {"photos_missing"}
    assert "2 photos of it are still on" in shown


def test_a_find_is_checked_again_for_late_photos_once(phone: Client, collector: Member) -> None:
    _, find = logged(phone, collector)
    wait(find, 4)
    assert [recheck_late_photos(timezone.now()) for _ in range(2)] == [1, 0]


def test_late_photos_that_come_after_all_take_the_flag_away(phone: Client, collector: Member) -> None:
    message, find = logged(phone, collector)
    wait(find, 4)
    recheck_late_photos(timezone.now())
    send_photo(phone, message["find"], CAP)
    send_photo(phone, message["find"], UNDERSIDE, view="underside")
    assert not open_codes(find) & MISSING


def test_a_photo_taken_back_on_the_phone_is_no_longer_awaited(phone: Client, collector: Member) -> None:
    message, find = logged(phone, collector)
    logged(phone, collector, CAP, find=message["find"], typed=9)
    assert [row.view for row in find.announced_photos.all()] == ["cap"]
    assert open_codes(find) & MISSING == {"view_underside_missing"}


def test_a_photo_added_on_the_phone_is_awaited_with_its_find(phone: Client, collector: Member) -> None:
    message, find = logged(phone, collector, CAP)
    logged(phone, collector, CAP, UNDERSIDE, find=message["find"], typed=9)
    assert not open_codes(find) & MISSING


def test_a_photo_that_came_and_was_taken_out_since_is_not_on_its_way_again(
    phone: Client, collector: Member
) -> None:
    message, find = logged(phone, collector, CAP)
    send_photo(phone, message["find"], CAP)
    find.photos.update(find=None)
    logged(phone, collector, CAP, find=message["find"], typed=9)
    assert not find.announced_photos.filter(arrived_at__isnull=True).exists()


NO_PHOTO = b"%PDF-1.7 " + bytes(2000)


def test_a_photo_refused_for_good_is_said_to_be_refused_and_not_to_be_coming(
    phone: Client, collector: Member, curator: Member, browser_of: Browsers
) -> None:
    message, find = logged(phone, collector, NO_PHOTO, UNDERSIDE)
    answer = send_photo(phone, message["find"], NO_PHOTO)
    assert (answer.status_code, answer.json()["why"]) == (422, "refused for good")
    assert answer.json()["wrong"].startswith(
        "The file is no photo that can be read here: it begins like a PDF."
    )
    shown = phone.get(f"/finds/{find.pk}/").content.decode()
    assert "1 photo of it was not taken from your phone: no photo that can be kept here" in shown
    assert "1 photo of it is still on your phone" in shown  # the other one, which comes
    assert shown.count("comes by itself") == 1
    other = browser_of(curator).get(f"/finds/{find.pk}/").content.decode()
    assert f"was not taken from {collector.full_name}’s phone" in other


def test_a_view_whose_only_photo_was_refused_is_missing(phone: Client, collector: Member) -> None:
    message, find = logged(phone, collector, NO_PHOTO, UNDERSIDE)
    assert not open_codes(find) & MISSING
    send_photo(phone, message["find"], NO_PHOTO)
    assert open_codes(find) & MISSING == {"view_cap_missing"}


def test_a_photo_beyond_the_limit_is_awaited_no_longer(
    phone: Client, collector: Member, settings: Any
) -> None:
    message, find = logged(phone, collector, CAP)
    settings.PHOTO_LIMIT_MB = 0
    answer = send_photo(phone, message["find"], CAP)
    assert (answer.status_code, answer.json()["why"]) == (413, "too big")
    assert find.announced_photos.get().refused_at is not None
