"""The log form in a browser without scripts: it must do everything, and never lose what was typed."""

import uuid
from datetime import datetime, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from ledger.club.queries import the_club
from ledger.finds import actions
from ledger.finds.entries import RECORD_FIELDS
from ledger.finds.forms import FindForm
from ledger.finds.models import Find, Photo, Status
from tests.factories import ForayFactory, make_photo, picture
from tests.ledger.finds.making import TWELVE, entry

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _with_reference(reference):
    pass


@pytest.fixture
def browser(collector, browser_of):
    return browser_of(collector)


def upload(name="cap.jpg", data=None):
    return SimpleUploadedFile(name, picture() if data is None else data, content_type="image/jpeg")


def sent(browser, **given):
    data = {"find_id": str(uuid.uuid4()), "do": "keep", "kept": "on", "found_on": "2026-10-03", **given}
    return browser.post("/finds/log/", {k.replace("__", "-"): v for k, v in data.items()})


def test_an_empty_form_has_todays_date_and_the_next_number(browser):
    page = browser.get("/finds/log/").content.decode()
    assert f'value="{datetime.now().date():%Y-%m-%d}"' in page  # noqa: DTZ005
    assert "AT 1" in page


def test_a_foray_of_today_is_chosen_beforehand(browser, leader):
    foray = ForayFactory(leader=leader, held_on=datetime.now().date())  # noqa: DTZ005
    assert f'<option value="{foray.pk}" selected>' in browser.get("/finds/log/").content.decode()


def test_a_kept_find_leads_to_its_page(browser):
    answer = sent(browser, **{"r-underside-states": "pores", "name_typed": "Trametes versicolor"})
    find = Find.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, f"/finds/{find.pk}/")
    assert find.readings.get().states == ["pores"]


def test_an_unusual_find_is_kept_and_held_never_refused(browser):
    sent(browser, **{"r-cap_width-values": "5800", "name_typed": "Trametes versicolor"})
    assert Find.objects.get().status == Status.HELD


def test_what_cannot_be_stored_comes_back_with_everything_typed(browser):
    given = {"locality": "Below the quarry", "r-cap_width-values": ["wide", "61"], "smell": "aniseed"}
    answer = sent(browser, altitude_m="high", **given)
    page = answer.content.decode()
    assert (answer.status_code, Find.objects.count()) == (422, 0)
    for typed in ("Below the quarry", 'value="wide"', 'value="61"', "aniseed", 'value="high"'):
        assert typed in page
    assert page.count("Altitude, m:") == 1 and "Cap width, along the wood: " in page


def test_photos_sent_with_a_form_that_cannot_be_stored_are_kept(browser):
    answer = sent(browser, altitude_m="high", **{"photo-cap": upload()})
    photo = Photo.objects.get()
    assert (photo.view, photo.find) == ("cap", None)
    assert str(photo.pk) in answer.content.decode()


def test_photos_kept_that_way_become_the_finds_when_it_is_kept(browser):
    find_id = str(uuid.uuid4())
    sent(browser, find_id=find_id, altitude_m="high", **{"photo-underside": upload()})
    sent(browser, find_id=find_id)
    assert Find.objects.get().photos.get().view == "underside"


def test_a_bad_photo_gets_a_sentence_and_the_others_stay(browser):
    answer = sent(browser, **{"photo-cap": upload(), "photo-underside": upload("b.jpg", b"no picture")})
    assert answer.status_code == 422
    assert "b.jpg" in answer.content.decode()
    assert Photo.objects.count() == 1


def test_the_check_button_stores_nothing_and_shows_outcomes(browser):
    answer = sent(browser, do="check", name_typed="Trametes versicolor", **{"r-underside-states": "smooth"})
    page = answer.content.decode()
    assert (answer.status_code, Find.objects.count()) == (200, 0)
    assert "ruled out" in page and "mark--outside" in page


def test_a_proposed_name_is_taken_when_it_is_pressed(browser):
    page = sent(browser, do="", name_typed="Trametes versicolour", take_name="Trametes versicolor")
    assert 'name="name_typed" value="Trametes versicolor"' in page.content.decode()


def test_a_photos_place_and_time_are_taken_when_pressed(browser, collector):
    find_id = uuid.uuid4()
    facts = {"latitude": 51.2345, "longitude": -2.3456, "error_m": 8.0}
    photo = make_photo(draft_id=find_id, by=collector, **facts)
    page = sent(browser, find_id=str(find_id), do="", use_photo=str(photo.pk)).content.decode()
    assert 'value="51.234500, -2.345600"' in page
    assert 'name="position_source" value="photo"' in page


