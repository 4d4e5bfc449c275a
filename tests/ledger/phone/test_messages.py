"""The outbox against the ledger, over HTTP: taken once, whatever comes twice, late, damaged or from somebody else."""

import hashlib
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from ledger.bench.actions import send_back
from ledger.finds.flagging import recheck
from ledger.finds.models import Find, Photo
from ledger.people.models import Member
from ledger.phone.models import NumberBlock, Receipt
from ledger.phone.numbers import reserve_block, return_block
from ledger.phone.payload import digest_of
from ledger.traits.reference import Reference
from tests.factories import FindFactory, picture
from tests.ledger.phone.messages import MADE, PHONE, find_message, parts_of, send_find, send_part, send_photo

ANOTHER_PHONE = "7a1f7f30-9d0b-4b1e-8f7c-6a1d2c3b4e5f"

HERE = ("locality", "Below the bridge")

Browsers = Callable[[Member], Client]


@pytest.fixture
def phone(collector: Member, browser_of: Browsers, reference: Reference) -> Client:
    return browser_of(collector)


def sha(photo: bytes) -> str:
    return hashlib.sha256(photo).hexdigest()


class TestAFind:
    def test_is_stored_and_confirmed_with_its_digest(self, phone: Client, collector: Member) -> None:
        message = find_message(collector, ("locality", "Below the bridge"), ("r-cap_width-values", "58"))
        answer = send_find(phone, message)
        find = Find.objects.get()
        assert (answer.status_code, answer.json()["digest"]) == (201, message["digest"])
        assert (str(find.pk), find.locality, find.readings.get().values) == (
            message["find"],
            "Below the bridge",
            [58.0],
        )

    def test_sent_twice_is_stored_once_and_answered_the_same(self, phone: Client, collector: Member) -> None:
        message = find_message(collector)
        first, second = (send_find(phone, message).json() for _ in range(2))
        assert first == second
        assert (Find.objects.count(), Receipt.objects.count()) == (1, 1)

    def test_takes_the_number_of_its_phone(self, phone: Client, collector: Member) -> None:
        reserve_block(collector, holder="phone", by=collector, many=20)
        answer = send_find(phone, find_message(collector, serial=7))
        assert answer.json()["number"] == "AT 7"
        assert not Find.objects.get().flags.filter(code__startswith="number").exists()

    def test_without_a_number_gets_one_behind_all_blocks(self, phone: Client, collector: Member) -> None:
        reserve_block(collector, holder="phone", by=collector, many=20)
        assert send_find(phone, find_message(collector)).json()["number"] == "AT 21"

    def test_edited_before_the_answer_came_is_amended(self, phone: Client, collector: Member) -> None:
        first = find_message(collector, ("locality", "Below the brige"), typed=1)
        again = find_message(collector, ("locality", "Below the bridge"), typed=9, find=first["find"])
        answers = [send_find(phone, message).status_code for message in (first, again)]
        find = Find.objects.get()
        assert (answers, find.locality, find.version) == ([201, 200], "Below the bridge", 2)

    def test_an_older_message_that_lost_its_way_undoes_nothing(
        self, phone: Client, collector: Member
    ) -> None:
        old = find_message(collector, ("locality", "Old"), typed=1)
        new = find_message(collector, ("locality", "New"), typed=9, find=old["find"])
        for message in (new, old, new, old):
            assert send_find(phone, message).status_code in (200, 201)
        assert (Find.objects.get().locality, Find.objects.get().version) == ("New", 1)

    def test_an_older_message_undoes_nothing_where_the_newer_one_changed_nothing(
        self, phone: Client, collector: Member
    ) -> None:
        first = find_message(collector, ("locality", "Here"), typed=1)
        older = find_message(collector, ("locality", "There"), typed=5, version=1, find=first["find"])
        newer = find_message(collector, ("locality", "Here"), typed=9, version=1, find=first["find"])
        for message in (first, newer, older):
            assert send_find(phone, message).status_code in (200, 201)
        assert Find.objects.get().locality == "Here"

    def test_typed_with_the_answer_in_sight_is_newer_whatever_the_clock_says(
        self, phone: Client, collector: Member
    ) -> None:
        first = find_message(collector, ("locality", "Here"), typed=9)
        told = send_find(phone, first).json()
        seen = {"find": first["find"], "version": told["version"], "opened_at": told["opened_at"]}
        send_find(phone, find_message(collector, ("locality", "There"), typed=1, **seen))
        assert Find.objects.get().locality == "There"

    def test_given_to_another_finder_before_the_answer_came_has_their_number(
        self, phone: Client, collector: Member, stranger: Member
    ) -> None:
        first = find_message(collector, finder=stranger.pk, serial=5, typed=1)
        again = find_message(collector, finder=None, serial=3, typed=2, find=first["find"])
        assert [send_find(phone, one).json()["number"] for one in (first, again)] == ["SO 5", "AT 3"]
        find = Find.objects.get()
        assert find.finder == collector
        assert find.changes.filter(field="finder", old="Sam Oakley", new="Ada Thorne").exists()

    def test_keyed_by_somebody_else_is_not_passed_on_by_its_finder(
        self, phone: Client, collector: Member, stranger: Member, curator: Member
    ) -> None:
        find = FindFactory(finder=collector, logged_by=curator)
        answer = send_find(phone, find_message(collector, find=str(find.pk), version=1, finder=stranger.pk))
        assert answer.status_code == 422
        assert "they or a curator say whose it is" in answer.content.decode()
        find.refresh_from_db()
        assert (find.finder, find.version) == (collector, 1)

    def test_amended_keeps_its_finder_where_none_is_said(
        self, phone: Client, collector: Member, stranger: Member
    ) -> None:
        first = find_message(collector, ("locality", "Here"), finder=stranger.pk, typed=1)
        send_find(phone, first)
        send_find(
            phone, find_message(collector, ("locality", "There"), find=first["find"], version=1, typed=5)
        )
        assert (Find.objects.get().finder, Find.objects.get().locality) == (stranger, "There")

    def test_amended_stays_with_a_finder_who_has_left(
        self, phone: Client, collector: Member, stranger: Member
    ) -> None:
        first = find_message(collector, ("locality", "Here"), finder=stranger.pk, typed=1)
        send_find(phone, first)
        Member.objects.filter(pk=stranger.pk).update(is_active=False)
        again = find_message(
            collector, ("locality", "There"), finder=stranger.pk, find=first["find"], typed=5
        )
        assert (send_find(phone, again).status_code, Find.objects.get().locality) == (200, "There")

    def test_changed_back_before_any_answer_came_is_changed_back(
        self, phone: Client, collector: Member
    ) -> None:
        first = find_message(collector, ("locality", "North"), typed=1)
        second = find_message(collector, ("locality", "South"), typed=2, find=first["find"])
        third = find_message(collector, ("locality", "North"), typed=3, find=first["find"])
        for message in (first, second, third):
            send_find(phone, message)
        assert Find.objects.get().locality == "North"

    def test_keyed_for_another_has_that_finder_and_their_number(
        self, phone: Client, collector: Member, stranger: Member
    ) -> None:
        send_find(phone, find_message(collector, finder=stranger.pk))
        find = Find.objects.get()
        assert (find.finder, find.logged_by, find.collecting_code) == (stranger, collector, "SO")

    def test_keyed_for_another_cannot_use_up_their_row_of_numbers(
        self, phone: Client, collector: Member, stranger: Member
    ) -> None:
        answer = send_find(phone, find_message(collector, finder=stranger.pk, serial=2_000_000_000))
        stranger.refresh_from_db()
        assert (answer.status_code, Find.objects.count(), stranger.next_serial) == (422, 0, 1)
        assert "far ahead of" in answer.json()["wrong"][0]["sentence"]

    def test_amended_cannot_use_up_the_numbers_of_another_finder(
        self, phone: Client, collector: Member, stranger: Member
    ) -> None:
        first = find_message(collector, finder=stranger.pk)
        send_find(phone, first)
        again = find_message(
            collector, find=first["find"], typed=30, finder=stranger.pk, serial=2_000_000_000
        )
        answer = send_find(phone, again)
        stranger.refresh_from_db()
        assert (answer.status_code, Find.objects.get().collecting_serial, stranger.next_serial) == (422, 1, 2)

    def test_never_takes_a_number_that_waits_on_another_s_phone(
        self, phone: Client, collector: Member, stranger: Member, curator: Member
    ) -> None:
        reserve_block(stranger, holder="phone", by=curator, many=20, phone=UUID(ANOTHER_PHONE))
        refused = send_find(phone, find_message(collector, finder=stranger.pk, serial=7))
        assert (refused.status_code, Find.objects.count()) == (422, 0)
        said = refused.json()["wrong"][0]["sentence"]
        assert said.startswith("SO 7 waits for a find on the phone of Carys Bowen. No number was used.")

    def test_takes_no_such_number_afterwards_either(
        self, phone: Client, collector: Member, stranger: Member, curator: Member
    ) -> None:
        first = find_message(collector, finder=stranger.pk)
        send_find(phone, first)
        reserve_block(stranger, holder="phone", by=curator, many=20, phone=UUID(ANOTHER_PHONE))
        again = find_message(collector, find=first["find"], typed=30, finder=stranger.pk, serial=7)
        assert send_find(phone, again).status_code == 422
        assert Find.objects.get().collecting_number == "SO 1"

    def test_by_a_curator_takes_what_stands_on_the_packet_and_is_noted(
        self, browser_of: Browsers, reference: Reference, collector: Member, stranger: Member, curator: Member
    ) -> None:
        reserve_block(stranger, holder="phone", by=collector, many=20, phone=UUID(ANOTHER_PHONE))
        send_find(browser_of(curator), find_message(curator, finder=stranger.pk, serial=7))
        find = Find.objects.get()
        assert find.collecting_number == "SO 7"
        assert find.flags.filter(code="number_on_a_phone").exists()

    def test_from_the_phone_that_holds_the_number_takes_it_whoever_is_signed_in(
        self, phone: Client, collector: Member, stranger: Member, curator: Member
    ) -> None:
        reserve_block(stranger, holder="phone", by=curator, many=20, phone=UUID(PHONE))
        answer = send_find(phone, find_message(collector, finder=stranger.pk, serial=7))
        assert (answer.status_code, answer.json()["number"]) == (201, "SO 7")

    @pytest.mark.parametrize("holder", ["paper", "phone"])
    def test_takes_a_number_from_paper_and_one_that_its_sender_reserved(
        self, phone: Client, collector: Member, stranger: Member, curator: Member, holder: str
    ) -> None:
        by = curator if holder == "paper" else collector
        reserve_block(stranger, holder=holder, by=by, many=20)
        answer = send_find(phone, find_message(collector, finder=stranger.pk, serial=7))
        assert (answer.status_code, answer.json()["number"]) == (201, "SO 7")
        assert not Find.objects.get().flags.filter(code="number_on_a_phone").exists()

    def test_of_the_finder_s_own_number_on_another_s_phone_is_noted(
        self, phone: Client, collector: Member, curator: Member
    ) -> None:
        block = reserve_block(collector, holder="phone", by=curator, many=20, phone=UUID(ANOTHER_PHONE))
        send_find(phone, find_message(collector, serial=7))
        find = Find.objects.get()
        assert find.flags.get(code="number_on_a_phone").severity == "note"
        return_block(block, by=curator)
        recheck(find)
        assert find.flags.get(code="number_on_a_phone").withdrawn_at is not None
        assert not find.flags.filter(code="number_void").exists()

    def test_with_a_void_number_keeps_it_and_is_held_for_a_look(
        self, phone: Client, collector: Member
    ) -> None:
        return_block(reserve_block(collector, holder="paper", by=collector, many=4), by=collector)
        answer = send_find(phone, find_message(collector, serial=3))
        find = Find.objects.get()
        assert (answer.json()["number"], find.status) == ("AT 3", "held")
        assert "AT 3 came back unused on" in find.flags.get(code="number_void").sentence

    def test_with_more_photos_than_a_find_holds_is_refused_in_words(
        self, phone: Client, collector: Member
    ) -> None:
        message = find_message(collector)
        message["photos"] = [{"sha256": f"{number:064x}", "bytes": 9, "view": ""} for number in range(26)]
        message["digest"] = digest_of(message)
        answer = send_find(phone, message)
        [wrong] = answer.json()["wrong"]
        assert (answer.status_code, answer.json()["why"], Find.objects.count()) == (422, "refused", 0)
        assert wrong == {
            "sentence": "These are 26 photos; a find holds 24 at most. Remove 2.",
            "anchor": "photos",
        }

    def test_signs_that_cannot_be_seen_are_left_out(self, phone: Client, collector: Member) -> None:
        fields = (("locality", "Below\u200b the \u202ebridge"), ("note", "One\x07\ntwo\ufeff"))
        answer = send_find(phone, find_message(collector, *fields, found_by="Row\u200ban Gu\u202eest"))
        find = Find.objects.get()
        assert (find.locality, find.note, find.found_by) == ("Below the bridge", "One\ntwo", "Rowan Guest")
        assert answer.status_code == 201

    def test_of_a_guest_says_who_found_it(self, phone: Client, collector: Member) -> None:
        send_find(phone, find_message(collector, found_by="Rowan  Guest"))
        find = Find.objects.get()
        assert (find.found_by, find.finder) == ("Rowan Guest", collector)

    def test_of_a_finder_who_has_left_is_refused_in_words(
        self, phone: Client, collector: Member, stranger: Member
    ) -> None:
        Member.objects.filter(pk=stranger.pk).update(is_active=False)
        answer = send_find(phone, find_message(collector, finder=stranger.pk))
        assert (answer.status_code, Find.objects.count()) == (422, 0)
        assert "no longer a member" in answer.json()["wrong"][0]["sentence"]

    def test_of_a_guest_is_by_them_wherever_it_is_shown(self, phone: Client, collector: Member) -> None:
        send_find(phone, find_message(collector, found_by="Rowan Guest"))
        find = Find.objects.get()
        page = phone.get(f"/finds/{find.pk}/").content.decode()
        assert "Found by Rowan Guest" in page
        assert "keyed by Ada Thorne" in page
        assert "Rowan Guest" in phone.get("/finds/?q=rowan").content.decode()

    def test_with_a_box_that_is_too_full_is_refused_at_that_box(
        self, phone: Client, collector: Member
    ) -> None:
        answer = send_find(phone, find_message(collector, ("note", "x" * 6000)))
        assert (answer.status_code, answer.json()["wrong"][0]["anchor"]) == (422, "id_note")

    def test_with_photos_to_come_and_nothing_else_is_a_find(self, phone: Client, collector: Member) -> None:
        message = find_message(collector, ("kept", "on"), photos=(b"x" * 900,))
        assert send_find(phone, message).status_code == 201

    def test_with_nothing_in_it_is_none(self, phone: Client, collector: Member) -> None:
        answer = send_find(phone, find_message(collector, ("kept", "on")))
        assert (answer.status_code, answer.json()["why"], Find.objects.count()) == (422, "refused", 0)

    def test_typed_so_that_it_can_be_read_in_two_ways_is_refused_at_its_box(
        self, phone: Client, collector: Member
    ) -> None:
        answer = send_find(phone, find_message(collector, ("r-cap_width-values", "1,234")))
        assert answer.status_code == 422
        assert answer.json()["wrong"][0]["anchor"] == "row-cap_width"
        assert "stays on the phone" in answer.json()["kept"]


