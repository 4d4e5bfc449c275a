"""Ranges of the club's own, on a small invented reference."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.taxa import queries
from ledger.taxa.models import DocumentedRange, ReferenceStamp, Source, Taxon
from tests.factories import DocumentedRangeFactory, TaxonFactory
from tests.ledger.bench.making import CALIBRATION, held_find, open_codes

WHY = "Larger ones were two caps grown together, each time."


@pytest.fixture
def taxon(db: None, monkeypatch: pytest.MonkeyPatch) -> Taxon:
    """Cap 20 to 150 mm by a book."""
    monkeypatch.setattr(queries, "calibration", lambda: CALIBRATION)
    ReferenceStamp.objects.update_or_create(pk=1)
    made: Taxon = TaxonFactory()
    DocumentedRangeFactory(taxon=made, low=20, high=150)
    return made


@pytest.fixture
def at_desk(browser_of: Callable[[Member], Client], curator: Member) -> Client:
    return browser_of(curator)


def _enter(browser: Client, taxon: Taxon, **typed: Any) -> Any:
    given = {"trait": "cap_width", "condition": "any", "note": WHY, **typed}
    return browser.post(reverse("enter-range", args=[taxon.slug]), given, follow=True)


def test_a_house_rule_is_held_against_the_finds_of_its_taxon_at_once(
    taxon: Taxon, collector: Member, at_desk: Client
) -> None:
    wide, narrow = held_find(taxon, collector, width=100.0), held_find(taxon, collector, width=60.0)
    page = _enter(at_desk, taxon, high="80", binding="on").content.decode()
    assert "1 find gained or lost a flag" in page
    assert "cap width up to 80 mm · house rule" in page
    assert WHY in page
    assert "house_rule" in open_codes(wide)
    assert Find.objects.get(pk=wide.pk).status == Status.HELD
    assert "house_rule" not in open_codes(narrow)


def test_a_new_rule_tells_of_a_settled_find_and_leaves_it_settled(
    taxon: Taxon, collector: Member, at_desk: Client
) -> None:
    wide = held_find(taxon, collector, width=100.0)
    wide.flags.update(settled_at=wide.logged_at)
    Find.objects.filter(pk=wide.pk).update(status=Status.SETTLED)
    page = _enter(at_desk, taxon, high="80", binding="on").content.decode()
    assert "house_rule" in open_codes(wide)
    assert Find.objects.get(pk=wide.pk).status == Status.SETTLED
    assert "1 find of them stays settled with a flag that is new" in page
    found = at_desk.get("/finds/", {"q": f"settled flagged {taxon.name}"}).content.decode()
    assert wide.collecting_number in found


def test_ending_a_rule_asks_first_and_why_and_takes_its_flags_back(
    taxon: Taxon, collector: Member, curator: Member, at_desk: Client
) -> None:
    find = held_find(taxon, collector, width=100.0)
    _enter(at_desk, taxon, high="80", binding="on")
    row = DocumentedRange.objects.get(entered_by=curator)
    to = reverse("end-range", args=[taxon.slug, row.pk])
    asked = at_desk.get(to).content.decode()
    assert "End this house rule?" in asked and "cap width up to 80 mm" in asked and "can be undone" in asked
    refused = at_desk.post(to, {"reason": " "})
    assert refused.status_code == 422
    assert "The range still holds" in refused.content.decode()
    page = at_desk.post(
        to, {"reason": "Forty caps measured; the books are right."}, follow=True
    ).content.decode()
    assert "1 find gained or lost a flag" in page
    row.refresh_from_db()
    assert (row.ended_by, row.end_reason) == (curator, "Forty caps measured; the books are right.")
    assert "Forty caps measured" in page
    assert open_codes(find) == []
    assert at_desk.get(to).status_code == 404


def test_without_a_reason_nothing_is_entered(taxon: Taxon, curator: Member, at_desk: Client) -> None:
    answer = _enter(at_desk, taxon, high="80", note=" ")
    assert answer.status_code == 422
    assert "say why the club draws the line there" in answer.content.decode()
    assert not DocumentedRange.objects.filter(entered_by=curator).exists()


def test_bounds_that_fall_are_told_by_their_names(taxon: Taxon, at_desk: Client) -> None:
    answer = _enter(at_desk, taxon, low="80", high="20")
    assert answer.status_code == 422
    (told,) = answer.context["form"].errors["high"]
    assert told.startswith("“From” is 80 and “To” is 20, which is less.")


def test_all_that_is_wrong_is_told_at_once(taxon: Taxon, at_desk: Client) -> None:
    answer = _enter(at_desk, taxon, low="80", high="20", high_extreme="wide", note="")
    assert set(answer.context["form"].errors) == {"high", "high_extreme", "note"}


def test_the_source_is_the_club_s_practice_unless_another_is_named(taxon: Taxon, at_desk: Client) -> None:
    _enter(at_desk, taxon, high="80")
    row = DocumentedRange.objects.get(entered_by__isnull=False)
    assert (row.source.kind, row.note) == ("common practice", WHY)


def test_a_typed_citation_makes_one_source_of_the_club_s_which_is_offered_next_time(
    taxon: Taxon, at_desk: Client
) -> None:
    for bound in ("80", "90"):
        assert _enter(at_desk, taxon, high=bound, citation="Measured on the Hollin forays").status_code == 200
    source = Source.objects.get(citation="Measured on the Hollin forays")
    assert (source.kind, source.ranges.count()) == ("club", 2)
    page = at_desk.get(reverse("taxon", args=[taxon.slug]))
    choices = page.context["form"].fields["source"].choices
    assert choices[:2] == [("", "The club’s own practice"), (source.pk, "Measured on the Hollin forays")]


def test_a_chosen_source_and_a_typed_one_are_refused_together(taxon: Taxon, at_desk: Client) -> None:
    book = taxon.ranges.get().source_id
    answer = _enter(at_desk, taxon, high="80", source=book, citation="Another")
    assert "leave one of them" in answer.context["form"].errors["citation"][0]


def test_states_of_another_trait_are_refused(taxon: Taxon, at_desk: Client) -> None:
    answer = _enter(at_desk, taxon, trait="underside", states=["zonation:zoned"])
    assert "of no other trait" in answer.context["form"].errors["states"][0]


def test_a_range_of_states_is_shown_by_their_labels(taxon: Taxon, at_desk: Client) -> None:
    page = _enter(at_desk, taxon, trait="underside", states=["underside:pores", "underside:maze"])
    assert "underside pores or maze" in page.content.decode()


def test_units_stand_in_words(taxon: Taxon, at_desk: Client) -> None:
    page = at_desk.get(reverse("taxon", args=[taxon.slug])).content.decode()
    assert "Spore length (µm)" in page and "Pores per millimetre (per mm)" in page
    assert "1/mm" not in page
