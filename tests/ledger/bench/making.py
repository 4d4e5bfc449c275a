"""Finds for the tests of the bench, on a small invented reference."""

from typing import Any

from django.test import Client
from django.urls import reverse

from ledger.bench.models import Flag
from ledger.finds.actions import amend_find, recheck
from ledger.finds.entries import FindEntry, NameGiven, ReadingEntry
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.taxa.models import Taxon
from ledger.traits.calibration_values import Calibration, TraitCalibration
from tests.factories import FindFactory, ReadingFactory, make_photo, name_find, picture

# Invented: a tenth beyond the books is still an edge; the underside alone rules a taxon out.
CALIBRATION = Calibration(
    {
        "cap_width": TraitCalibration(cases=100, band95=1.1, band98=1.2),
        "underside": TraitCalibration(cases=100, decisive=True),
    },
    scale=1.0,
    doubtful_below_db=-10.0,
)


def held_find(taxon: Taxon | None, finder: Member, *, width: float = 100.0, **record: Any) -> Find:
    """A find with both photos and pores. 100 mm is too wide for Trametes versicolor here: one doubt."""
    find: Find = FindFactory(finder=finder, **record)
    for view, colour in (("cap", "sienna"), ("underside", "ivory")):
        make_photo(find=find, by=finder, view=view, data=picture(colour=colour, size=(64, 48)))
    ReadingFactory(find=find, values=[width])
    ReadingFactory(find=find, trait="underside", states=["pores"], values=[], unit="", resolution=None)
    if taxon is not None:
        name_find(find, taxon)
    recheck(find)
    find.refresh_from_db()
    return find


def amend_width(find: Find, width: float, *, by: Member) -> Find:
    """Correct the cap's width through the action that amends finds, and leave all else."""
    find.refresh_from_db()
    name = find.current_determination
    assert name is not None
    readings = (
        ReadingEntry("cap_width", values=(width,), unit="mm", resolution=1.0),
        ReadingEntry("underside", states=("pores",)),
    )
    given = NameGiven(typed=name.name_typed, taxon=name.taxon)
    return amend_find(
        find.pk, FindEntry(record={}, readings=readings, name=given), by=by, version=find.version
    )


def open_codes(find: Find) -> list[str]:
    rows = Flag.objects.filter(find=find, settled_at=None, withdrawn_at=None)
    return list(rows.values_list("code", flat=True))


def post(browser: Client, act: str, find: Find, **typed: Any) -> Any:
    """Send one of the curator's forms for the find as it is; `version` may say otherwise."""
    return browser.post(reverse(act, args=[find.pk]), {"version": find.version, **typed})