class TestChangedMeanwhile:
    @pytest.fixture
    def amended(
        self, phone: Client, collector: Member, curator: Member, browser_of: Browsers
    ) -> dict[str, Any]:
        """A find this phone sent, whose locality the curator has changed since."""
        first = find_message(collector, ("locality", "Here"), ("host", "Fagus"))
        send_find(phone, first)
        theirs = find_message(
            curator, ("locality", "There"), ("host", "Fagus"), find=first["find"], version=1, phone=None
        )
        assert send_find(browser_of(curator), theirs).status_code == 200
        return first

    def test_both_are_told_field_by_field_and_nothing_is_written(
        self, phone: Client, collector: Member, amended: dict[str, Any]
    ) -> None:
        mine = find_message(
            collector, ("locality", "Elsewhere"), ("host", "Fagus"), find=amended["find"], version=1, typed=60
        )
        answer = send_find(phone, mine)
        told = answer.json()
        [change] = told["changed"]
        assert answer.status_code == 409
        assert (change["box"], change["was"], change["now"], change["yours"], change["by"]) == (
            *("locality", "Here", "There", "Elsewhere"),
            "Carys Bowen",
        )
        assert ["locality", "There"] in told["fields"]
        assert Find.objects.get().locality == "There"

    def test_the_first_message_again_tells_nothing_of_the_change(
        self, phone: Client, collector: Member, amended: dict[str, Any]
    ) -> None:
        """Else the phone would take the change for one it knows, and a change of its own would show nothing beside it."""
        told = send_find(phone, amended).json()
        seen = {"find": amended["find"], "version": told["version"], "opened_at": told["opened_at"]}
        answer = send_find(phone, find_message(collector, ("locality", "Elsewhere"), typed=60, **seen))
        fields = {change["field"] for change in answer.json()["changed"]}
        assert (answer.status_code, told["version"], "locality" in fields) == (409, 1, True)

    def test_what_has_no_box_in_the_form_is_told_in_a_sentence(
        self, phone: Client, collector: Member, curator: Member
    ) -> None:
        first = find_message(collector)
        send_find(phone, first)
        find = Find.objects.get()
        send_back(find.pk, version=1, question="Which tree?", by=curator, now=timezone.now())
        answer = send_find(phone, find_message(collector, find=first["find"], version=1, typed=60)).json()
        assert (answer["changed"], answer["also"]) == ([], ["Question by Carys Bowen: Which tree?"])
        assert answer["wrong"] == "Somebody else changed this find meanwhile. Nothing was overwritten."

    def test_sent_again_with_the_version_that_was_seen_it_is_written(
        self, phone: Client, collector: Member, amended: dict[str, Any]
    ) -> None:
        mine = find_message(collector, ("locality", "Elsewhere"), find=amended["find"], version=2, typed=90)
        assert send_find(phone, mine).status_code == 200
        assert (Find.objects.get().locality, Find.objects.get().version) == ("Elsewhere", 3)


