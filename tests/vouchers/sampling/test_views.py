from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from ledger.club.models import Club
from ledger.people.models import Member
from tests.vouchers.loans.making import packet
from vouchers.parts.models import Part
from vouchers.sampling.models import SamplingLeave

pytestmark = pytest.mark.django_db


@pytest.fixture
def browser(curator: Member, browser_of: Callable[[Member], Client]) -> Client:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    return browser_of(curator)


def asked(browser: Client, part: Part, **given: Any) -> SamplingLeave | None:
    usual = {
        "code": part.number,
        "person": "Dr Kofi Lind",
        "purpose": "dna",
        "purpose_words": "ITS of the county",
        "what": "5 mm² of the flesh",
        "asked_on": timezone.localdate().isoformat(),
    }
    browser.post(reverse("ask-to-sample"), usual | given)
    return SamplingLeave.objects.first()


def test_from_the_request_to_the_result(browser: Client, curator: Member) -> None:
    leave = asked(browser, packet(curator))
    page = browser.get(reverse("sampling-leave", args=[leave])).content.decode()
    assert "this is the only collection here" in page
    browser.post(reverse("decide-leave", args=[leave]), {"decision": "granted", "words": "One piece"})
    today = timezone.localdate().isoformat()
    cut = {"cut_what": "4 mm²", "cut_by": "Carys Bowen", "cut_on": today}
    browser.post(reverse("note-cut", args=[leave]), cut)
    browser.post(reverse("note-result", args=[leave]), {"result": "PX123456"})
    done = SamplingLeave.objects.get()
    assert (done.decision, done.cut_what, done.result) == ("granted", "4 mm²", "PX123456")
    assert "PX123456" in browser.get(reverse("sampling-leave", args=[leave])).content.decode()


def test_a_cut_without_leave_is_refused_with_a_sentence(browser: Client, curator: Member) -> None:
    leave = asked(browser, packet(curator))
    cut = {"cut_what": "4 mm²", "cut_by": "Carys Bowen", "cut_on": timezone.localdate().isoformat()}
    answer = browser.post(reverse("note-cut", args=[leave]), cut)
    assert answer.status_code == 422
    assert "nothing may be cut under it" in answer.content.decode()


def test_deciding_twice_tells_what_was_decided(browser: Client, curator: Member) -> None:
    leave = asked(browser, packet(curator))
    for _ in range(2):
        answer = browser.post(
            reverse("decide-leave", args=[leave]), {"decision": "refused", "words": "too little"}
        )
    assert answer.status_code == 422
    assert "was refused by Carys Bowen" in answer.content.decode()


@pytest.mark.parametrize("code", ["XYZ 2026-0001", "HFG 2026-0999", "rubbish"])
def test_a_request_for_no_part_of_ours_is_refused(browser: Client, curator: Member, code: str) -> None:
    assert asked(browser, packet(curator), code=code) is None


def test_the_page_of_the_voucher_tells_of_it(browser: Client, curator: Member) -> None:
    part = packet(curator)
    asked(browser, part)
    page = browser.get(reverse("voucher", args=[part.voucher.slug])).content.decode()
    assert "asked for, not decided" in page
