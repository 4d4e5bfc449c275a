"""The pack that goes to the phone: small, complete, the same for the same reference, and sealed by its digest."""

import dataclasses
import gzip
import hashlib
import json

import pytest

from ledger.taxa import queries
from ledger.traits.lookalikes import evidence_tables
from ledger.traits.phone_pack import pack, pack_bytes, pack_digest
from ledger.traits.reference import Reference
from ledger.traits.reference_files import LookAlikePair, read_reference
from tests.ledger.traits.making import BLUE, FIXTURES, RED, reference, row

MOST_COMPRESSED = 150_000


@pytest.fixture(scope="module")
def packed(whole_reference):
    return pack(whole_reference, read_reference(FIXTURES).look_alikes)


def test_it_is_small_enough_to_be_fetched_at_the_edge_of_a_signal(packed):
    assert len(gzip.compress(pack_bytes(packed), 6)) < MOST_COMPRESSED


def test_its_digest_is_that_of_the_same_json_without_it(packed):
    sent = pack_bytes(packed)
    start = b'{"digest":"' + pack_digest(packed).encode() + b'",'
    assert sent.startswith(start)
    assert hashlib.sha256(b"{" + sent.removeprefix(start)).hexdigest() == pack_digest(packed)
    assert json.loads(sent) == {"digest": pack_digest(packed)} | packed


def test_it_names_the_reference_it_was_made_from(packed, whole_reference):
    assert packed["reference"] == whole_reference.digest


def test_rows_in_another_order_give_the_same_digest(packed, whole_reference):
    files = read_reference(FIXTURES)
    turned = Reference.build(
        files.vocabulary, files.taxa[::-1], files.sources[::-1], files.ranges, whole_reference.calibration
    )
    assert pack_digest(pack(turned, files.look_alikes[::-1])) == pack_digest(packed)


def test_a_row_of_the_clubs_own_gives_another_digest():
    plain, ruled = row("cap_width", low=20, high=60), row("cap_width", low=20, high=60, binding=True)
    assert pack_digest(pack(reference(plain))) != pack_digest(pack(reference(ruled)))


def test_every_row_of_the_reference_is_in_it(packed, whole_reference):
    kept = sum(len(rows) for of_taxon in packed["rows"] for rows in of_taxon.values())
    assert kept == len(whole_reference.ranges) > 5000


def test_a_row_says_source_bounds_condition_and_flags():
    known = reference(
        row("cap_width", low=20, high=60.5, condition="old", doubtful=True, binding=True, note="twice")
    )
    (of_red,) = (rows for rows in pack(known)["rows"] if rows)
    assert of_red == {"cap_width": [[0, [None, 20, 60.5, None], 4, 3, "twice"]]}


def test_states_are_a_sum_of_their_places():
    (of_red,) = (rows for rows in pack(reference(row("underside", states="pores|gills")))["rows"] if rows)
    assert of_red == {"underside": [[0, 5]]}


def test_a_unit_stands_only_where_it_is_not_the_traits_own():
    known = reference(dataclasses.replace(row("cap_width", low=20), unit=None))
    (of_red,) = (rows for rows in pack(known)["rows"] if rows)
    assert of_red["cap_width"] == [[0, [None, 20, None, None], 0, 0, "", "none"]]


def test_evidence_loses_nothing_on_the_way(packed, whole_reference):
    for code, table in evidence_tables(whole_reference).traits.items():
        sent = packed["evidence"][code]
        if "rows" in sent:
            assert [tuple(numbers) for numbers in sent["rows"]] == list(table.rows)
        else:
            assert {state: [n / 1e4 for n in column] for state, column in sent["step"].items()} == table.step


def test_pairs_of_taxa_it_does_not_hold_are_left_out():
    known = reference(row("underside", states="pores"))
    pairs = [LookAlikePair(RED, BLUE, "the colour", "book-a"), LookAlikePair(RED, "Nemo", "all", "book-a")]
    assert pack(known, pairs)["pairs"] == [[1, 0, "the colour", 0]]


def test_it_holds_no_citation_and_nothing_of_persons(packed):
    assert "http" not in json.dumps(packed["sources"])


@pytest.mark.django_db
def test_the_ledgers_own_is_made_once_for_each_state_of_the_reference(reference):
    made, digest = queries.current_pack()
    assert queries.current_pack()[0] is made
    assert json.loads(made)["digest"] == digest