def test_a_waiting_photo_is_removed_when_pressed_and_what_was_typed_stays(browser, collector):
    find_id = uuid.uuid4()
    photo = make_photo(draft_id=find_id, by=collector)
    page = sent(browser, find_id=str(find_id), do="", remove_photo=str(photo.pk), smell="aniseed")
    assert not Photo.objects.exists()
    assert "aniseed" in page.content.decode()


def test_a_form_without_its_identity_is_refused_in_words(browser):
    answer = sent(browser, find_id="")
    assert answer.status_code == 422
    assert "The form:" in answer.content.decode()


@pytest.mark.parametrize("name", FindForm.base_fields)
def test_each_field_of_the_record_has_its_box_in_the_log_form(browser, name):
    assert f'name="{name}"' in browser.get("/finds/log/").content.decode()


def test_each_column_a_person_fills_in_is_a_field_of_the_form_or_comes_with_one():
    elsewhere = {"latitude", "longitude", "decay_scale", "decay_class", "country", "region"}
    assert {column for column in RECORD_FIELDS if column not in FindForm.base_fields} == elsewhere


class TestAmending:
    def logged(self, collector):
        return actions.log_find(entry(*TWELVE, locality="Hollin Wood"), by=collector)

    def form_of(self, browser, find):
        """What a browser would send back untouched."""
        from html.parser import HTMLParser

        class Fields(HTMLParser):
            def __init__(self):
                super().__init__()
                self.fields, self.select = [], None

            def handle_starttag(self, tag, attrs):
                a = dict(attrs)
                if tag == "input" and a.get("name"):
                    kind = a.get("type", "text")
                    if (kind in ("radio", "checkbox") and "checked" not in a) or kind == "file":
                        return
                    self.fields.append((a["name"], a.get("value") or ("on" if kind == "checkbox" else "")))
                if tag == "select":
                    self.select = a.get("name")
                if tag == "option" and self.select and "selected" in a:
                    self.fields.append((self.select, a.get("value") or ""))

        parser = Fields()
        parser.feed(browser.get(f"/finds/{find.pk}/amend/").content.decode())
        data = {}
        for name, value in parser.fields:
            data.setdefault(name, []).append(value)
        return data | {"do": ["keep"]}

    def test_sending_the_form_back_untouched_changes_nothing(self, browser, collector):
        find = self.logged(collector)
        data = self.form_of(browser, find)
        assert browser.post(f"/finds/{find.pk}/amend/", data).status_code == 302
        assert [c.field for c in find.changes.all()] == ["logged"]

    def test_a_place_that_was_not_typed_keeps_all_its_digits(self, browser, collector):
        find = self.logged(collector)
        Find.objects.filter(pk=find.pk).update(
            latitude=51.234_567_89, longitude=-2.345_678_91, position_typed="", uncertainty_m=None
        )
        data = self.form_of(browser, find) | {"note": ["Two tiers."]}
        assert browser.post(f"/finds/{find.pk}/amend/", data).status_code == 302
        kept = Find.objects.get(pk=find.pk)
        assert (kept.latitude, kept.longitude) == (51.234_567_89, -2.345_678_91)
        assert (kept.position_typed, kept.uncertainty_m, kept.note) == ("", None, "Two tiers.")
        data = self.form_of(browser, find) | {"position_typed": ["51.2346, -2.3457"]}
        assert browser.post(f"/finds/{find.pk}/amend/", data).status_code == 302
        assert Find.objects.get(pk=find.pk).position_typed == "51.2346, -2.3457"

    def test_what_a_form_has_no_box_for_stays_as_it_is(self, browser, collector):
        find = actions.log_find(entry(*TWELVE, smell="aniseed", note="Two tiers."), by=collector)
        data = self.form_of(browser, find)
        for box in ("smell", "note"):
            data.pop(box, None)
        assert browser.post(f"/finds/{find.pk}/amend/", data).status_code == 302
        find.refresh_from_db()
        assert (find.smell, find.note) == ("aniseed", "Two tiers.")

    def test_another_member_may_not(self, collector, stranger, browser_of):
        find = self.logged(collector)
        assert browser_of(stranger).get(f"/finds/{find.pk}/amend/").status_code == 403

    def test_a_change_made_meanwhile_is_shown_field_by_field(self, browser, collector, curator, browser_of):
        find = self.logged(collector)
        mine = self.form_of(browser, find) | {"host": ["Fagus"]}
        theirs = self.form_of(browser_of(curator), find) | {"host": ["Quercus"], "smell": ["aniseed"]}
        browser_of(curator).post(f"/finds/{find.pk}/amend/", theirs)
        answer = browser.post(f"/finds/{find.pk}/amend/", mine)
        page = answer.content.decode()
        assert answer.status_code == 422
        assert "Quercus" in page and 'value="Fagus"' in page and "Carys Bowen" in page
        # Smell was not touched here, so theirs is taken over into the form.
        assert 'value="aniseed"' in page
        find.refresh_from_db()
        assert find.host == "Quercus"

    def test_a_change_of_ones_own_on_another_page_is_called_so(self, browser, collector):
        find = self.logged(collector)
        mine = self.form_of(browser, find)
        browser.post(f"/finds/{find.pk}/amend/", mine | {"host": ["Quercus"]})
        page = browser.post(f"/finds/{find.pk}/amend/", mine | {"host": ["Fagus"]}).content.decode()
        assert "was changed by you, on another phone or page, while this form was open" in page
        assert "somebody else" not in page

    def test_keeping_it_again_after_having_seen_it_writes_ones_own(
        self, browser, collector, curator, browser_of
    ):
        find = self.logged(collector)
        mine = self.form_of(browser, find) | {"host": ["Fagus"]}
        browser_of(curator).post(
            f"/finds/{find.pk}/amend/", self.form_of(browser_of(curator), find) | {"host": ["Quercus"]}
        )
        browser.post(f"/finds/{find.pk}/amend/", mine)
        again = self.form_of(browser, find) | {"host": ["Fagus"]}
        browser.post(f"/finds/{find.pk}/amend/", again)
        find.refresh_from_db()
        assert find.host == "Fagus"


