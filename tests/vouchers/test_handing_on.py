"""What is told of a specimen in whatever is handed on: where it is, and under which leave it was taken."""

from collections.abc import Mapping
from datetime import date

import pytest

from ledger.finds.models import Find
from ledger.handing_on.choices import Choices
from ledger.people.models import Member
from tests.factories import ForayFactory
from tests.vouchers.loans.making import NOW, make_loan, make_voucher, other_part
from vouchers.handing_on import FACTS
from vouchers.register.models import Voucher

pytestmark = pytest.mark.django_db
LEAVE = "Ambry Estate, leave of 3 October"


def terms(voucher: Voucher, **chosen: bool) -> Mapping[str, str]:
    find = Find.objects.select_related("foray").get(pk=voucher.find_id)
    told: Mapping[str, str] = FACTS.of_finds([find], Choices(kind="csv", **chosen))[find.pk].terms
    return told


def test_leave_that_stands_in_words_with_the_find_or_its_foray_is_on_record(curator: Member) -> None:
    for given in ({"permission": LEAVE}, {"foray": ForayFactory(permission=LEAVE)}):
        voucher = make_voucher(curator, **given)
        assert terms(voucher)["dwc:materialEntityRemarks"] == "permit or leave on record"
        assert terms(voucher, permits=True)["dwc:materialEntityRemarks"] == LEAVE


def test_the_words_of_leave_stay_with_a_place_that_is_kept_back(curator: Member) -> None:
    voucher = make_voucher(curator, permission=LEAVE, own_blur_step_deg=0.1)
    told = terms(voucher, permits=True)["dwc:materialEntityRemarks"]
    assert told == "permit or leave on record; its words are kept back with the place"


def test_a_specimen_without_leave_says_so(curator: Member) -> None:
    assert terms(make_voucher(curator))["dwc:materialEntityRemarks"] == "no permit or leave on record"


def test_a_specimen_is_on_loan_where_its_packet_is_whatever_slides_stay(curator: Member) -> None:
    voucher = make_voucher(curator)
    slide = other_part(voucher, "slide", curator)
    assert terms(voucher)["dwc:disposition"] == "in collection"
    make_loan(curator, slide, now=NOW, lent_on=date(2026, 11, 1))
    assert terms(voucher)["dwc:disposition"] == "in collection"
    make_loan(curator, voucher.parts.get(kind="packet"), now=NOW, lent_on=date(2026, 11, 1))
    assert terms(voucher)["dwc:disposition"] == "on loan"
