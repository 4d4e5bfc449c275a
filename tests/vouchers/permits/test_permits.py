"""Permits entered, linked, told on pages and in what leaves the club."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from ledger.people.models import Member
from tests.factories import FindFactory, ForayFactory
from tests.vouchers.permits.making import NOW, WORDS, make_permit
from vouchers.permits import actions, queries
from vouchers.permits.actions import PermitRefused
from vouchers.permits.models import Permit, PermitChange, PermitUse
from vouchers.permits.wording import KEPT_BACK, NO_PERMISSION
from vouchers.register.actions import accession
from vouchers.register.models import Voucher


@pytest.fixture
def browser(curator: Member, browser_of: Callable[[Member], Client]) -> Client:
    return browser_of(curator)


def make_voucher(by: Member, **given: Any) -> Voucher:
    return accession(FindFactory(**given).pk, by=by, now=NOW)


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


TYPED = {**WORDS, "valid_from": "2026-04-01", "valid_until": "2027-03-31"}


def permission(voucher: Voucher) -> str:
    return queries.permission_texts([voucher])[voucher.pk]


class TestText:
    def test_by_its_foray_by_itself_and_by_what_was_written(self, curator: Member):
        foray = ForayFactory(permission="asked at the lodge")
        voucher = make_voucher(curator, foray=foray)
        assert permission(voucher) == "asked at the lodge"
        make_permit(curator, forays=[foray])
        assert permission(voucher).startswith("Hollin Estate, HE 12/2026, held by Hollin")
        make_permit(curator, finds=[voucher.find], issuer="Forest Office")
        assert permission(voucher).startswith("Forest Office")

    def test_none_is_told_as_none(self, curator: Member):
        assert permission(make_voucher(curator)) == NO_PERMISSION

    def test_of_a_sensitive_find_no_owner_is_named(self, curator: Member):
        voucher = make_voucher(curator, own_blur_step_deg=0.1)
        make_permit(curator, finds=[voucher.find])
        assert permission(voucher) == KEPT_BACK

    def test_a_share_goes_under_the_permit_of_what_it_was_split_from(self, curator: Member):
        whole = FindFactory()
        make_permit(curator, finds=[whole])
        share = make_voucher(curator, split_from=whole, collecting_suffix="A")
        assert permission(share).startswith("Hollin Estate")

    def test_an_ended_link_counts_no_more(self, curator: Member):
        voucher = make_voucher(curator)
        permit = make_permit(curator, finds=[voucher.find])
        actions.end_use(permit.uses.get().pk, why="another wood", by=curator, now=NOW)
        assert permission(voucher) == NO_PERMISSION

    def test_many_take_one_query(self, curator: Member, django_assert_num_queries: Any):
        foray = ForayFactory()
        make_permit(curator, forays=[foray])
        for _ in range(20):
            make_voucher(curator, foray=foray)
        rows = list(Voucher.objects.select_related("find__foray", "find__current_determination__taxon"))
        with django_assert_num_queries(1):
            told = queries.permission_texts(rows)
        assert len(told) == 20


class TestActions:
    def test_a_change_keeps_what_was_before(self, curator: Member):
        permit = make_permit(curator)
        permit.valid_until = date(2028, 3, 31)
        actions.change(permit, by=curator, now=NOW)
        one = PermitChange.objects.get()
        assert (one.field, one.old, one.new) == ("valid_until", "2027-03-31", "2028-03-31")

    def test_the_same_is_not_linked_twice_but_again_after_it_was_ended(self, curator: Member):
        foray = ForayFactory()
        permit = make_permit(curator, forays=[foray])
        with pytest.raises(PermitRefused, match="already"):
            actions.link(permit.pk, foray=foray, by=curator, now=NOW)
        actions.end_use(permit.uses.get().pk, why="wrong year", by=curator, now=NOW)
        actions.link(permit.pk, foray=foray, by=curator, now=NOW)
        assert permit.uses.count() == 2

    def test_a_link_is_ended_once_and_with_a_reason(self, curator: Member):
        use = make_permit(curator, forays=[ForayFactory()]).uses.get()
        with pytest.raises(PermitRefused, match="reason is missing"):
            actions.end_use(use.pk, why=" ", by=curator, now=NOW)
        actions.end_use(use.pk, why="wrong year", by=curator, now=NOW)
        with pytest.raises(PermitRefused, match="ended already"):
            actions.end_use(use.pk, why="wrong year", by=curator, now=NOW)

    def test_a_link_is_of_one_thing(self, curator: Member):
        permit = make_permit(curator)
        with pytest.raises(PermitRefused, match="Neither"):
            actions.link(permit.pk, by=curator, now=NOW)
        with pytest.raises(IntegrityError), transaction.atomic():
            PermitUse.objects.create(permit=permit, linked_at=NOW, linked_by=curator)


class TestPages:
    def test_a_permit_is_entered_and_its_words_are_shown(self, browser: Client):
        answer = browser.post(reverse("new-permit"), TYPED, follow=True)
        assert "One fruit body of a species and visit." in text(answer)
        assert "1 Apr 2026 to 31 Mar 2027" in text(answer)

    @pytest.mark.parametrize(
        ("wrong", "said"),
        [
            ({"valid_until": "2025-01-01"}, "before it begins on 1 April 2026"),
            ({"issuer": ""}, "required"),
            ({"source": ""}, "required"),
            ({"valid_from": "spring"}, "valid date"),
        ],
    )
    def test_bad_input_is_refused_with_what_was_typed(
        self, browser: Client, wrong: dict[str, str], said: str
    ):
        answer = browser.post(reverse("new-permit"), {**TYPED, **wrong})
        assert answer.status_code == 422
        assert said in text(answer)
        assert "One fruit body of a species" in text(answer)
        assert not Permit.objects.exists()

    def test_a_find_beyond_the_dates_is_told_when_linked_and_on_both_pages(
        self, browser: Client, curator: Member
    ):
        voucher = make_voucher(curator, found_on=date(2026, 3, 1), collecting_code="PR", collecting_serial=30)
        permit = make_permit(curator)
        answer = browser.post(reverse("link-permit", args=[permit.pk]), {"number": "pr30"}, follow=True)
        assert "Mind its dates: found on 1 Mar 2026, before it began on 1 Apr 2026" in text(answer)
        assert text(answer).count("Beyond its dates") == 2
        assert "Beyond its dates" in text(browser.get(reverse("voucher", args=[voucher.slug])))

    @pytest.mark.parametrize(
        ("sent", "said"),
        [
            ({"number": "PR 31"}, "No find bears PR 31"),
            ({"number": "the big one"}, "is no collecting number"),
            ({}, "Choose a foray or type the number"),
            ({"foray": "999"}, "not in the ledger"),
        ],
    )
    def test_what_cannot_be_linked_is_refused(
        self, browser: Client, curator: Member, sent: dict[str, str], said: str
    ):
        permit = make_permit(curator)
        answer = browser.post(reverse("link-permit", args=[permit.pk]), sent)
        assert answer.status_code == 422
        assert said in text(answer)
        assert not PermitUse.objects.exists()

    def test_a_voucher_without_one_says_so_on_its_page(self, browser: Client, curator: Member):
        page = text(browser.get(reverse("voucher", args=[make_voucher(curator).slug])))
        assert "No permit or leave is on record." in page

    def test_a_leader_reads_no_owner_of_a_sensitive_find_and_no_finds_under_a_permit(
        self, leader: Member, curator: Member, browser_of: Callable[[Member], Client]
    ):
        voucher = make_voucher(curator, own_blur_step_deg=0.1)
        permit = make_permit(curator, finds=[voucher.find])
        browser = browser_of(leader)
        page = text(browser.get(reverse("voucher", args=[voucher.slug])))
        assert "kept back with the place" in page
        assert "Hollin Estate" not in page
        assert str(voucher.find) not in text(browser.get(reverse("permit", args=[permit.pk])))
