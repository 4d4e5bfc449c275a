"""A card that was printed too small: its line measured, the photo's scale corrected, and the next photos' as well."""

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from ledger.finds.models import Find, Photo
from ledger.finds.photo_actions import add_photo
from ledger.measures.models import Measurement, PhotoScale, PrintedLine
from ledger.measures.queries import current_scale
from ledger.people.models import Member
from tests.factories import FindFactory
from tests.ledger.measures.drawn_card import with_card

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def find(collector: Member) -> Find:
    made: Find = FindFactory(finder=collector)
    return made


def sent(find: Find, by: Member) -> Photo:
    return add_photo(SimpleUploadedFile("cap.jpg", with_card()), draft_id=find.pk, by=by, find=find)


@pytest.fixture
def photo(find: Find, collector: Member) -> Photo:
    return sent(find, collector)


@pytest.fixture
def browser(client: Client, collector: Member) -> Client:
    client.force_login(collector)
    return client


def keep(client: Client, photo: Photo) -> Any:
    body = {"way": "line", "points": [[400, 1000], [1000, 1000]], "trait": "cap_width"}
    return client.post(f"/photos/{photo.pk}/measure/keep/", json.dumps(body), content_type="application/json")


def tell(client: Client, photo: Photo, line: str, **more: str) -> Any:
    body = {"line_mm": line, "read_to_mm": "0.5", **more}
    return client.post(f"/photos/{photo.pk}/measure/line/", body, follow=True)


def shown(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def test_the_line_corrects_the_scale_and_the_page_says_so(browser: Client, photo: Photo) -> None:
    before = current_scale(photo)
    page = shown(tell(browser, photo, "49,2 mm"))
    now = current_scale(photo)
    assert before is not None and now is not None
    assert now.mm_per_px == pytest.approx(before.mm_per_px * 0.984, rel=1e-9)
    assert now.printed_line_mm == pytest.approx(49.2)
    assert "Scale corrected: the card&#x27;s 50 mm line was 49.2 mm." in page


def test_the_scale_before_stays_on_record_unchanged(browser: Client, photo: Photo) -> None:
    before = PhotoScale.objects.get()
    tell(browser, photo, "49.2")
    kept = PhotoScale.objects.get(pk=before.pk)
    assert (kept.view, kept.mm_per_px, kept.sentence) == (before.view, before.mm_per_px, before.sentence)
    assert kept.ended_at is not None
    assert PhotoScale.objects.count() == 2


def test_what_was_measured_before_keeps_its_value_and_the_page_says_so(browser: Client, photo: Photo) -> None:
    keep(browser, photo)
    value = Measurement.objects.get().value
    page = shown(tell(browser, photo, "45"))
    assert Measurement.objects.get().value == value
    assert "One measurement was made by an earlier scale. It keeps its value" in page
    keep(browser, photo)
    assert Measurement.objects.latest("taken_at").value == pytest.approx(0.9 * value, rel=1e-9)


def test_the_sender_s_next_photos_go_by_it(browser: Client, photo: Photo, collector: Member) -> None:
    tell(browser, photo, "49.2")
    later = sent(FindFactory(finder=collector), collector)
    scale = current_scale(later)
    assert scale is not None
    assert (round(scale.printed_line_mm, 6), scale.made_by) == (49.2, None)


def test_nobody_else_s_photos_go_by_it(browser: Client, photo: Photo, stranger: Member) -> None:
    tell(browser, photo, "49.2")
    scale = current_scale(sent(FindFactory(finder=stranger), stranger))
    assert scale is not None
    assert scale.printed_line_mm == 50.0


def test_a_curator_corrects_the_one_photo_since_the_card_is_another_s(photo: Photo, curator: Member) -> None:
    other = Client()
    other.force_login(curator)
    tell(other, photo, "49.2")
    scale = current_scale(photo)
    assert scale is not None
    assert scale.made_by == curator
    assert not PrintedLine.objects.exists()


def test_it_is_taken_back_for_the_photo_and_for_the_next_ones(
    browser: Client, photo: Photo, collector: Member
) -> None:
    first = current_scale(photo)
    tell(browser, photo, "49.2")
    page = shown(tell(browser, photo, "", do="back"))
    scale = current_scale(photo)
    assert first is not None and scale is not None
    assert scale.mm_per_px == pytest.approx(first.mm_per_px, rel=1e-12)
    assert scale.u_mm_per_px == pytest.approx(first.u_mm_per_px, rel=1e-6)
    assert "Scale corrected" not in page
    assert PrintedLine.objects.get().ended_at is not None


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "How long the line is was not said."),
        ("49.25", "“49.25” is no length to a tenth of a millimetre."),
        ("about 49", "“about 49” is no length to a tenth of a millimetre."),
        ("35", "A line of 50 mm that measures 35 mm is no print of this card: 40 to 60 can be."),
        ("nan", "“nan” is no length"),
    ],
)
def test_what_cannot_be_the_line_is_refused_with_what_was_typed(
    browser: Client, photo: Photo, typed: str, said: str
) -> None:
    answer = tell(browser, photo, typed)
    assert answer.status_code == 422
    assert said in shown(answer)
    assert f'value="{typed}"' in shown(answer) or not typed
    assert PhotoScale.objects.count() == 1


def test_only_whoever_may_amend_the_find_corrects_its_scales(photo: Photo, stranger: Member) -> None:
    other = Client()
    other.force_login(stranger)
    assert tell(other, photo, "49.2").status_code == 403
    assert "line_mm" not in shown(other.get(f"/photos/{photo.pk}/measure/"))


def test_a_photo_measured_by_a_ruler_has_no_line_to_correct(browser: Client, photo: Photo) -> None:
    body = {"way": "ruler", "trait": "", "points": [[100, 100], [600, 100]], "ruler_mm": "50", "sure": True}
    browser.post(f"/photos/{photo.pk}/measure/keep/", json.dumps(body), content_type="application/json")
    page = shown(tell(browser, photo, "49.2"))
    assert "there is no line to correct. Nothing was changed." in page
    assert not PhotoScale.objects.filter(printed_line_mm__lt=50).exists()


def test_a_member_tells_the_line_of_a_new_print_before_any_photo(
    browser: Client, find: Find, collector: Member
) -> None:
    page = shown(
        browser.post("/paper/scale-card/small/line/", {"line_mm": "48.6", "read_to_mm": "0.1"}, follow=True)
    )
    assert "Your photos go by a line of <b>48.6 mm</b>" in page
    scale = current_scale(sent(find, collector))
    assert scale is not None
    assert scale.printed_line_mm == pytest.approx(48.6)
    browser.post("/paper/scale-card/small/line/", {"do": "back"})
    assert "counts as printed at its size" in shown(browser.get("/paper/scale-card/small/line/"))


def test_there_is_no_line_of_a_card_that_does_not_exist(browser: Client) -> None:
    assert browser.get("/paper/scale-card/huge/line/").status_code == 404
