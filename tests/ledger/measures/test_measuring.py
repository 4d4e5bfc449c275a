"""Measuring on a photo with a drawn card: the page, what its script asks, what is kept, and the reading made of it."""

import io
import json
from copy import copy
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from PIL import Image

from ledger.finds.models import Find, Photo, Reading
from ledger.finds.photo_actions import add_photo
from ledger.measures import actions
from ledger.measures.models import Measurement, PhotoScale
from ledger.people.models import Member
from tests.factories import FindFactory
from tests.ledger.measures.drawn_card import PX_PER_MM, with_card

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def find(collector: Member) -> Find:
    made: Find = FindFactory(finder=collector)
    return made


@pytest.fixture
def photo(find: Find, collector: Member) -> Photo:
    upload = SimpleUploadedFile("cap.jpg", with_card())
    return add_photo(upload, draft_id=find.pk, by=collector, find=find, view="cap")


def ask(client: Client, photo: Photo, to: str, **body: Any) -> Any:
    body = {"way": "line", "points": [[400, 1000], [1000, 1000]], "trait": "cap_width", **body}
    return client.post(f"/photos/{photo.pk}/measure/{to}/", json.dumps(body), content_type="application/json")


@pytest.fixture
def browser(client: Client, collector: Member) -> Client:
    client.force_login(collector)
    return client


def test_the_card_is_found_when_the_photo_comes(photo: Photo) -> None:
    scale = PhotoScale.objects.get()
    assert (scale.kind, scale.made_by) == ("card", None)
    assert scale.mm_per_px == pytest.approx(1 / PX_PER_MM, rel=0.005)
    assert scale.sentence.startswith("Scale card found, 12.0 pixels per mm")


def test_a_photo_without_a_card_is_kept_and_says_why_it_cannot_be_measured(
    find: Find, collector: Member
) -> None:
    out = io.BytesIO()
    Image.new("RGB", (900, 600), "peru").save(out, "JPEG")
    add_photo(SimpleUploadedFile("cap.jpg", out.getvalue()), draft_id=find.pk, by=collector, find=find)
    scale = PhotoScale.objects.get()
    assert scale.kind == "none"
    assert scale.sentence


def test_a_line_off_the_card_is_measured_with_its_uncertainty(browser: Client, photo: Photo) -> None:
    answer = ask(browser, photo, "try")
    assert answer.status_code == 200
    assert answer.json()["text"].endswith(" mm")
    assert float(answer.json()["text"].split()[0]) == pytest.approx(600 / PX_PER_MM, rel=0.01)
    assert not Measurement.objects.exists()


def test_a_kept_measurement_has_points_scale_and_parts_of_its_uncertainty(
    browser: Client, photo: Photo
) -> None:
    ask(browser, photo, "keep", note="the largest")
    row = Measurement.objects.get()
    assert row.points == [[400.0, 1000.0], [1000.0, 1000.0]]
    assert abs(row.value - 50) < 2 * row.u
    assert row.parts.keys() == {"scale", "pointing", "plane"}
    assert (row.trait, row.note, row.scale.kind) == ("cap_width", "the largest", "card")


def test_measurements_become_the_reading_with_the_same_uncertainty(
    browser: Client, photo: Photo, find: Find
) -> None:
    ask(browser, photo, "keep")
    ask(browser, photo, "keep", points=[[400, 1000], [760, 1000]])
    browser.post(f"/photos/{photo.pk}/measure/reading/", {"trait": "cap_width"})
    reading = Reading.objects.get(find=find, trait="cap_width", ended_at=None)
    assert reading.values == [pytest.approx(50, abs=0.5), pytest.approx(30, abs=0.5)]
    us = [row.u for row in Measurement.objects.all()]
    # GUM F.2.2.1: a display of resolution d has u = d / sqrt(12).
    assert reading.resolution / 12**0.5 == pytest.approx((sum(u * u for u in us) / 2) ** 0.5, rel=0.01)
    assert set(reading.measurements.all()) == set(Measurement.objects.all())
    assert find.changes.filter(field="reading cap_width", new__endswith="from photos").exists()


