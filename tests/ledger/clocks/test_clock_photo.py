"""A photographed clock sets the photos of an outing right."""

from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client

from ledger.finds.models import Find, Photo
from ledger.people.models import Member
from tests.factories import FindFactory, make_photo, picture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
CLOCK = datetime(2019, 1, 1, 0, 10, tzinfo=UTC)  # the camera was never set


def shot(find: Find, minutes: int, **facts: object) -> Photo:
    return make_photo(
        find=find,
        by=find.finder,
        data=picture(size=(300 + minutes, 200)),
        taken_at=CLOCK + timedelta(minutes=minutes),
        camera="Old Faithful",
        **facts,
    )


@pytest.fixture
def outing(collector: Member) -> list[Photo]:
    first, second = FindFactory(finder=collector), FindFactory(finder=collector)
    return [shot(first, 0), shot(first, 3), shot(second, 40)]


def post(client: Client, photo: Photo, photos: list[Photo], **more: str) -> object:
    data = {
        "shown_on": "2026-10-03",
        "shown_at": "09:30:00",
        "photos": [str(one.pk) for one in photos],
        **more,
    }
    return client.post(f"/photos/{photo.pk}/clock/", data)


def test_all_chosen_photos_are_shifted_by_what_the_clock_shows(
    client: Client, collector: Member, outing: list[Photo]
) -> None:
    client.force_login(collector)
    assert post(client, outing[0], outing).status_code == 302  # type: ignore[attr-defined]
    moments = [Photo.objects.get(pk=one.pk).moment for one in outing]
    assert moments == [
        datetime(2026, 10, 3, 9, 30, tzinfo=UTC) + timedelta(minutes=later) for later in (0, 3, 40)
    ]


def test_a_clock_that_shows_the_future_is_refused_and_nothing_is_shifted(
    client: Client, collector: Member, outing: list[Photo]
) -> None:
    client.force_login(collector)
    answer = post(client, outing[0], outing, shown_on="2035-10-03")
    assert answer.status_code == 422  # type: ignore[attr-defined]
    page = answer.content.decode()  # type: ignore[attr-defined]
    assert "3 October 2035, 09:30 is after the photo came to the ledger" in page
    assert not Photo.objects.exclude(clock_shift_s__isnull=True).exclude(clock_shift_s=0).exists()


@pytest.mark.parametrize(("many", "said"), [(1, "1 photo is set right."), (3, "3 photos are set right.")])
def test_how_many_were_set_right_is_said(
    client: Client, collector: Member, outing: list[Photo], many: int, said: str
) -> None:
    client.force_login(collector)
    post(client, outing[0], outing[:many])
    assert said in client.get(f"/finds/{outing[0].find_id}/").content.decode()


def test_the_cameras_own_time_stays_on_record(client: Client, collector: Member, outing: list[Photo]) -> None:
    client.force_login(collector)
    post(client, outing[0], outing)
    assert Photo.objects.get(pk=outing[1].pk).taken_at == CLOCK + timedelta(minutes=3)
    assert "camera's clock 7 years" in outing[1].find.changes.get(field="clock of photos").new  # type: ignore[union-attr]


def test_only_photos_of_the_same_camera_and_outing_are_offered(
    client: Client, collector: Member, outing: list[Photo]
) -> None:
    find = FindFactory(finder=collector)
    later = shot(find, 60 * 24 * 5)
    other = make_photo(
        find=find, by=collector, taken_at=CLOCK, camera="Another", data=picture(size=(250, 250))
    )
    client.force_login(collector)
    page = client.get(f"/photos/{outing[0].pk}/clock/").content.decode()
    assert str(outing[2].pk) in page
    assert str(later.pk) not in page and str(other.pk) not in page


def test_a_photo_of_another_set_is_refused_and_nothing_is_shifted(
    client: Client, collector: Member, outing: list[Photo]
) -> None:
    other = make_photo(find=FindFactory(), by=collector, taken_at=CLOCK, camera="Another")
    client.force_login(collector)
    answer = post(client, outing[0], [*outing, other])
    assert answer.status_code == 422  # type: ignore[attr-defined]
    assert not Photo.objects.filter(clock_shift_s__isnull=False).exists()


def test_a_stranger_finds_no_such_page(client: Client, stranger: Member, outing: list[Photo]) -> None:
    client.force_login(stranger)
    assert client.get(f"/photos/{outing[0].pk}/clock/").status_code == 404
