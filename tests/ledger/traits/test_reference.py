from dataclasses import replace

import pytest

from ledger.traits.ranges import TaxonEntry
from ledger.traits.reference import Reference, UnknownInReference
from tests.ledger.traits.making import BLUE, RED, calibrated, reference, row, vocabulary

ROWS = (row("cap_width", low=20, high=80), row("underside", states="pores", taxon=BLUE))


def test_rows_are_found_by_taxon_and_trait():
    known = reference(*ROWS)
    assert known.ranges_for(RED, "cap_width") == (ROWS[0],)
    assert known.ranges_for(RED, "underside") == ()


def test_the_digest_does_not_depend_on_the_order_of_rows():
    assert reference(*ROWS).digest == reference(*reversed(ROWS)).digest


def test_a_changed_bound_changes_the_digest_and_a_note_does_not():
    wider, noted = replace(ROWS[0], high=81), replace(ROWS[0], note="printed twice")
    assert reference(wider, ROWS[1]).digest != reference(*ROWS).digest
    assert reference(noted, ROWS[1]).digest == reference(*ROWS).digest


def test_a_row_without_a_known_source_is_refused():
    with pytest.raises(UnknownInReference, match="book-a"):
        Reference.build(vocabulary(), [TaxonEntry(RED)], [], [ROWS[0]], calibrated())


def test_synonyms_lead_to_the_accepted_names():
    entry = TaxonEntry(RED, synonyms=("Rubra vetus",))
    known = Reference.build(vocabulary(), [entry], [], [], calibrated())
    assert known.synonyms == {"Rubra vetus": (RED,)}
