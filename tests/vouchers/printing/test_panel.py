"""What the page of a voucher says of its labels."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from django.test import Client

from ledger.club.models import Club
from ledger.people.models import Member
from tests.factories import FindFactory
from vouchers.printing import items
from vouchers.printing.actions import keep_print, print_items
from vouchers.printing.queries import last_prints_of
from vouchers.register.actions import accession
from vouchers.register.queries import for_labels

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


def test_the_page_tells_the_last_print_of_each_label(
    curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    voucher = accession(FindFactory().pk, by=curator, now=NOW)
    for days, sheets in ((0, ["packet", "tags"]), (3, ["labels-96x92"])):
        made = items.of_vouchers(for_labels([voucher.pk]), sheets, club=Club(name="Hollin"), member=curator)
        now = NOW + timedelta(days=days)
        keep_print(print_items(made, paper="a4", now=now), by=curator, now=now)
    assert [(row.kind, row.printed_at.day) for row in last_prints_of(voucher)] == [("packet", 5), ("tag", 2)]
    page = browser_of(curator).get(f"/vouchers/{voucher.slug}/").content.decode()
    assert "Labels made" in page and "last made 5 Nov 2026" in page


def test_a_voucher_without_a_print_says_where_to_print(
    curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    voucher = accession(FindFactory().pk, by=curator, now=NOW)
    assert (
        f"/labels/?voucher={voucher.pk}"
        in browser_of(curator).get(f"/vouchers/{voucher.slug}/").content.decode()
    )