class TestAPhoto:
    def test_comes_in_parts_and_is_the_same_byte_for_byte(self, phone: Client, collector: Member) -> None:
        photo = picture(size=(300, 200))
        message = find_message(collector, photos=(photo,))
        send_find(phone, message)
        answer = send_photo(phone, message["find"], photo)
        stored = Photo.objects.get()
        assert answer.json() == {"have": len(photo), "done": True, "photo": str(stored.pk)}
        assert Path(stored.original.path).read_bytes() == photo
        assert (str(stored.find_id), stored.view) == (message["find"], "cap")

    def test_goes_on_where_it_was_cut(self, phone: Client, collector: Member) -> None:
        photo = picture(size=(300, 200))
        message = find_message(collector, photos=(photo,))
        send_find(phone, message)
        offset, part = parts_of(photo)[0]
        send_part(phone, message["find"], photo, offset, part)
        asked = phone.get(f"/phone/photos/{sha(photo)}?find={message['find']}").json()
        assert asked == {"have": len(part), "done": False, "photo": None}

    def test_a_part_that_came_already_is_not_added_again(self, phone: Client, collector: Member) -> None:
        photo = picture(size=(300, 200))
        message = find_message(collector, photos=(photo,))
        send_find(phone, message)
        offset, part = parts_of(photo)[0]
        send_part(phone, message["find"], photo, offset, part)
        again = send_part(phone, message["find"], photo, offset, part)
        assert (again.status_code, again.json()["have"]) == (409, len(part))

    def test_whose_bytes_are_others_is_refused_and_begins_anew(
        self, phone: Client, collector: Member
    ) -> None:
        photo, other = picture(size=(300, 200)), picture(size=(301, 200))
        message = find_message(collector, photos=(photo,))
        send_find(phone, message)
        answer = None
        for offset, part in parts_of(other):
            answer = send_part(phone, message["find"], other, offset, part, named=sha(photo))
        assert answer is not None
        assert (answer.status_code, answer.json()["why"]) == (422, "bytes differ")
        assert Photo.objects.count() == 0
        assert phone.get(f"/phone/photos/{sha(photo)}?find={message['find']}").json()["have"] == 0

    def test_that_is_no_photo_is_refused_in_words(self, phone: Client, collector: Member) -> None:
        message = find_message(collector, photos=(b"not a photo",))
        send_find(phone, message)
        answer = send_photo(phone, message["find"], b"not a photo")
        assert (answer.status_code, Photo.objects.count()) == (422, 0)
        assert answer.json()["kept"] == "The photo stays on the phone, the find on the ledger."

    def test_before_its_find_is_sent_back_for_it(self, phone: Client) -> None:
        photo = picture()
        answer = send_photo(phone, "6f0c1f0e-3a53-4f2c-9d60-0d5a0b7a1c11", photo)
        assert (answer.status_code, answer.json()["why"]) == (404, "no find yet")

    def test_of_somebody_elses_find_is_not_told_of(self, phone: Client, stranger: Member) -> None:
        find = FindFactory(finder=stranger, logged_by=stranger)
        assert send_photo(phone, str(find.pk), picture()).status_code == 404

    def test_settles_the_flag_of_the_missing_views(self, phone: Client, collector: Member) -> None:
        photos = (picture(size=(300, 200)), picture(size=(302, 200)))
        # None of them is announced, as by a phone that shows what it holds only later.
        message = find_message(collector)
        send_find(phone, message)
        missing = Find.objects.get().flags.filter(code="photos_missing", withdrawn_at__isnull=True)
        assert missing.exists()
        for photo, view in zip(photos, ("cap", "underside"), strict=True):
            send_photo(phone, message["find"], photo, view)
        assert not missing.exists()

    @pytest.mark.parametrize("size", [0, 10**12])
    def test_of_no_size_or_beyond_measure_is_refused(
        self, phone: Client, collector: Member, size: int
    ) -> None:
        message = find_message(collector)
        send_find(phone, message)
        address = f"/phone/photos/{'ab' * 32}?find={message['find']}&size={size}&offset=0"
        assert phone.post(address, b"x", content_type="application/octet-stream").status_code == 413

    def test_a_part_beyond_the_end_is_refused(self, phone: Client, collector: Member) -> None:
        message = find_message(collector)
        send_find(phone, message)
        address = f"/phone/photos/{'ab' * 32}?find={message['find']}&size=3&offset=0"
        assert phone.post(address, b"xxxx", content_type="application/octet-stream").status_code == 413


