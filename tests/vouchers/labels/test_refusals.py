"""Why a label was not printed, told in the language of whoever reads it."""

from django.utils import translation

from tests.vouchers.labels.making import make_label, print_one
from vouchers.labels.refusals import Refusal, of_all


def refused_in_german(number: str) -> Refusal:
    """A label of a German club that is refused for one sign."""
    with translation.override("de"):
        (refusal,) = print_one(make_label(accession_number=number, near="near 日 wood")).refused
    return refusal


def test_a_refusal_of_a_german_club_is_told_in_the_language_of_whoever_reads_it() -> None:
    refusal = refused_in_german("TFG 2026-0118")
    assert of_all([refusal]).startswith("TFG 2026-0118 was not printed: its line Near holds 日")
    with translation.override("de"):
        assert of_all([refusal]).startswith("TFG 2026-0118 wurde nicht gedruckt: Die Zeile Bei enthält 日")


def test_a_number_that_was_refused_for_several_kinds_of_label_is_named_once() -> None:
    refusals = [refused_in_german(f"TFG 2026-0{serial}") for serial in (118, 119, 118, 118)]
    assert of_all(refusals).startswith("Each of TFG 2026-0118, TFG 2026-0119 was not printed")
    assert of_all(refusals[2:]).startswith("TFG 2026-0118 was not printed")


def test_a_reason_that_holds_for_several_names_them_all_at_its_beginning() -> None:
    alike = [refused_in_german("TFG 2026-0118"), refused_in_german("TFG 2026-0119")]
    assert of_all(alike).startswith("Each of TFG 2026-0118, TFG 2026-0119 was not printed: its line Near")
    with translation.override("de"):
        assert of_all(alike).startswith("Jeder der Belege TFG 2026-0118, TFG 2026-0119 wurde nicht ")