class TestFragments:
    def test_the_check_answers_by_slots(self, browser):
        data = {"find_id": str(uuid.uuid4()), "name_typed": "Trametes versicolor", "r-cap_width-values": "58"}
        page = browser.post("/finds/check/", data).content.decode()
        assert 'data-slot="answer-cap_width"' in page and 'data-slot="check"' in page
        assert 'class="strip"' in page

    def test_the_check_says_it_is_no_guide_to_eating(self, browser):
        page = browser.post("/finds/check/", {"r-underside-states": "pores"}).content.decode()
        assert "never that one may be eaten" in page

    def test_before_anything_is_read_it_says_where_to_begin_and_ranks_nothing(self, browser):
        data = {"found_on": "2026-10-03", "host": "Picea abies"}
        page = browser.post("/finds/check/", data).content.decode()
        assert "Nothing is read yet." in page and "Begin with the underside." in page
        assert "Nearest so far" not in page and "next-look" not in page

    def test_the_next_look_asks_a_question_and_folds_its_answers_away(self, browser):
        data = {"found_on": "2026-10-03", "r-underside-states": "pores"}
        page = browser.post("/finds/check/", data).content.decode()
        look = page.partition('class="next-look"')[2].partition("</div>")[0]
        assert "?</a></h3>" in look or ".</a></h3>" in look
        said, _, folded = look.partition("<details")
        assert "taxa still open" in said and "left, first <i>" in folded
        assert " leaves " not in look

    def test_half_typed_numbers_do_not_stop_the_check(self, browser):
        data = {"r-cap_width-values": "5,", "r-underside-states": "pores"}
        page = browser.post("/finds/check/", data).content.decode()
        assert "kept as typed" in page and "Nearest so far" in page

    def test_a_typed_place_is_read_back(self, browser):
        page = browser.get("/finds/read-place/", {"place": "51.2345, -2.3456"}).content.decode()
        assert "51.2345" in page and "N" in page

    def test_a_place_outside_the_area_is_told_with_its_distance_and_the_likely_reading(self, browser):
        club = the_club()
        club.area_latitude, club.area_longitude, club.area_radius_km = 51.3, -2.3, 40
        club.save()
        page = browser.get("/finds/read-place/", {"place": "-2.3456, 51.2345"}).content.decode()
        assert "notice--doubt" in page and "km from the middle of the club's area" in page
        assert "Did you mean <b" in page and "51.2345, -2.3456</b>?" in page
        assert "2.3456°S" in page  # what was typed is still what is read
        inside = browser.get("/finds/read-place/", {"place": "51.2345, -2.3456"}).content.decode()
        assert "notice" not in inside

    def test_words_in_the_box_for_coordinates_are_sent_to_the_other_box(self, browser):
        page = browser.get("/finds/read-place/", {"place": "by the lower stile"}).content.decode()
        assert "put them in Place in words. What you typed is kept." in page

    def test_an_ambiguous_place_shows_its_readings(self, browser):
        page = browser.get("/finds/read-place/", {"place": "33S 500000 4000000"}).content.decode()
        assert page.count("<li>") == 2

    def test_a_misspelt_name_brings_proposals(self, browser):
        page = browser.get("/finds/match-name/", {"name": "Trametes versicolour"}).content.decode()
        assert 'value="Trametes versicolor"' in page

    def test_nothing_typed_is_answered_by_nothing(self, browser):
        assert browser.get("/finds/match-name/").content.strip() == b""
        assert browser.get("/finds/read-place/").content.strip() == b""