class TestBadInput:
    def test_a_tampered_find_is_refused_and_nothing_of_it_stored(
        self, phone: Client, collector: Member
    ) -> None:
        message = find_message(collector) | {"fields": [["locality", "Forged"]]}
        answer = send_find(phone, message)
        assert (answer.status_code, answer.json()["why"], Find.objects.count()) == (422, "tampered", 0)

    def test_an_unknown_reference_is_taken_and_told(self, phone: Client, collector: Member) -> None:
        answer = send_find(phone, find_message(collector, reference="ef" * 32))
        assert answer.status_code == 201
        assert "checked it again with its own" in answer.json()["told"][0]

    @pytest.mark.parametrize(("years", "way"), [(10, "ahead"), (-10, "behind")])
    def test_a_clock_ten_years_off_is_flagged_and_the_day_left(
        self, phone: Client, collector: Member, years: int, way: str
    ) -> None:
        clock = datetime.now(UTC) + timedelta(days=365.25 * years)
        fields = (("locality", "Here"), ("found_on", f"{clock:%Y-%m-%d}"))
        send_find(
            phone, find_message(collector, *fields, made_at=clock.isoformat(), sent_at=clock.isoformat())
        )
        find = Find.objects.get()
        flag = find.flags.get(code="clock_far_off")
        assert f"10 years {way}" in flag.sentence
        assert (find.status, find.found_on) == ("held", clock.date())
        # A day to come is one more reason; a day long ago alone is none, since old finds are typed up too.
        assert find.flags.filter(code="date_future").exists() == (years > 0)

    def test_a_clock_set_wrong_after_the_find_was_kept_says_nothing_of_it(
        self, phone: Client, collector: Member
    ) -> None:
        long_ago = datetime.now(UTC) - timedelta(days=3652)
        send_find(
            phone,
            find_message(collector, HERE, ("found_on", f"{MADE:%Y-%m-%d}"), sent_at=long_ago.isoformat()),
        )
        assert not Find.objects.get().flags.filter(code__startswith="clock").exists()

    def test_the_day_amended_the_doubt_on_it_is_withdrawn(self, phone: Client, collector: Member) -> None:
        long_ago = (datetime.now(UTC) - timedelta(days=3652)).isoformat()
        first = find_message(collector, HERE, ("found_on", long_ago[:10]), made_at=long_ago, sent_at=long_ago)
        send_find(phone, first)
        again = find_message(
            collector, HERE, ("found_on", f"{MADE:%Y-%m-%d}"), find=first["find"], version=1, typed=9
        )
        send_find(phone, again)
        flag = Find.objects.get().flags.get(code="clock_far_off")
        assert flag.withdrawn_at is not None

    def test_a_clock_two_hours_off_is_noted(self, phone: Client, collector: Member) -> None:
        clock = (datetime.now(UTC) - timedelta(hours=2)).isoformat()
        send_find(phone, find_message(collector, made_at=clock, sent_at=clock))
        assert Find.objects.get().flags.get(code="clock_off").severity == "note"

    @pytest.mark.parametrize(
        ("clock", "way"),
        [("+012026-10-03T09:00:00.000Z", "ahead"), ("-000001-10-03T09:00:00.000Z", "behind")],
    )
    def test_a_clock_beyond_all_years_is_flagged(
        self, phone: Client, collector: Member, clock: str, way: str
    ) -> None:
        send_find(phone, find_message(collector, sent_at=clock, typed_at=clock, made_at=clock))
        assert f"200 years {way}" in Find.objects.get().flags.get(code="clock_far_off").sentence

    def test_a_clock_that_tells_no_time_is_told(self, phone: Client, collector: Member) -> None:
        answer = send_find(phone, find_message(collector, sent_at="tea time"))
        assert answer.status_code == 201
        assert "clock of the phone could not be read" in answer.json()["told"][0]

    def test_a_clock_that_is_right_raises_nothing(self, phone: Client, collector: Member) -> None:
        send_find(phone, find_message(collector))
        assert not Find.objects.get().flags.filter(code__startswith="clock").exists()

    @pytest.mark.parametrize("body", ["", "[]", "null", "{", "[" * 100_000, '{"find": 1}'])
    def test_a_message_that_is_none_is_refused_in_words(self, phone: Client, body: str) -> None:
        answer = phone.post("/phone/finds", body, content_type="application/json")
        assert (answer.status_code, answer.json()["why"]) == (422, "unreadable")

    def test_a_find_beyond_measure_is_refused_in_words(self, phone: Client) -> None:
        answer = phone.post("/phone/finds", " " * 3_000_000, content_type="application/json")
        assert (answer.status_code, answer.json()["why"]) == (413, "too big")


