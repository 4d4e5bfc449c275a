"""The reference of these tests: two taxa, so that no test hangs on the measured figures."""

from collections.abc import Callable

import pytest
from django.test import Client

from ledger.people.models import Member
from ledger.taxa import queries
from ledger.taxa.models import ReferenceStamp, Taxon
from tests.factories import DocumentedRangeFactory, TaxonFactory
from tests.ledger.bench.making import CALIBRATION


@pytest.fixture(autouse=True)
def _calibration(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queries, "calibration", lambda: CALIBRATION)


@pytest.fixture
def versicolor(db: None) -> Taxon:
    """Cap 20 to 80 mm. Beside it stands Bjerkandera adusta, 20 to 120 mm. Both have pores."""
    ReferenceStamp.objects.update_or_create(pk=1)
    made = []
    for name, high in (("Trametes versicolor", 80), ("Bjerkandera adusta", 120)):
        taxon = TaxonFactory(name=name)
        DocumentedRangeFactory(taxon=taxon, low=20, high=high)
        DocumentedRangeFactory(taxon=taxon, trait="underside", unit="", low=None, high=None, states="pores")
        made.append(taxon)
    return made[0]


@pytest.fixture
def adusta(versicolor: Taxon) -> Taxon:
    return Taxon.objects.get(name="Bjerkandera adusta")


@pytest.fixture
def at_bench(browser_of: Callable[[Member], Client], curator: Member) -> Client:
    """The curator's browser."""
    return browser_of(curator)
