"""What a pocket sheet says: every state and figure from the reference, what parts the taxa, numbered sources."""

import pytest

from ledger.paper.company import USUAL, company_of
from ledger.paper.pocket import MOST_TAXA, _told, pocket_of
from ledger.traits.ranges import judges
from ledger.traits.reference_files import LookAlikePair, read_reference
from tests.ledger.paper.making import FIXTURES

TURKEY, CRUST, HOOF = "Trametes versicolor", "Stereum subtomentosum", "Fomes fomentarius"
PAIRS = read_reference(FIXTURES).look_alikes


@pytest.fixture
def pocket(whole_reference):
    return pocket_of(whole_reference, [TURKEY, CRUST, HOOF], PAIRS)


def block(pocket, trait):
    return next(block for block in pocket.blocks if block.trait.code == trait)


def test_taxa_go_by_letters_in_their_order(pocket):
    assert [(taxon.letter, taxon.name) for taxon in pocket.taxa] == [("A", TURKEY), ("B", CRUST), ("C", HOOF)]


def test_blocks_stand_in_the_order_of_looking(pocket, whole_reference):
    order = list(whole_reference.vocabulary.traits)
    found = [order.index(one.trait.code) for one in pocket.blocks]
    assert found == sorted(found)


def test_every_mark_is_what_the_sources_print(pocket, whole_reference):
    for one in pocket.blocks:
        for row in one.states:
            for taxon, mark in zip(pocket.taxa, row.marks, strict=True):
                rows = [
                    range_
                    for range_ in whole_reference.ranges_for(taxon.name, one.trait.code)
                    if judges(range_.condition, "fresh", None) != "no"
                ]
                sources = {range_.source_id for range_ in rows}
                printing = {range_.source_id for range_ in rows if row.state.code in range_.states}
                share = len(printing) / len(sources) if sources else None
                wanted = (
                    "unknown"
                    if share is None
                    else "none"
                    if not share
                    else "most"
                    if share >= 0.5
                    else "some"
                )
                assert mark == wanted, (one.trait.code, taxon.name, row.state.code)


def test_every_figure_is_a_bound_of_a_source(pocket, whole_reference):
    for one in pocket.blocks:
        for row in one.ranges:
            bounds = {
                f"{bound:.15g}"
                for range_ in whole_reference.ranges_for(row.taxon.name, one.trait.code)
                for bound in (range_.low_extreme, range_.low, range_.high, range_.high_extreme)
                if bound is not None
            }
            words = (
                row.text.replace("–", " ")
                .replace("(", " ")
                .replace(")", " ")
                .replace("up to", "")
                .replace("from", "")
            )
            assert set(words.split()) <= bounds, (one.trait.code, row)


def test_rows_for_dry_or_old_material_are_left_out(pocket, whole_reference):
    used = {number for one in pocket.blocks for _, numbers in one.sources for number in numbers}
    known = {source.id for number, source in pocket.sources if number in used}
    fresh = {
        row.source_id
        for taxon in pocket.taxa
        for code in whole_reference.vocabulary.traits
        for row in whole_reference.ranges_for(taxon.name, code)
        if row.condition not in ("dry", "old")
    }
    assert known <= fresh


def test_sources_are_numbered_once_each_and_all_are_cited(pocket):
    numbers = [number for number, _ in pocket.sources]
    cited = {number for one in pocket.blocks for _, those in one.sources for number in those}
    cited |= {pair.source for pair in pocket.pairs}
    assert numbers == list(range(1, len(numbers) + 1))
    assert cited == set(numbers)


def test_a_trait_parts_taxa_that_no_source_documents_alike(pocket):
    assert block(pocket, "underside").said == "Parts A C from B"
    assert block(pocket, "rot").parted_count == 0


def test_numbers_part_where_their_outermost_bounds_have_nothing_in_common(whole_reference):
    pocket = pocket_of(whole_reference, [HOOF, "Fomitopsis pinicola"])
    assert block(pocket, "spore_length").said == "Parts A from B"
    assert block(pocket, "spore_width").said == ""


def test_a_low_bound_of_a_growing_trait_parts_nothing(whole_reference):
    growing = [code for code, trait in whole_reference.vocabulary.traits.items() if trait.growth]
    pocket = pocket_of(whole_reference, [TURKEY, "Ganoderma applanatum", HOOF])
    assert growing
    assert {one.parted_count for one in pocket.blocks if one.trait.code in growing} == {0}


def test_pairs_with_one_other_side_are_told_together_and_each_once():
    parted = [("A", "B"), ("A", "D"), ("B", "C"), ("C", "D"), ("B", "D")]
    assert "; ".join(map(str, _told(parted))) == "A C from B D; B from D"


def test_what_a_source_says_of_a_pair_stands_with_the_number_of_that_source(pocket):
    (line,) = pocket.pairs
    assert (line.a.letter, line.b.letter) == ("A", "B")
    assert "smooth underside" in line.text
    assert dict(pocket.sources)[line.source].kind in ("memory", "handbook", "herbarium page", "society page")


def test_a_pair_with_a_taxon_that_is_not_on_the_sheet_is_left_out(whole_reference):
    pair = LookAlikePair(taxon_a=TURKEY, taxon_b=HOOF, what_parts_them="size", source_id="memory")
    assert pocket_of(whole_reference, [TURKEY, CRUST], [pair]).pairs == ()


@pytest.mark.parametrize("taxa", [[], [f"Taxon {n}" for n in range(MOST_TAXA + 1)]])
def test_no_taxon_and_too_many_are_refused(taxa, whole_reference):
    with pytest.raises(ValueError, match="1 to 8"):
        pocket_of(whole_reference, taxa)


def test_a_name_twice_stands_once(whole_reference):
    assert len(pocket_of(whole_reference, [TURKEY, TURKEY]).taxa) == 1


def test_a_taxon_stands_first_among_its_company_then_its_look_alikes_then_those_ranked_close(whole_reference):
    company = company_of(whole_reference, TURKEY, PAIRS)
    assert company[0] == TURKEY
    assert company[1] == CRUST
    assert len(company) == len(set(company)) == USUAL


def test_every_taxon_of_the_reference_has_company_and_a_sheet(whole_reference):
    for taxon in whole_reference.taxa:
        company = company_of(whole_reference, taxon, PAIRS)
        assert company[0] == taxon
        assert pocket_of(whole_reference, company, PAIRS).blocks


def test_an_unknown_taxon_is_an_error(whole_reference):
    with pytest.raises(KeyError):
        company_of(whole_reference, "Trametes nusquam", PAIRS)