@pytest.mark.parametrize(
    ("way", "trait", "more"),
    [("line", "cap_width", []), ("line", "", []), ("taps", "pores_per_mm", [[5, 5], [6, 6]])],
)
def test_a_line_whose_ends_are_one_place_is_refused(
    browser: Client, photo: Photo, way: str, trait: str, more: list[list[int]]
) -> None:
    for to in ("try", "keep"):
        answer = ask(browser, photo, to, way=way, trait=trait, points=[[300, 300], [300, 300], *more])
        assert answer.status_code == 422
        assert "Both ends of the line lie in one place" in answer.content.decode()
    assert not Measurement.objects.exists()


def test_a_line_too_short_to_be_told_is_no_reading_and_is_named(
    browser: Client, photo: Photo, find: Find
) -> None:
    ask(browser, photo, "keep")
    Measurement.objects.update(value=0.04, u=1.0)
    page = browser.post(
        f"/photos/{photo.pk}/measure/reading/", {"trait": "cap_width"}, follow=True
    ).content.decode()
    assert "is shorter than can be told on its photo" in page
    assert not Reading.objects.filter(find=find).exists()


def test_a_free_line_is_the_reading_of_no_trait(browser: Client, photo: Photo) -> None:
    ask(browser, photo, "keep", trait="")
    page = browser.post(f"/photos/{photo.pk}/measure/reading/", {"trait": ""}, follow=True).content.decode()
    assert "You have measured nothing of it on these photos" in page


