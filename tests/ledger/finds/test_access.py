"""Who sees an exact place. The collector's find of a sensitive taxon, on the leader's foray."""

import json
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from ledger.finds import access, photo_actions
from ledger.finds.history import record_change
from ledger.finds.models import Find
from ledger.photos.errors import PhotoRefused
from tests.factories import (
    FindFactory,
    FlagFactory,
    ForayFactory,
    QuestionFactory,
    TaxonFactory,
    make_photo,
    name_find,
    picture,
)

PICTURES = (("", picture(colour="tan")), ("cap", picture(colour="wheat")))
SECRETS = ("51.23", "-2.34", "2.345", "Hollin", "quarry")


@pytest.fixture
def find(collector, leader):
    taxon = TaxonFactory(name="Hericium erinaceus", slug="hericium-erinaceus", authority="(Bull.) Pers.")
    taxon.blur_step_deg = 0.1
    taxon.save()
    find = FindFactory(
        finder=collector,
        foray=ForayFactory(leader=leader, name="Hollin Wood foray"),
        position_typed="51.23456, -2.34567",
        note="By the quarry path.",
        trees_nearby="the oaks of Hollin Wood",
        permission="Hollin Estate, letter of May",
        altitude_m=123.0,
    )
    name_find(find, taxon)
    return Find.objects.for_page().get(pk=find.pk)


def test_finder_leader_of_that_foray_and_curators_see_it(find, collector, leader, curator, keeper):
    assert all(access.place_for(find, who).exact for who in (collector, leader, curator, keeper))


def test_another_member_sees_the_cell_only(find, stranger):
    place = access.place_for(find, stranger)
    # 51.23456, -2.34567 in cells of 0.1 degree, towards minus infinity: 51.2 to 51.3, -2.4 to -2.3.
    assert (place.exact, place.latitude, place.longitude) == (False, 51.25, -2.35)
    assert not (place.locality or place.foray or place.permission or place.note or place.trees_nearby)
    assert place.altitude_m is None


def test_a_leader_of_another_foray_is_another_member(find):
    from tests.factories import MemberFactory

    other = MemberFactory(role="leader")
    ForayFactory(leader=other)
    assert not access.sees_exact_place(find, other)


def test_a_find_that_is_not_sensitive_is_exact_for_all(collector, stranger):
    assert access.place_for(FindFactory(finder=collector), stranger).exact


def test_the_finders_own_step_keeps_any_find_back(collector, stranger):
    find = FindFactory(finder=collector, own_blur_step_deg=0.01)
    assert access.place_for(find, stranger).latitude == 51.235


def test_of_two_steps_the_coarser_holds(find, stranger):
    find.own_blur_step_deg = 1.0
    assert access.place_for(find, stranger).latitude == 51.5


def test_a_sensitive_find_without_a_place_tells_none(find, stranger):
    find.latitude = find.longitude = None
    place = access.place_for(find, stranger)
    assert (place.latitude, place.exact) == (None, False)


def test_a_place_that_cannot_be_is_kept_back_all_the_same(find, stranger):
    find.latitude = 951.23
    place = access.place_for(find, stranger)
    assert (place.latitude, "951" in place.text) == (None, False)


def test_the_history_tells_a_stranger_no_places(find, collector, stranger):
    record_change(find, field="latitude", old=51.0, new=51.23456, by=collector, now=find.logged_at)
    record_change(find, field="host", old="", new="Fagus", by=collector, now=find.logged_at)
    shown = access.shown_changes(Find.objects.for_page().get(pk=find.pk), stranger)
    assert [(c.what, c.old, c.new) for c in shown] == [("Latitude", "", "kept back"), ("Host", "", "Fagus")]


@pytest.mark.parametrize(
    ("field", "old"), [("name", "Trametes, det. A, by the mill"), ("deaccessioned", "HFG 1")]
)
def test_grounds_in_the_history_are_kept_back_with_the_place(find, collector, curator, stranger, field, old):
    record_change(find, field=field, old=old, new="by the weir", by=collector, now=find.logged_at)
    find = Find.objects.for_page().get(pk=find.pk)
    assert [(c.old, c.new) for c in access.shown_changes(find, stranger)] == [("", "kept back")]
    assert [(c.old, c.new) for c in access.shown_changes(find, curator)] == [(old, "by the weir")]


def test_flags_that_tell_of_the_place_are_not_for_a_stranger(find, collector, stranger):
    FlagFactory(find=find, code="photo_place_differs", sentence="The find lies 3 km from where it was taken.")
    FlagFactory(find=find, code="trait_outside")
    find = Find.objects.for_page().get(pk=find.pk)
    assert [f.code for f in access.shown_flags(find, stranger)] == ["trait_outside"]
    assert len(access.shown_flags(find, collector)) == 2