class TestSentAsNoPhoneDoes:
    """With the mark against forgery asked for, as outside the tests."""

    @pytest.fixture
    def strict(self, collector: Member, reference: Reference) -> Client:
        browser = Client(enforce_csrf_checks=True)
        browser.force_login(collector)
        return browser

    @pytest.mark.parametrize("address", ["/phone/finds", "/phone/numbers"])
    def test_a_form_is_answered_in_words(self, strict: Client, address: str) -> None:
        mark = strict.get("/phone/hello").json()["csrf"]
        answer = strict.post(address, {"find": "1"}, headers={"X-CSRFToken": mark})
        assert (answer.status_code, answer.json()["why"]) == (400, "unreadable")

    def test_an_old_mark_is_answered_in_json(self, strict: Client, collector: Member) -> None:
        answer = strict.post(
            "/phone/finds",
            find_message(collector),
            content_type="application/json",
            headers={"X-CSRFToken": "old"},
        )
        assert (answer.status_code, answer.json()["why"]) == (403, "old mark")
        assert answer.json()["kept"] == "Everything stays on the phone."

    def test_a_find_with_the_mark_of_hello_is_taken(self, strict: Client, collector: Member) -> None:
        mark = strict.get("/phone/hello").json()["csrf"]
        answer = strict.post(
            "/phone/finds",
            find_message(collector),
            content_type="application/json",
            headers={"X-CSRFToken": mark},
        )
        assert answer.status_code == 201