def test_what_one_member_keeps_takes_no_room_from_another(
    browser: Client, photo: Photo, stranger: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(actions, "MOST_OF_ONE_PHOTO", 1)
    other = Client()
    other.force_login(stranger)
    assert [ask(one, photo, "keep").status_code for one in (other, other, browser)] == [200, 422, 200]


def test_an_earlier_reading_stays_on_record(
    browser: Client, photo: Photo, find: Find, collector: Member
) -> None:
    Reading.objects.create(
        find=find, trait="cap_width", values=[70.0], unit="mm", read_by=collector, read_at=timezone.now()
    )
    ask(browser, photo, "keep")
    browser.post(f"/photos/{photo.pk}/measure/reading/", {"trait": "cap_width"})
    assert [row.ended_at is None for row in Reading.objects.order_by("pk")] == [False, True]


def test_two_persons_measurements_are_both_kept_and_their_difference_is_told(
    browser: Client, photo: Photo, curator: Member
) -> None:
    ask(browser, photo, "keep")
    other = Client()
    other.force_login(curator)
    ask(other, photo, "keep", points=[[400, 1000], [1040, 1000]])
    page = browser.get(f"/photos/{photo.pk}/measure/").content.decode()
    assert Measurement.objects.count() == 2
    assert "Ada Thorne and Carys Bowen differ by 3.3 mm: more than their uncertainties allow" in page


def test_a_ruler_in_frame_gives_a_scale_where_there_is_no_card(
    browser: Client, find: Find, collector: Member
) -> None:
    out = io.BytesIO()
    Image.new("RGB", (900, 600), "peru").save(out, "JPEG")
    photo = add_photo(SimpleUploadedFile("a.jpg", out.getvalue()), draft_id=find.pk, by=collector, find=find)
    line = [[100, 500], [700, 500]]
    refused = ask(browser, photo, "try", points=line)
    assert (refused.status_code, "no scale yet" in refused.json()["sentence"]) == (422, True)
    ruler = {"way": "ruler", "trait": "", "points": [[100, 100], [600, 100]], "ruler_mm": "50"}
    assert ask(browser, photo, "keep", **ruler).status_code == 200
    assert float(ask(browser, photo, "try", points=line).json()["text"].split()[0]) == 60
    assert PhotoScale.objects.get(kind="ruler").made_by == collector


# By the card these two points lie 50 mm apart (12 px per mm).
ON_RULER = {"way": "ruler", "trait": "", "points": [[400, 1000], [1000, 1000]]}


def test_a_ruler_that_differs_from_the_card_is_asked_about_and_not_taken_unasked(
    browser: Client, photo: Photo
) -> None:
    told = ask(browser, photo, "try", **ON_RULER, ruler_mm="1").json()
    assert told["ask"] is True
    assert told["keep"] == "Go by the ruler all the same"
    assert "by the ruler 1 mm: 50 times apart, more than their uncertainties allow" in told["sentence"]
    refused = ask(browser, photo, "keep", **ON_RULER, ruler_mm="1")
    assert (refused.status_code, "Nothing was changed" in refused.json()["sentence"]) == (422, True)
    assert not PhotoScale.objects.filter(kind="ruler").exists()


def test_a_ruler_that_agrees_with_the_card_is_taken_without_a_question(browser: Client, photo: Photo) -> None:
    told = ask(browser, photo, "try", **ON_RULER, ruler_mm="50").json()
    assert "ask" not in told
    assert "it agrees with the ruler" in told["sentence"]
    assert ask(browser, photo, "keep", **ON_RULER, ruler_mm="50").status_code == 200


def test_whoever_is_sure_goes_by_the_ruler_and_can_go_by_the_card_again(
    browser: Client, photo: Photo
) -> None:
    assert ask(browser, photo, "keep", **ON_RULER, ruler_mm="60", sure=True).status_code == 200
    page = browser.get(f"/photos/{photo.pk}/measure/").content.decode()
    assert "by the ruler 60 mm: 20 % apart" in page
    assert "Go by the card again" in page
    assert float(ask(browser, photo, "try").json()["text"].split()[0]) == 60
    back = browser.post(f"/photos/{photo.pk}/measure/card/", follow=True).content.decode()
    assert "The scale goes by the card again. The ruler stays on record." in back
    assert "Go by the card again" not in back
    assert float(ask(browser, photo, "try").json()["text"].split()[0]) == pytest.approx(50, rel=0.01)
    assert PhotoScale.objects.get(kind="ruler").ended_at is not None


def test_the_card_stays_outlined_while_a_ruler_serves(browser: Client, photo: Photo) -> None:
    before = browser.get(f"/photos/{photo.pk}/measure/").context["page"].scene["card"]
    ask(browser, photo, "keep", **ON_RULER, ruler_mm="60", sure=True)
    assert browser.get(f"/photos/{photo.pk}/measure/").context["page"].scene["card"] == before


def test_a_photo_without_a_card_cannot_go_by_it(browser: Client, find: Find, collector: Member) -> None:
    out = io.BytesIO()
    Image.new("RGB", (900, 600), "peru").save(out, "JPEG")
    photo = add_photo(SimpleUploadedFile("a.jpg", out.getvalue()), draft_id=find.pk, by=collector, find=find)
    page = browser.post(f"/photos/{photo.pk}/measure/card/", follow=True).content.decode()
    assert "No scale card was found on this photo. The scale stays as it is." in page


def test_a_first_reading_is_not_said_to_have_one_before(browser: Client, photo: Photo) -> None:
    ask(browser, photo, "keep")
    address = f"/photos/{photo.pk}/measure/reading/"
    first = browser.post(address, {"trait": "cap_width"}, follow=True).content.decode()
    assert "now.</li>" in first
    ask(browser, photo, "keep", points=[[400, 1000], [760, 1000]])
    second = browser.post(address, {"trait": "cap_width"}, follow=True).content.decode()
    assert "now. The one before stays on record.</li>" in second


def test_a_measurement_is_withdrawn_by_its_maker_only_and_stays_on_record(
    browser: Client, photo: Photo, curator: Member
) -> None:
    ask(browser, photo, "keep")
    row = Measurement.objects.get()
    other = Client()
    other.force_login(curator)
    assert other.post(f"/measurements/{row.pk}/withdraw/").status_code == 404
    browser.post(f"/measurements/{row.pk}/withdraw/")
    row.refresh_from_db()
    assert row.withdrawn_at is not None
    assert (
        "50"
        not in browser.get(f"/photos/{photo.pk}/measure/").content.decode().split("Measured on this photo")[1]
    )


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ({"points": [[1, 1]]}, "Two points are needed"),
        ({"points": [[1, 1], [99_999, 5]]}, "beside the photo"),
        ({"points": [[1, 1], [float("nan"), 5]]}, "did not arrive whole"),
        ({"points": "rubbish"}, "points can be put"),
        ({"trait": "smell"}, "not measured this way"),
        ({"way": "magic"}, "does not exist"),
        ({"above_mm": "high"}, "is not a number of mm"),
        ({"way": "count", "trait": "pores_per_mm", "points": [[10, 10], [20, 20]]}, "Mark a larger one"),
    ],
)
def test_bad_points_are_refused_with_a_sentence_and_nothing_is_kept(
    browser: Client, photo: Photo, body: dict[str, Any], says: str
) -> None:
    answer = ask(browser, photo, "keep", **body)
    assert answer.status_code == 422
    assert says in answer.json()["sentence"]
    assert not Measurement.objects.exists()