# Two of each are the session and the member, two the club and the held finds of the page's frame.
@pytest.mark.parametrize(
    ("address", "queries"),
    [
        ("/finds/log/", 7),
        ("/finds/", 6),
        ("/finds/{id}/", 15),
        ("/finds/{id}.json", 13),
        ("/finds/{id}/amend/", 9),
    ],
)
def test_each_screen_costs_a_fixed_number_of_queries(
    browser, collector, django_assert_num_queries, address, queries
):
    finds = [actions.log_find(entry(*TWELVE), by=collector) for _ in range(5)]
    with django_assert_num_queries(queries):
        assert browser.get(address.format(id=finds[0].pk)).status_code == 200


def test_the_check_costs_few_queries(browser, django_assert_num_queries):
    data = {"name_typed": "Trametes versicolor", "r-underside-states": "pores"}
    with django_assert_num_queries(4):
        browser.post("/finds/check/", data)


class TestNothingEntered:
    def test_an_untouched_form_is_refused_and_uses_no_number(self, browser, collector):
        answer = sent(browser)
        collector.refresh_from_db()
        assert answer.status_code == 422
        assert "Nothing is entered yet" in answer.content.decode()
        assert (Find.objects.count(), collector.next_serial) == (0, 1)

    @pytest.mark.parametrize(
        "given",
        [
            {"note": "Rain."},
            {"host": "Fagus"},
            {"locality": "Below the quarry"},
            {"name_typed": "Stereum sp."},
            {"position_typed": "51.2345, -2.3456"},
            {"height_m": "0"},
            {"r-zonation-looked": "absent"},
            {"photo-cap": None},
        ],
        ids=lambda given: next(iter(given)),
    )
    def test_one_thing_entered_makes_a_find(self, browser, given):
        given = {name: upload() if text is None else text for name, text in given.items()}
        assert sent(browser, **given).status_code == 302
        assert Find.objects.count() == 1


class TestAfterKeeping:
    def test_the_number_to_write_on_the_packet_stands_on_the_finds_page(self, browser):
        page = browser.get(sent(browser, note="Rain.")["Location"]).content.decode()
        assert 'Kept. Write <span class="number kept__number">AT 1</span> on the packet.' in page
        assert "Log another" in page

    def test_what_holds_it_is_counted_in_words(self, browser):
        answer = sent(browser, **{"r-cap_width-values": "5800", "name_typed": "Trametes versicolor"})
        page = browser.get(answer["Location"]).content.decode()
        find = Find.objects.get()
        many = {word: find.flags.filter(severity=word).count() for word in ("stop", "doubt")}
        told = " and ".join(f"{n} {word}{'s' if n > 1 else ''}" for word, n in many.items() if n)
        assert told and f"A curator will look at it: {told} below." in page

    def test_nothing_taken_means_no_packet(self, browser):
        find_id = str(uuid.uuid4())
        answer = browser.post("/finds/log/", {"find_id": find_id, "do": "keep", "note": "Only looked."})
        assert "No packet: nothing was taken." in browser.get(answer["Location"]).content.decode()

    def test_a_script_is_told_the_address_and_the_message_waits_for_the_page(self, browser):
        find_id = str(uuid.uuid4())
        data = {"find_id": find_id, "do": "keep", "kept": "on", "note": "Rain."}
        answer = browser.post("/finds/log/", data, headers={"X-Requested-With": "fetch"})
        assert (answer.status_code, answer.json()) == (201, {"to": f"/finds/{find_id}/"})
        assert "on the packet." in browser.get(f"/finds/{find_id}/").content.decode()

    def test_what_was_typed_after_a_lost_answer_is_an_amendment(self, browser):
        find_id = str(uuid.uuid4())
        sent(browser, find_id=find_id, note="Rain.")
        sent(browser, find_id=find_id, note="Rain, then hail.")
        find = Find.objects.get()
        assert (find.note, find.version) == ("Rain, then hail.", 2)

    def test_the_same_form_sent_twice_changes_nothing(self, browser):
        find_id = str(uuid.uuid4())
        for _ in range(2):
            sent(browser, find_id=find_id, **{"r-cap_width-values": "58", "name_typed": "Stereum sp."})
        assert [change.field for change in Find.objects.get().changes.all()] == ["logged"]

    def test_what_a_curator_changed_meanwhile_is_not_overwritten_by_a_form_sent_again(
        self, browser, curator, browser_of
    ):
        find_id = uuid.uuid4()
        sent(browser, find_id=str(find_id), host="Fagus")
        actions.amend_find(find_id, entry(host="Quercus", kept=True), by=curator, version=1)
        answer = sent(browser, find_id=str(find_id), host="Fagus", note="Rain.")
        assert answer.status_code == 422
        assert f'action="/finds/{find_id}/amend/"' in answer.content.decode()
        assert Find.objects.get().host == "Quercus"