class TestWhoIsLetIn:
    @pytest.mark.parametrize("address", ["/phone/reference.json", "/phone/finds.json"])
    def test_who_is_signed_out_is_told_so_in_json(self, nobody: Client, db: None, address: str) -> None:
        answer = nobody.get(address)
        assert (answer.status_code, answer.json()["why"]) == (401, "signed out")

    def test_who_is_signed_in_may_be_asked_by_anybody(self, nobody: Client, db: None) -> None:
        """Nobody is an answer and no error, which a browser would write into its console on each visit."""
        answer = nobody.get("/phone/hello")
        assert (answer.status_code, answer.json()["why"]) == (200, "signed out")
        assert "member" not in answer.json()

    def test_a_find_sent_signed_out_is_not_stored(self, nobody: Client, collector: Member) -> None:
        assert send_find(nobody, find_message(collector)).status_code == 401
        assert not Find.objects.exists()

    def test_whose_membership_ended_is_told_so(self, phone: Client, collector: Member) -> None:
        Member.objects.filter(pk=collector.pk).update(is_active=False)
        answer = send_find(phone, find_message(collector))
        assert (answer.status_code, answer.json()["why"]) == (403, "ended")

    def test_a_find_of_another_member_is_not_taken_under_this_name(
        self, phone: Client, stranger: Member
    ) -> None:
        answer = send_find(phone, find_message(stranger))
        assert (answer.status_code, answer.json()["why"]) == (403, "somebody else")

    def test_somebody_elses_find_is_not_changed(
        self, phone: Client, collector: Member, stranger: Member
    ) -> None:
        find = FindFactory(finder=stranger, logged_by=stranger, locality="Theirs")
        answer = send_find(phone, find_message(collector, find=str(find.pk), version=1))
        find.refresh_from_db()
        assert (answer.status_code, find.locality) == (422, "Theirs")


