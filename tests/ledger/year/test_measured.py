"""The club's measurements against the books, and the range a curator makes of them."""

from html import unescape
from typing import Any

import pytest
from django.test import Client

from ledger.finds import actions
from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.search.keeping import keep
from ledger.spores.statistics import figures
from ledger.taxa.models import DocumentedRange, Taxon
from ledger.year.against import Bounds, draw, proposed
from ledger.year.measured_page import MeasuredPage
from tests.ledger.finds.making import TWELVE, entry, numbers

WIDTHS = tuple(float(one) for one in range(30, 51))  # 21 caps, 30 to 50 mm: 5 % is 31, 95 % is 49


def test_the_range_is_5_to_95_per_cent_with_the_extremes() -> None:
    assert proposed(figures(WIDTHS), 0) == Bounds(30.0, 31.0, 49.0, 50.0)


def test_an_extreme_that_is_printed_like_the_end_is_left_out() -> None:
    assert proposed(figures([4.0] * 10 + [4.04]), 1) == Bounds(None, 4.0, 4.0, None)


def test_nine_values_make_no_range() -> None:
    assert proposed(figures(WIDTHS[:9]), 0) is None


def test_every_value_and_bound_lies_inside_the_drawing() -> None:
    drawn = draw(WIDTHS, [Bounds(10, 20, 80, None), Bounds(None, None, 45, 90)])
    assert sum(column.n for column in drawn.columns) == len(WIDTHS)
    for strip in (drawn.own, *drawn.strips):
        assert 0 <= strip.rare_x <= strip.x <= strip.x + strip.width <= 100.001
    assert drawn.strips[1].x == 0.0
    assert [(strip.open_low, strip.open_high) for strip in drawn.strips] == [(False, False), (True, False)]


def _settle(find: Find) -> None:
    Find.objects.filter(pk=find.pk).update(status=Status.SETTLED)
    find.refresh_from_db()
    keep(find)


@pytest.fixture
def taxon(db: None, reference: object, collector: Member) -> Taxon:
    """Settled finds of *Trametes versicolor* with 21 caps, and an unsettled one with a giant."""
    rest = [one for one in TWELVE if one.trait != "cap_width"]
    for start in range(0, 21, 7):
        find = actions.log_find(entry(*rest, numbers("cap_width", *WIDTHS[start : start + 7])), by=collector)
        _settle(find)
    actions.log_find(entry(*rest, numbers("cap_width", 900.0)), by=collector)
    return Taxon.objects.get(name="Trametes versicolor")


def test_only_settled_finds_make_a_range(taxon: Taxon) -> None:
    line = MeasuredPage(taxon, settled_only=True).line("cap_width")
    assert line is not None
    assert (line.own, line.found.n, line.measured.finds) == ("(30–)31–49(–50)", 21, 3)
    everything = MeasuredPage(taxon, settled_only=False).line("cap_width")
    assert everything is not None and everything.found.n == 22


def _adopt(member: Member, taxon: Taxon, seen: str) -> str:
    client = Client()
    client.force_login(member)
    answer: Any = client.post(
        f"/year/measurements/{taxon.slug}/adopt", {"trait": "cap_width", "seen": seen}, follow=True
    )
    return unescape(answer.content.decode())


def test_a_curator_adopts_it_with_the_club_as_its_source(taxon: Taxon, curator: Member) -> None:
    assert "The club’s range is entered" in _adopt(curator, taxon, "(30–)31–49(–50) n=21")
    row = DocumentedRange.objects.get(taxon=taxon, trait="cap_width", entered_by=curator)
    assert (row.low_extreme, row.low, row.high, row.high_extreme) == (30, 31, 49, 50)
    assert row.source_id.startswith("club-") and "n = 21 values of 3 settled finds" in row.note
    assert not row.binding


def test_adopted_anew_it_takes_the_place_of_the_earlier_one(taxon: Taxon, curator: Member) -> None:
    _adopt(curator, taxon, "(30–)31–49(–50) n=21")
    assert "The club’s range is entered" in _adopt(curator, taxon, "(30–)31–49(–50) n=21")
    rows = DocumentedRange.objects.filter(taxon=taxon, trait="cap_width", entered_by=curator)
    assert [row.ended_at is None for row in rows.order_by("pk")] == [False, True]


def test_adopting_leaves_settled_finds_settled(taxon: Taxon, curator: Member) -> None:
    _adopt(curator, taxon, "(30–)31–49(–50) n=21")
    assert Find.objects.filter(status=Status.SETTLED).count() == 3


def test_figures_that_were_not_seen_are_not_adopted(taxon: Taxon, curator: Member) -> None:
    assert "have changed since you looked" in _adopt(curator, taxon, "(30–)31–49(–50) n=20")
    assert not DocumentedRange.objects.filter(entered_by=curator).exists()


def test_the_page_tells_books_and_club_in_words(client: Client, taxon: Taxon, stranger: Member) -> None:
    client.force_login(stranger)
    page = client.get(f"/year/measurements/{taxon.slug}/").content.decode()
    assert "<b>(30–)31–49(–50)</b>, mean 40.0, n = 21 of 3 finds" in page
    assert "of 21 values lie within what at least one book documents" in page
    assert "Adopt" not in page
