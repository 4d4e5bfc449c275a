"""Several counts of pores of one find put together: low-high as the trade writes it, and one reading."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from ledger.finds.models import Find, Photo, Reading
from ledger.finds.photo_actions import add_photo
from ledger.measures.models import Measurement
from ledger.measures.queries import current_scale
from ledger.people.models import Member
from ledger.traits.readings import mean_uncertainty
from tests.factories import FindFactory
from tests.ledger.measures.drawn_card import with_card

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def find(collector: Member) -> Find:
    made: Find = FindFactory(finder=collector)
    return made


@pytest.fixture
def photo(find: Find, collector: Member) -> Photo:
    upload = SimpleUploadedFile("under.jpg", with_card())
    return add_photo(upload, draft_id=find.pk, by=collector, find=find, view="underside")


@pytest.fixture
def browser(client: Client, collector: Member) -> Client:
    client.force_login(collector)
    return client


def counted(photo: Photo, by: Member, value: float, n: int = 40, u: float = 0.06, **more: Any) -> Measurement:
    """A count in a patch beside those before."""
    left = 10 + 210 * Measurement.objects.count()
    return Measurement.objects.create(
        photo=photo, scale=current_scale(photo), trait="pores_per_mm", unit="1/mm", value=value, u=u,
        n=n, taken_by=by, taken_at=timezone.now(), **{"way": "count", "points": [[left, 10], [200, 200]], **more},
    )  # fmt: skip


def send(client: Client, photo: Photo, rows: list[Measurement], do: str) -> Any:
    body = {"count": [str(row.pk) for row in rows], "do": do}
    return client.post(f"/photos/{photo.pk}/measure/together/", body, follow=True)


def test_all_own_counts_are_told_as_one(browser: Client, photo: Photo, collector: Member) -> None:
    for value, n in ((3.4, 50), (4.1, 60), (4.6, 70)):
        counted(photo, collector, value, n)
    page = browser.get(f"/photos/{photo.pk}/measure/").content.decode()
    assert "3-5 per mm, mean 4.03, give or take" in page
    assert "from 180 pores at 3 places." in page


def test_the_ticked_ones_alone_are_seen_as_one_and_nothing_is_written(
    browser: Client, photo: Photo, collector: Member
) -> None:
    rows = [counted(photo, collector, value) for value in (3.4, 4.1, 4.4)]
    page = send(browser, photo, rows[1:], "see").content.decode()
    assert "4 per mm, mean 4.25" in page
    assert "from 80 pores at 2 places." in page
    assert not Reading.objects.exists()


def test_they_become_one_reading_whose_mean_is_as_uncertain_as_was_said(
    browser: Client, photo: Photo, collector: Member, find: Find
) -> None:
    rows = [counted(photo, collector, value) for value in (3.4, 4.1, 4.6, 9.9)]
    send(browser, photo, rows[:3], "keep")
    reading = Reading.objects.get(find=find, ended_at=None)
    assert reading.values == [3.4, 4.1, 4.6]
    assert reading.typed == "3-5 per mm, n = 120 at 3 places, from photos"
    assert set(reading.measurements.all()) == set(rows[:3])
    # By hand: mean 4.0333, s = 0.6028, s/sqrt(3) = 0.3480, times Student's 4.303 / 2 is 0.7488; the card's shared 0.36 %
    # (hypot of 0.003 and 0.002) of the mean is 0.0145, and together 0.7489.
    assert mean_uncertainty(tuple(reading.values), reading.resolution) == pytest.approx(0.7489, abs=0.0005)
    change = find.changes.get(field="reading pores_per_mm")
    assert change.new.endswith("3-5 per mm, n = 120 at 3 places, from photos")


def test_counts_that_contradict_each_other_are_no_reading(
    browser: Client, photo: Photo, collector: Member, find: Find
) -> None:
    patch = counted(photo, collector, 1.601, 2800)
    line = counted(photo, collector, 0.19, 4, way="taps", points=[[20, 20], [180, 180]])
    page = send(browser, photo, [patch, line], "keep").content.decode()
    assert "1.60 and 0.19 per mm differ eightfold" in page
    assert "Did you tap every pore that the line crosses?" in page
    assert not Reading.objects.filter(find=find).exists()
    assert "differ eightfold" in browser.get(f"/photos/{photo.pk}/measure/").content.decode()


def test_a_line_counted_within_a_counted_patch_is_no_second_place(
    browser: Client, photo: Photo, collector: Member, find: Find
) -> None:
    patch = counted(photo, collector, 4.0, 2800)
    line = counted(photo, collector, 4.4, 12, way="taps", points=[[20, 20], [180, 180]])
    send(browser, photo, [patch, line], "keep")
    reading = Reading.objects.get(find=find, ended_at=None)
    assert reading.typed == "4 per mm, n = 2800 at 1 place, from photos"
    assert reading.values == [4.2]


def test_counts_of_two_photos_of_a_find_go_together(
    browser: Client, photo: Photo, collector: Member, find: Find
) -> None:
    upload = SimpleUploadedFile("second.jpg", with_card() + b" ")
    second = add_photo(upload, draft_id=find.pk, by=collector, find=find, view="margin")
    rows = [counted(photo, collector, 4.0), counted(second, collector, 4.4)]
    assert "from 80 pores at 2 places." in send(browser, photo, rows, "see").content.decode()


def test_nobody_else_s_counts_are_mixed_in(
    browser: Client, photo: Photo, collector: Member, curator: Member
) -> None:
    rows = [counted(photo, collector, 4.0), counted(photo, curator, 6.0)]
    send(browser, photo, rows, "keep")
    assert Reading.objects.get(ended_at=None).values == [4.0]


@pytest.mark.parametrize("sent", [[], ["nonsense"], ["00000000-0000-4000-8000-000000000000"]])
def test_none_chosen_leaves_the_reading_as_it_is(
    browser: Client, photo: Photo, collector: Member, sent: list[str]
) -> None:
    counted(photo, collector, 4.0)
    page = browser.post(
        f"/photos/{photo.pk}/measure/together/", {"count": sent, "do": "keep"}, follow=True
    ).content.decode()
    assert "None of your counts was chosen. The reading stays as it is" in page
    assert not Reading.objects.exists()


def test_put_together_anew_the_ones_left_out_are_no_longer_in_the_reading(
    browser: Client, photo: Photo, collector: Member
) -> None:
    rows = [counted(photo, collector, value) for value in (3.4, 4.1, 4.6)]
    send(browser, photo, rows, "keep")
    send(browser, photo, rows[:2], "keep")
    reading = Reading.objects.get(ended_at=None)
    assert set(reading.measurements.all()) == set(rows[:2])


def test_whoever_may_not_amend_the_find_makes_no_reading(photo: Photo, stranger: Member) -> None:
    counted(photo, stranger, 4.0)
    other = Client()
    other.force_login(stranger)
    assert send(other, photo, [], "see").status_code == 403
    assert "as one" not in other.get(f"/photos/{photo.pk}/measure/").content.decode()