class TestWhatThePhoneIsTold:
    def test_hello_names_the_member_and_the_edition_of_the_reference(
        self, phone: Client, collector: Member
    ) -> None:
        told = phone.get("/phone/hello").json()
        edition = phone.get("/phone/reference.json").json()["digest"]
        assert (told["member"], told["code"], told["reference"]) == (collector.pk, "AT", edition)

    def test_the_reference_is_answered_in_a_line_where_the_phone_has_it(self, phone: Client) -> None:
        mark = phone.get("/phone/reference.json")["ETag"]
        assert phone.get("/phone/reference.json", headers={"If-None-Match": mark}).status_code == 304

    def test_own_finds_come_with_the_boxes_of_their_form(self, phone: Client, collector: Member) -> None:
        typed = (
            *(("locality", "Here"), ("r-cap_width-values", "58"), ("r-underside-states", "pores")),
            *(("found_on", "2026-10-03"), ("found_at_time", "09:15"), ("kept", "on")),
        )
        send_find(phone, find_message(collector, *typed))
        [find] = phone.get("/phone/finds.json").json()["finds"]
        assert [pair for pair in find["fields"] if pair[0] in dict(typed)] == sorted(
            ([name, value] for name, value in typed),
            key=lambda pair: [one[0] for one in find["fields"]].index(pair[0]),
        )

    def test_a_find_sent_back_as_it_came_changes_nothing(self, phone: Client, collector: Member) -> None:
        send_find(phone, find_message(collector, ("locality", "Here"), ("r-cap_width-values", "58")))
        [find] = phone.get("/phone/finds.json").json()["finds"]
        again = find_message(
            collector,
            *[tuple(pair) for pair in find["fields"]],
            find=find["id"],
            version=find["version"],
            typed=99,
        )
        assert send_find(phone, again).json()["version"] == find["version"]

    def test_own_finds_are_nobody_elses(self, phone: Client) -> None:
        FindFactory()
        assert phone.get("/phone/finds.json").json()["finds"] == []

    def test_many_own_finds_cost_no_more_queries(self, phone: Client, collector: Member) -> None:
        counted = []
        for _ in range(2):
            for number in range(5):
                readings = (("r-cap_width-values", "58"), ("name_typed", "Trametes versicolor"))
                send_find(phone, find_message(collector, ("locality", f"Place {number}"), *readings))
            with CaptureQueriesContext(connection) as asked:
                phone.get("/phone/finds.json")
            counted.append(len(asked))
        assert counted[0] == counted[1]

    def test_the_stamp_of_own_finds_changes_with_a_photo(self, phone: Client, collector: Member) -> None:
        photos = (picture(size=(300, 200)), picture(size=(302, 200)))
        message = find_message(collector, photos=photos)
        send_find(phone, message)
        stamps = [phone.get("/phone/hello").json()["finds"]]
        for photo in photos:
            send_photo(phone, message["find"], photo, "side")
            stamps.append(phone.get("/phone/hello").json()["finds"])
        assert len(set(stamps)) == 3


