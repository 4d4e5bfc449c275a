import pytest

from vouchers.sampling.warnings import Facts, warnings


def test_a_confirmed_name_with_enough_collections_and_no_earlier_cut_has_no_note() -> None:
    assert warnings(Facts("Trametes versicolor", collections=3)) == []


@pytest.mark.parametrize(
    ("collections", "said"),
    [
        (1, "this is the only collection here"),
        (2, "there are only 2 collections here"),
        (0, "the only collection"),
    ],
)
def test_fewer_than_three_collections_are_told(collections: int, said: str) -> None:
    (note,) = warnings(Facts("Trametes versicolor", collections=collections))
    assert note.startswith("Of Trametes versicolor ")
    assert said in note


def test_collections_of_no_known_taxon_are_not_counted() -> None:
    assert warnings(Facts("", collections=None)) == []


def test_a_doubtful_name_is_told_first() -> None:
    notes = warnings(
        Facts("Trametes versicolor", collections=1, doubts=["it says cf.", "the find is not settled"])
    )
    assert notes[0].startswith("The name is not confirmed: it says cf.; the find is not settled.")
    assert len(notes) == 2


def test_the_same_purpose_twice_is_told_with_its_leave() -> None:
    (note,) = warnings(Facts("A b", collections=5, granted_before=["C2026-001, DNA, on 2 November 2026"]))
    assert "C2026-001, DNA, on 2 November 2026" in note


def test_tissue_that_is_there_is_to_be_used_first() -> None:
    (note,) = warnings(Facts("A b", collections=5, tissue_tubes=["HFG 2026-0001 T1"]))
    assert note == "There is tissue of it already: HFG 2026-0001 T1. Use that first."
