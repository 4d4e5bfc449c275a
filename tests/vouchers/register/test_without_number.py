"""The list of what is settled and kept and has no number, and the number offered right after settling."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse

from ledger.finds.flagging import recheck
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import FindFactory, FlagFactory
from vouchers.register.actions import accession
from vouchers.register.models import Voucher
from vouchers.register.queries import without_number

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


@pytest.fixture
def desk(curator: Member, browser_of: Callable[[Member], Client]) -> Client:
    return browser_of(curator)


def settled(**given: object) -> Find:
    find: Find = FindFactory(status="settled", **given)
    return find


def test_it_holds_what_is_settled_and_kept_and_nothing_that_has_a_number(curator: Member) -> None:
    waits = settled()
    accession(settled().pk, by=curator, now=NOW)
    settled(kept=False)
    FindFactory(status="held")
    mixed = settled()
    share = settled(split_from=mixed)
    assert set(without_number()) == {waits, share}


def test_the_ticked_ones_are_accessioned_together_and_leave_the_list(desk: Client) -> None:
    first, second, third = (settled() for _ in range(3))
    page = desk.post(reverse("without-number"), {"find": [first.pk, third.pk]}, follow=True).content.decode()
    assert "2 finds are accessioned as BL 20" in page
    assert set(Voucher.objects.values_list("find_id", flat=True)) == {first.pk, third.pk}
    assert second.collecting_number in page and first.collecting_number not in page


@pytest.mark.parametrize("sent", [[], ["nothing"], ["7c1c9b0e-5d0e-4c1e-8f43-0f6f1a2b3c4d"]])
def test_no_tick_and_an_unknown_one_are_told_and_give_no_number(sent: list[str], desk: Client) -> None:
    settled()
    answer = desk.post(reverse("without-number"), {"find": sent})
    assert answer.status_code == 422 and "No number was given" in answer.content.decode()
    assert not Voucher.objects.exists()


def test_the_register_leads_to_it_only_while_something_waits(desk: Client) -> None:
    assert reverse("without-number") not in desk.get(reverse("vouchers")).content.decode()
    settled()
    assert "1 settled find without a number" in desk.get(reverse("vouchers")).content.decode()


@pytest.mark.usefixtures("reference")
def test_the_bench_offers_a_number_for_the_one_just_settled_and_tells_it_once(desk: Client) -> None:
    find, following = FindFactory(), FindFactory()
    for one in (find, following):
        recheck(one, now=NOW)
    flags = list(find.flags.values_list("pk", flat=True))
    sent = {"version": 1, "seen_at": find.changed_at.isoformat(), "reason": "Seen, agrees.", "flags": flags}
    page = desk.post(reverse("settle", args=[find.pk]), sent, follow=True).content.decode()
    assert f"{find.collecting_number}</span> was kept and has no number yet" in page
    assert "has no number yet" not in desk.get(reverse("bench")).content.decode()
    answer = desk.post(reverse("accession", args=[find.pk]), {"from": f"bench {following.pk}"})
    assert answer.url == reverse("bench-find", args=[following.pk])


def test_a_stop_is_named_and_confirmed_before_the_number_is_given(desk: Client) -> None:
    flag = FlagFactory(
        code="date_future", severity="stop", sentence="Found on 24 October 2062, still to come."
    )
    where = reverse("accession", args=[flag.find_id])
    asked = desk.post(where)
    assert asked.status_code == 422 and flag.sentence in asked.content.decode()
    assert not Voucher.objects.exists()
    desk.post(where, {"despite": flag.pk})
    assert Voucher.objects.get().find_id == flag.find_id
