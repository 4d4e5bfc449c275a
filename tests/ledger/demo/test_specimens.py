"""What the demo's members read."""

import copy
import json
from random import Random

from ledger.demo.specimens import MICROSCOPE, READ, chances, readings_of
from ledger.traits.ranges import DocumentedRange, Source, TaxonEntry
from ledger.traits.reference import Reference
from ledger.traits.vocabulary import Vocabulary
from tests.ledger.traits.making import FIXTURES, RED, calibrated


def _with_a_new_trait() -> Vocabulary:
    data = json.loads((FIXTURES / "traits.json").read_text(encoding="utf-8"))
    new = copy.deepcopy(next(row for row in data["traits"] if row["code"] == "rot"))
    data["traits"].append(new | {"code": "new_trait", "order": 99})
    return Vocabulary.from_json(data)


def test_a_trait_that_no_list_names_is_read_on_some_finds() -> None:
    known = _with_a_new_trait()
    row = DocumentedRange(RED, "new_trait", states=frozenset({"white rot"}), source_id="book")
    reference = Reference.build(known, [TaxonEntry(RED)], [Source("book", "A book")], [row], calibrated())
    rng = Random(1)
    drawn = [
        readings_of(
            reference, RED, rng, state="fresh", age="mature", host_group="hardwood", wood="fallen trunk"
        )
        for _ in range(100)
    ]
    read = [readings["new_trait"] for readings in drawn if "new_trait" in readings]
    assert 0 < len(read) < 50
    assert {entry.states for entry in read} == {("white rot",)}


def test_what_a_list_names_keeps_its_own_share() -> None:
    made = chances(_with_a_new_trait())
    assert {code: made[code] for code in READ if code in made} == {
        c: share for c, share in READ.items() if share
    }
    assert not made.keys() & {*MICROSCOPE, "fruiting_months"}