@pytest.mark.parametrize(("kind", "paper"), [("small", "a4"), ("large", "us-letter")])
def test_scale_cards_are_printed_as_a_pdf(browser: Client, kind: str, paper: str) -> None:
    answer = browser.get(f"/paper/scale-card/{kind}/{paper}.pdf")
    assert (answer.status_code, answer.content[:5]) == (200, b"%PDF-")


def test_a_card_there_is_none_of_is_refused_with_a_sentence(browser: Client) -> None:
    page = browser.get("/paper/scale-card/round/a4.pdf", follow=True).content.decode()
    assert "There is no card" in page


def test_of_one_photo_four_hundred_measurements_are_kept_and_no_more(
    browser: Client, photo: Photo, collector: Member
) -> None:
    ask(browser, photo, "keep")
    first = Measurement.objects.get()
    first.pk = None
    Measurement.objects.bulk_create([copy(first) for _ in range(398)])
    assert ask(browser, photo, "keep").status_code < 300
    answer = ask(browser, photo, "keep")
    assert "400 measurements are kept of one photo at most" in str(answer.content.decode())
    assert Measurement.objects.count() == 400


class TestTheScaleOfSomebodyElse:
    @pytest.fixture
    def another(self, stranger: Member) -> Client:
        other = Client()
        other.force_login(stranger)
        return other

    def test_is_not_changed_by_a_ruler(self, another: Client, photo: Photo) -> None:
        refused = ask(another, photo, "keep", **ON_RULER, ruler_mm="60", sure=True)
        assert (refused.status_code, "ask one of them" in refused.json()["sentence"]) == (403, True)
        assert not PhotoScale.objects.filter(kind="ruler").exists()
        assert "Scale from a ruler" not in another.get(f"/photos/{photo.pk}/measure/").content.decode()

    def test_is_not_changed_back_to_the_card(self, browser: Client, another: Client, photo: Photo) -> None:
        ask(browser, photo, "keep", **ON_RULER, ruler_mm="60", sure=True)
        assert another.post(f"/photos/{photo.pk}/measure/card/").status_code == 403
        page = another.get(f"/photos/{photo.pk}/measure/").content.decode()
        assert "Go by the card again" not in page and "20 % apart" in page

    def test_is_measured_by_all_the_same(self, another: Client, photo: Photo) -> None:
        assert ask(another, photo, "keep").status_code == 200

    def test_changed_by_its_finder_is_told_by_the_history(
        self, browser: Client, photo: Photo, find: Find
    ) -> None:
        ask(browser, photo, "keep", **ON_RULER, ruler_mm="60", sure=True)
        browser.post(f"/photos/{photo.pk}/measure/card/")
        told = find.changes.filter(field="scale of a photo").order_by("pk").values_list("old", "new")
        card, ruler = "scale card, 0.0833 mm per pixel", "ruler in frame, 0.1 mm per pixel"
        assert list(told) == [(card, ruler), (ruler, card)]


def whole(note: str) -> bytes:
    body = {"way": "line", "points": [[400, 1000], [1000, 1000]], "trait": "cap_width", "note": "N"}
    return json.dumps(body).replace('"N"', note).encode()


@pytest.mark.parametrize(
    "body",
    [
        b"[" * 100_000,
        b"[]",
        b"\xff",
        whole('"\\ud800"'),
        whole('"a"').replace(b"400", b"4" * 400),
        whole('"a"').replace(b"400", b"NaN"),
        whole('"a"').replace(b'"cap_width"', b"[]"),
        whole('"a"').replace(b'"line"', b"{}"),
    ],
)
def test_what_no_page_asks_is_refused_in_words(browser: Client, photo: Photo, body: bytes) -> None:
    for to in ("try", "keep"):
        answer = browser.post(f"/photos/{photo.pk}/measure/{to}/", body, content_type="application/json")
        assert answer.status_code == 422
        assert answer.json()["sentence"]
    assert not Measurement.objects.exists()


def test_a_note_is_kept_without_signs_that_cannot_be_seen(browser: Client, photo: Photo) -> None:
    browser.post(
        f"/photos/{photo.pk}/measure/keep/", whole('"wid\\u0000est\\u202e"'), content_type="application/json"
    )
    assert Measurement.objects.get().note == "widest"