def test_a_photo_of_the_place_is_not_for_a_stranger(find, collector, stranger):
    photo = make_photo(find=find, by=collector, view="place")
    assert not access.may_see_photo(photo, stranger)
    assert access.may_see_photo(photo, collector)


def test_originals_hold_the_place_and_are_for_few(find, collector, leader, curator, stranger):
    photo = make_photo(find=find, by=collector, view="cap")
    assert [access.may_see_original(photo, who) for who in (collector, leader, curator, stranger)] == [
        True,
        True,
        True,
        False,
    ]


@pytest.mark.parametrize("page", ["/finds/", "/finds/{id}/", "/finds/{id}.json", "/finds/?q=hericium"])
def test_no_page_tells_a_stranger_more_than_the_cell(find, stranger, collector, browser_of, reference, page):
    record_change(find, field="locality", old="", new=find.locality, by=collector, now=find.logged_at)
    answer = browser_of(stranger).get(page.format(id=find.pk))
    assert answer.status_code == 200
    shown = answer.content.decode()
    assert [secret for secret in SECRETS if secret in shown] == []
    assert "Hericium" in shown


def test_the_json_twin_gives_the_finder_the_exact_place(find, collector, browser_of, reference):
    told = json.loads(browser_of(collector).get(f"/finds/{find.pk}.json").content)
    assert (told["place"]["exact"], told["place"]["latitude"]) == (True, 51.23456)


def test_a_list_by_foray_leaves_sensitive_finds_out_for_strangers(find, stranger, leader, browser_of):
    address = f"/finds/?foray={find.foray_id}"
    assert "Hericium" not in browser_of(stranger).get(address).content.decode()
    assert "Hericium" in browser_of(leader).get(address).content.decode()


def test_a_search_for_the_place_finds_nothing(find, stranger, browser_of):
    assert "Hericium" not in browser_of(stranger).get("/finds/?q=quarry").content.decode()


def test_finder_and_curators_may_amend_and_others_not(find, collector, curator, leader, stranger):
    assert [access.may_amend(find, who) for who in (collector, curator, leader, stranger)] == [
        True,
        True,
        False,
        False,
    ]


def test_what_people_wrote_freely_is_kept_back_with_the_place(stranger, collector, curator):
    find = FindFactory(finder=collector, own_blur_step_deg=0.1)
    QuestionFactory(find=find, asked_by=curator, text="Was it by the split oak?")
    for field in ("question", "answer", "flag settled", "settled"):
        record_change(find, field=field, old="", new="by the split oak", by=curator, now=find.logged_at)
    told = [line.new for line in access.shown_changes(find, stranger)]
    assert told == ["kept back"] * 4
    assert access.shown_questions(find, stranger) == []
    assert len(access.shown_questions(find, collector)) == 1


def test_a_photo_whose_view_was_not_said_is_kept_back_with_the_place(find, collector, stranger):
    unsaid, cap = (make_photo(find=find, by=collector, view=view, data=data) for view, data in PICTURES)
    assert not access.may_see_photo(unsaid, stranger)
    assert access.may_see_photo(cap, stranger)


def test_nobody_fills_another_s_find_with_photos(find, stranger):
    with pytest.raises(PhotoRefused, match="not yours"):
        photo_actions.add_photo(SimpleUploadedFile("a.jpg", picture()), draft_id=find.pk, by=stranger)


def test_what_another_sent_under_the_same_identity_swallows_nothing(collector, stranger):
    draft_id, data = uuid.uuid4(), picture()
    theirs = photo_actions.add_photo(SimpleUploadedFile("a.jpg", data), draft_id=draft_id, by=stranger)
    mine = photo_actions.add_photo(SimpleUploadedFile("a.jpg", data), draft_id=draft_id, by=collector)
    assert mine != theirs
    assert mine.uploaded_by == collector


def test_an_error_that_cannot_be_is_told_as_it_was_given(collector):
    find = FindFactory(finder=collector, latitude=51.5, longitude=-0.1, uncertainty_m=0.0)
    place = access.place_for(find, collector)
    assert "error given as 0 m" in place.text
    assert place.error_text == ""


def test_the_error_beside_the_words_is_the_one_beside_the_numbers(collector):
    find = FindFactory(finder=collector, latitude=51.5, longitude=-0.1, uncertainty_m=13.2)
    place = access.place_for(find, collector)
    assert place.error_text == "± 14 m" and place.error_text in place.text