class TestNumbers:
    def ask(self, browser: Client, **asked: Any) -> Any:
        request = "3c1f0e6f-3a53-4f2c-9d60-0d5a0b7a1c22"
        return browser.post(
            "/phone/numbers", {"request": request, "wanted": 20} | asked, content_type="application/json"
        )

    def test_a_block_is_given_once_however_often_it_is_asked_for(self, phone: Client) -> None:
        first, second = (self.ask(phone).json() for _ in range(2))
        assert first == second
        assert (first["code"], first["first"], first["last"]) == ("AT", 1, 20)

    def test_at_a_table_it_is_given_for_another_finder(self, phone: Client, stranger: Member) -> None:
        assert self.ask(phone, member=stranger.pk).json()["code"] == "SO"

    @pytest.mark.parametrize(
        "asked", [{"wanted": 0}, {"wanted": "x"}, {"request": "no"}, {"member": 999_999}]
    )
    def test_what_cannot_be_given_is_refused_in_words(self, phone: Client, asked: dict[str, Any]) -> None:
        assert self.ask(phone, **asked).status_code == 422

    @pytest.mark.parametrize(
        ("said", "kept"), [(ANOTHER_PHONE, UUID(ANOTHER_PHONE)), ("mine", None), (None, None)]
    )
    def test_a_block_is_that_phone_s(self, phone: Client, said: str | None, kept: UUID | None) -> None:
        assert self.ask(phone, phone=said).status_code == 200
        assert NumberBlock.objects.get().phone == kept

    def test_a_name_of_a_phone_that_no_database_holds_is_no_fault(self, phone: Client) -> None:
        assert self.ask(phone, phone_name="Ada\0's").status_code == 200

    def test_a_block_that_was_never_given_is_told_in_json(self, phone: Client) -> None:
        answer = phone.post("/phone/numbers/3c1f0e6f-3a53-4f2c-9d60-0d5a0b7a1c22/return")
        assert (answer.status_code, answer.json()["why"]) == (404, "no block")

    def test_a_returned_block_says_what_is_void(self, phone: Client) -> None:
        block = self.ask(phone, wanted=3).json()["block"]
        answer = phone.post(f"/phone/numbers/{block}/return", {"used": [2]}, content_type="application/json")
        assert answer.json()["void"] == [1, 3]