class TestAnUnfinishedForm:
    def test_it_is_opened_again_with_its_identity_and_its_photos(self, browser, collector):
        photo = make_photo(draft_id=uuid.uuid4(), by=collector)
        page = browser.get(f"/finds/log/?draft={photo.draft_id}").content.decode()
        assert f'name="find_id" value="{photo.draft_id}"' in page
        assert f'name="photo-view-{photo.pk}"' in page

    def test_somebody_elses_photos_do_not_come_with_it(self, browser, stranger):
        photo = make_photo(draft_id=uuid.uuid4(), by=stranger)
        assert "photo-view-" not in browser.get(f"/finds/log/?draft={photo.draft_id}").content.decode()

    def test_one_that_was_kept_after_all_goes_on_as_the_find(self, browser, collector):
        find = actions.log_find(entry(*TWELVE), by=collector)
        answer = browser.get(f"/finds/log/?draft={find.pk}")
        assert (answer.status_code, answer["Location"]) == (302, f"/finds/{find.pk}/amend/")

    def test_a_wrong_identity_is_answered_by_a_new_form(self, browser):
        assert browser.get("/finds/log/?draft=nonsense").status_code == 200


def test_a_day_to_come_is_asked_about_and_stays(browser):
    page = sent(browser, do="check", found_on="2999-01-01").content.decode()
    assert 'id="found-on-ask" role="status">' in page and 'value="2999-01-01"' in page
    page = sent(browser, do="check").content.decode()
    assert 'id="found-on-ask" role="status" hidden>' in page


def test_the_views_still_missing_are_told_before_it_is_picked(browser):
    page = browser.get("/finds/log/").content.decode()
    assert (
        "Before you pick it, still to photograph: cap from above, underside, from the side, cut, place, scale."
        in page
    )


def test_of_a_find_that_is_amended_the_views_that_are_not_there_are_told(browser, collector):
    find = actions.log_find(entry(*TWELVE[1:]), by=collector)
    make_photo(find=find, by=collector, view="cap")
    page = browser.get(f"/finds/{find.pk}/amend/").content.decode()
    assert "Not photographed: underside, from the side, cut, place, scale by the pores." in page


@pytest.mark.parametrize(
    ("days", "state", "can_be_done"),
    [(0, "fresh", True), (3, "fresh", True), (4, "fresh", False), (0, "air-dry", False), (None, "", True)],
)
def test_what_drying_destroys_is_asked_for_only_while_it_can_be_looked_at(browser, days, state, can_be_done):
    found_on = "" if days is None else (timezone.now() - timedelta(days)).date().isoformat()
    page = sent(
        browser, do="check", found_on=found_on, specimen_state=state, name_typed="Trametes versicolor"
    )
    assert page.context["page"].has_dried is not can_be_done
    looks = page.context["checkup"].result.next_look
    assert any(look.fresh_only for look in looks) is can_be_done
    assert (" data-has-dried>" in page.content.decode()) is not can_be_done
