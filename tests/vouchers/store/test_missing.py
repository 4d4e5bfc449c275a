"""What was looked for and not found is missing until somebody has it in hand again."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from ledger.people.models import Member
from tests.vouchers.loans.making import make_loan
from tests.vouchers.store.making import NOW, packets, place
from vouchers.loans.actions import return_items
from vouchers.parts.models import Part
from vouchers.stocktake.actions import give_up, open_stocktake, settle, sign_off, type_sightings
from vouchers.stocktake.models import Stocktake
from vouchers.store.actions import move
from vouchers.store.missing import missing_since, missing_words
from vouchers.store.models import Move, StorePlace

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def box() -> StorePlace:
    return place("Box 1")


@pytest.fixture
def parts(box: StorePlace, curator: Member) -> list[Part]:
    return packets(2, by=curator, where=box)


@pytest.fixture
def walk(box: StorePlace, parts: list[Part], curator: Member) -> Stocktake:
    """The second packet was looked for and not found."""
    walk = open_stocktake(box, by=curator, now=NOW)
    type_sightings(walk.pk, box, [str(parts[0].voucher)], by=curator, now=NOW + HOUR)
    settle(
        walk.pk,
        f"missing:{parts[1].voucher}:0",
        way="stays missing",
        reason="not found",
        by=curator,
        now=NOW + HOUR,
    )
    return walk


def missing(parts: list[Part]) -> dict[int, date]:
    return missing_since(part.pk for part in parts)


def test_it_is_missing_from_the_day_that_was_settled(walk: Stocktake, parts: list[Part]) -> None:
    assert missing(parts) == {parts[1].pk: NOW.date()}
    assert missing_words(NOW.date()) == "missing since 2 Nov 2026"


def test_what_an_abandoned_stocktake_said_does_not_count(walk: Stocktake, parts: list[Part]) -> None:
    give_up(walk.pk, why="wrong shelf", now=NOW + 2 * HOUR)
    assert missing(parts) == {}


def test_seen_on_a_later_walk_it_is_missing_no_longer(
    walk: Stocktake, box: StorePlace, parts: list[Part], curator: Member
) -> None:
    sign_off(walk.pk, words="", by=curator, now=NOW + 2 * HOUR)
    following = open_stocktake(box, by=curator, now=NOW + 9 * HOUR)
    assert missing(parts)
    type_sightings(following.pk, box, [str(parts[1].voucher)], by=curator, now=NOW + 9 * HOUR)
    assert missing(parts) == {}


def test_put_back_into_its_own_place_it_is_on_record_as_found(
    walk: Stocktake, box: StorePlace, parts: list[Part], curator: Member
) -> None:
    told = move(parts, box, by=curator, now=NOW + 3 * HOUR)
    assert told.moved == (parts[1],) and told.there_before == (parts[0],)
    assert Move.objects.get().why == "found again"
    assert missing(parts) == {}


def test_lent_it_was_in_hand(walk: Stocktake, parts: list[Part], curator: Member) -> None:
    loan = make_loan(curator, parts[1], now=NOW + 3 * HOUR)
    return_items(loan.pk, {parts[1].pk: "whole"}, by=curator, now=NOW + 9 * HOUR)
    assert missing(parts) == {}


@pytest.mark.parametrize("page", ["voucher", "box", "where", "scanned"])
def test_every_page_that_says_where_it_is_says_that_it_is_missing(
    page: str,
    walk: Stocktake,
    box: StorePlace,
    parts: list[Part],
    curator: Member,
    browser_of: Callable[[Member], Client],
) -> None:
    voucher = parts[1].voucher
    where = {
        "voucher": reverse("voucher", args=[voucher.slug]),
        "box": reverse("store-place", args=[box.number]),
        "where": f"{reverse('store')}?q={voucher.slug}",
        "scanned": f"{reverse('store-read')}?code={voucher.slug}",
    }[page]
    shown = browser_of(curator).get(where).content.decode()
    assert "issing since 2 Nov 2026" in shown
    assert "Missing already" not in shown


def test_a_cabinet_holds_what_stands_in_it(
    parts: list[Part], curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    cabinet = place("Cabinet 1", "cabinet")
    shelf = place("Shelf 1", "shelf", parent=cabinet)
    packets(3, by=curator, where=place("Box 9", parent=shelf))
    shown = browser_of(curator).get(reverse("store-place", args=[cabinet.number])).content.decode()
    assert "Holds 3 with all that stands in it." in shown and "Holds 0" not in shown
