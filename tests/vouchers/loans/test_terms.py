"""The cautions of a loan's form say of freezing what is on record."""

from tests.speaking import in_brackets
from vouchers.loans.terms import cautions, usual_terms


def test_a_parcel_is_called_frozen_where_all_in_it_is_on_record_as_frozen() -> None:
    told = " ".join(cautions([]))
    assert "Packed dry, dead and frozen against insects." in told
    assert "“dead, dried, frozen fungi for study”" in told


def test_what_is_not_frozen_on_record_is_named_and_the_parcel_is_not_called_frozen() -> None:
    told = " ".join(cautions(["HFG 2026-0118", "HFG 2026-0119"]))
    assert "Not frozen on record: HFG 2026-0118, HFG 2026-0119. Freeze on arrival" in told
    assert "“dead, dried fungi for study”" in told and "frozen against insects" not in told


def test_of_many_the_first_are_named() -> None:
    numbers = [f"HFG 2026-{n:04d}" for n in range(1, 31)]
    assert "HFG 2026-0012 and 18 more." in cautions(numbers)[0]


def test_the_usual_terms_are_numbered_and_said_in_the_language_of_whoever_asks() -> None:
    assert usual_terms().startswith("1. The loan is made to the institution")
    with in_brackets():
        lines = usual_terms().splitlines()
    assert [line.partition(" ")[0] for line in lines] == [f"{n}." for n in range(1, 9)]
    assert all(line.partition(" ")[2].startswith("⟦") for line in lines)
