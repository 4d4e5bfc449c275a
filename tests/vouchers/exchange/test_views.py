from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from ledger.club.models import Club
from ledger.people.models import Member
from tests.factories import TaxonFactory, name_find
from tests.vouchers.loans.making import make_voucher, other_part
from vouchers.exchange.models import Sending, ToldOfName
from vouchers.register.models import Voucher

pytestmark = pytest.mark.django_db


@pytest.fixture
def browser(curator: Member, browser_of: Callable[[Member], Client]) -> Client:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    return browser_of(curator)


def sent(browser: Client, codes: str) -> int:
    given = {
        "codes": codes,
        "institution": "Museum of Ludlow",
        "person": "Dr Jo Hale",
        "sent_on": timezone.localdate().isoformat(),
    }
    return browser.post(reverse("new-sending"), given).status_code


def sent_and_renamed(browser: Client, curator: Member) -> Voucher:
    voucher = make_voucher(curator)
    assert sent(browser, other_part(voucher, "duplicate", curator).number) == 302
    name_find(voucher.find, TaxonFactory(name="Trametes ochracea"))
    return voucher


def test_a_duplicate_is_sent_by_its_code(browser: Client, curator: Member) -> None:
    voucher = make_voucher(curator)
    part = other_part(voucher, "duplicate", curator)
    assert sent(browser, part.number) == 302
    page = browser.get(reverse("sending", args=[Sending.objects.get()])).content.decode()
    assert part.number in page


def test_the_packet_is_refused(browser: Client, curator: Member) -> None:
    assert sent(browser, str(make_voucher(curator))) == 422
    assert not Sending.objects.exists()


def test_who_should_hear_stands_on_the_page_until_told(browser: Client, curator: Member) -> None:
    sent_and_renamed(browser, curator)
    page = browser.get(reverse("exchange")).content.decode()
    assert "Who should hear of a name" in page
    key = Sending.objects.get().duplicates.get().pk
    assert browser.post(reverse("told-of-name"), {"told": [key]}).status_code == 302
    assert ToldOfName.objects.count() == 1
    assert "Who should hear of a name" not in browser.get(reverse("exchange")).content.decode()


@pytest.mark.parametrize("told", ["", "x", "-1", "99999999999999999999", "٣"])
def test_a_tick_that_means_nobody_is_refused(browser: Client, told: str) -> None:
    assert browser.post(reverse("told-of-name"), {"told": [told]}).status_code == 422


def test_the_page_of_the_voucher_says_where_it_went_and_who_should_hear(
    browser: Client, curator: Member
) -> None:
    voucher = sent_and_renamed(browser, curator)
    page = browser.get(reverse("voucher", args=[voucher.slug])).content.decode()
    assert "sent to Museum of Ludlow" in page
    assert "Tell them" in page
