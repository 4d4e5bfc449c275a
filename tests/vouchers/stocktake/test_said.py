"""What a settled difference says: its row holds English, the page the reader's language."""

from datetime import date, timedelta

import pytest
from django.utils import translation

from ledger.people.models import Member
from tests.vouchers.loans.making import make_loan
from tests.vouchers.store.making import NOW, packets, place
from vouchers.parts.actions import end_part
from vouchers.stocktake.actions import open_stocktake, settle, type_sightings
from vouchers.stocktake.models import Settlement
from vouchers.stocktake.queries import standing

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)

BOX_1, BOX_2 = "Shelf 1 › Box 1", "Shelf 1 › Box 2"
# Each code with what is told of it, in English and in German.
TOLD = {
    "HFG 2026-0001": (
        f"Seen in {BOX_2}. On record it is on loan L2026-001 to Herbarium of Fenwick, due 2 May 2027.",
        f"Gesehen in {BOX_2}. Verzeichnet ist: verliehen an Herbarium of Fenwick (Leihe L2026-001), "
        "fällig am 2. Mai 2027.",
    ),
    "HFG 2026-0002": (f"Not seen. On record in {BOX_1}.", f"Nicht gesehen. Verzeichnet in {BOX_1}."),
    "HFG 2026-0003": (
        f"Seen twice: in {BOX_1} and in {BOX_2}. On record in {BOX_1}.",
        f"Zweimal gesehen: in {BOX_1} und in {BOX_2}. Verzeichnet in {BOX_1}.",
    ),
    "HFG 2026-0004": (
        f"Seen in {BOX_2}. On record it ended on 2 November 2026.",
        f"Gesehen in {BOX_2}. Verzeichnet ist: beendet am 2. November 2026.",
    ),
    "4006381333931": (
        f"No code of this collection. Seen in {BOX_2}.",
        f"Kein Code dieser Sammlung. Gesehen in {BOX_2}.",
    ),
}
HOW = {"missing": "stays missing", "misplaced": "noted", "unknown": "set apart", "twice": "same"}


@pytest.fixture(params=["en-gb", "de"])
def settled(request: pytest.FixtureRequest, curator: Member) -> dict[str, Settlement]:
    """Differences of each kind, settled by somebody who reads that language."""
    shelf = place("Shelf 1", "shelf")
    box, other = place("Box 1", parent=shelf), place("Box 2", parent=shelf)
    lent, _, twice, ended = packets(4, by=curator, where=box)
    make_loan(curator, lent, now=NOW - 30 * HOUR, lent_on=date(2026, 11, 1))
    end_part(ended.pk, why="used up", by=curator, now=NOW)
    walk = open_stocktake(shelf, by=curator, now=NOW)
    seen = [lent.number, twice.number, ended.number, "4006381333931"]
    type_sightings(walk.pk, box, [twice.number], by=curator, now=NOW + 29 * HOUR)
    type_sightings(walk.pk, other, seen, by=curator, now=NOW + 30 * HOUR)
    with translation.override(request.param):
        for one in standing(walk).open:
            settle(walk.pk, one.key, way=HOW[one.kind], reason="looked", by=curator, now=NOW + 31 * HOUR)
    return {one.text: one for one in standing(walk).settled}


def test_a_settled_difference_is_told_in_the_readers_language(settled: dict[str, Settlement]) -> None:
    in_english, in_german = ({text: told[which] for text, told in TOLD.items()} for which in (0, 1))
    assert {text: one.said for text, one in settled.items()} == in_english
    with translation.override("en-gb"):
        assert {text: one.said_shown for text, one in settled.items()} == in_english
    with translation.override("de"):
        assert {text: one.said_shown for text, one in settled.items()} == in_german


def test_a_row_that_keeps_its_english_alone_is_told_in_it() -> None:
    with translation.override("de"):
        assert Settlement(said="Not seen. On record in Box 1.").said_shown == "Not seen. On record in Box 1."
