"""What the box understands, in the words that it says back."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.finds import tables
from ledger.finds.naming import known_names
from ledger.search.known import Fungi, Known, Person, trees_of
from ledger.search.terms import AccessionTerm, NumberTerm, WordTerm
from ledger.search.words import MOST_TERMS, understand
from ledger.taxa import queries

REFERENCE = queries.reference_of_files()
KNOWN = Known(
    today=date(2026, 11, 26),
    prefix="TFG",
    people=(Person(1, "Ada Thorne", "AT"), Person(2, "Sam Wood", "SW"), Person(3, "Łukasz Żak", "LZ")),
    fungi=Fungi.build(known_names(REFERENCE), REFERENCE.taxa.values()),
    flags={code: kind.label for code, kind in tables.flag_table().kinds.items()},
    trees=trees_of(tables.host_table().names_of_trees),
)
TURKEY_TAIL = "named Trametes versicolor (turkey tail)"


def said(typed: str) -> list[str]:
    return understand(typed, KNOWN).said


def anywhere(word: str) -> str:
    return f"“{word}” in a place, a name, a finder or a host"


@pytest.mark.parametrize("typed", ["AT 118", "at 118", "AT118", "at-118"])
def test_a_collecting_number_is_known_by_its_collector(typed: str) -> None:
    assert said(typed) == ["collecting number AT 118"]


def test_a_share_of_a_split_collection_has_its_letter() -> None:
    assert understand("AT 118A", KNOWN).terms == (NumberTerm("AT", 118, "A"),)


@pytest.mark.parametrize(
    "typed", ["TFG 2026-0118", "tfg2026/118", "2026-0118", "TFG 2026-0118 S1", "TFG 2026 118"]
)
def test_an_accession_number_is_met_by_any_of_its_parts(typed: str) -> None:
    assert understand(typed, KNOWN).terms == (AccessionTerm("TFG", 2026, 118),)


@pytest.mark.parametrize("typed", ["118", "#118", "no 118", "No. 118", "nr 118", "number 118", "find 118"])
def test_a_number_alone_is_anybodys(typed: str) -> None:
    assert said(typed) == ["number 118 of any collector"]


@pytest.mark.parametrize("typed", ["oak", "Oaks", "Eiche", "Eichen", "Stieleiche", "Quercus", "QUERCUS"])
def test_a_tree_is_one_tree_by_whatever_word(typed: str) -> None:
    (term,) = understand(f"on {typed}", KNOWN).terms
    assert isinstance(term, WordTerm) and term.tree is not None
    assert term.tree.genus == "Quercus" and {"oak", "oaks", "eiche", "quercus"} <= set(term.tree.names)


def test_a_word_for_a_tree_says_of_which_genus_it_is() -> None:
    assert said("on Eiche") == ["“eiche” (Quercus) in a host"]
    assert said("on Quercus") == ["“quercus” in a host"]
    assert said("on robur") == ["“robur” in a host"]


def test_a_tree_in_the_words_of_a_place_is_a_word_like_any_other() -> None:
    (term,) = understand("at Oak", KNOWN).terms
    assert isinstance(term, WordTerm) and term.tree is None


def test_what_is_called_a_number_is_no_year() -> None:
    assert said("no 2026") == ["number 2026 of any collector"]


@pytest.mark.parametrize("typed", ["AT 36, AT 5", "AT 36 AT 5", "at36; at5"])
def test_of_two_numbers_either_is_meant(typed: str) -> None:
    assert said(typed) == ["collecting number AT 36 or collecting number AT 5"]


@pytest.mark.parametrize("typed", ["AT 30-40", "at 30–40", "AT 30 to 40"])
def test_numbers_of_a_collector_can_be_a_range(typed: str) -> None:
    assert said(typed) == ["collecting numbers AT 30 to 40"]


def test_days_reckoned_from_today_are_no_numbers_and_words() -> None:
    assert said("hollin in the last 14 days") == [
        anywhere("hollin"),
        "found from 13 November 2026 to 26 November 2026",
    ]


def test_words_looked_for_in_the_same_things_are_said_together() -> None:
    assert understand("hollin quarry held", KNOWN).phrases == [
        "“hollin” and “quarry”, each in a place, a name, a finder or a host",
        "held",
    ]


def test_four_digits_that_can_be_a_year_are_one() -> None:
    assert said("2026") == ["found in 2026"]


def test_an_old_name_finds_the_new_one_and_says_so() -> None:
    assert said("Coriolus versicolor") == [
        "named Trametes versicolor (Coriolus versicolor is an old name of it)"
    ]


@pytest.mark.parametrize(
    "typed", ["Trametes versicolor", "trametes cf. versicolor", "Trametes versicolor (L.) Lloyd"]
)
def test_a_name_is_known_with_qualifier_or_author(typed: str) -> None:
    assert said(typed) == ["named Trametes versicolor"]


def test_an_english_name_is_the_latin_one() -> None:
    assert said("turkey tail") == [TURKEY_TAIL]


def test_a_family_is_all_its_names() -> None:
    (phrase,) = said("Ganodermataceae")
    assert phrase.startswith("Ganodermataceae: Ganoderma applanatum")


def test_two_names_are_either_of_them() -> None:
    assert said("Fomes fomentarius Ganoderma applanatum") == [
        "named Fomes fomentarius or Ganoderma applanatum"
    ]


@pytest.mark.parametrize("typed", ["by ada", "Ada Thorne", "AT", "by AT", "by thorne"])
def test_a_person_is_known_by_name_or_code(typed: str) -> None:
    assert said(typed) == ["found by Ada Thorne"]


def test_a_person_is_found_without_the_letters_of_their_language() -> None:
    assert said("by zak 2025") == ["found by Łukasz Żak", "found in 2025"]


def test_a_first_name_alone_is_a_word_that_also_finds_the_member() -> None:
    (term,) = understand("wood", KNOWN).terms
    assert isinstance(term, WordTerm) and term.members == (2,)


def test_by_somebody_unknown_is_looked_for_among_guests() -> None:
    assert said("by rowan") == ["“rowan” in the name of a finder"]


@pytest.mark.parametrize(
    "word", ["held", "settled", "sent back", "mine", "unnamed", "flagged", "undated", "accessioned"]
)
def test_a_state_is_one_thing(word: str) -> None:
    assert len(understand(word, KNOWN).terms) == 1 and not understand(word, KNOWN).plain_words


def test_a_flag_is_known_by_its_label_or_behind_the_word() -> None:
    label = tables.flag_table().kinds["photos_missing"].label
    assert said(label) == [f"flagged “{label}”"]
    assert said("flag host guess") == ["flagged “Host not documented, and guessed”"]


def test_behind_at_stand_words_of_a_place_until_something_else_comes() -> None:
    assert said("at Hollin Wood Oct 2026 by Ada") == [
        *("“hollin” in the words of a place", "“wood” in the words of a place"),
        *("found in October 2026", "found by Ada Thorne"),
    ]


def test_many_things_side_by_side_are_all_understood() -> None:
    typed = "turkey tail hollin 3-9 Oct 2026 by Ada held"
    assert set(said(typed)) == {
        *(anywhere("hollin"), "found from 3 October 2026 to 9 October 2026", "held"),
        *(TURKEY_TAIL, "found by Ada Thorne"),
    }


def test_polish_letters_are_folded() -> None:
    assert said("Łąka") == [anywhere("laka")] == said("laka")


def test_beyond_the_most_words_the_rest_is_left_out_and_said_to_be() -> None:
    read = understand("one two three four five six seven eight nine ten", KNOWN)
    assert len(read.terms) == MOST_TERMS and read.left_out == "nine ten"


def test_without_a_reference_names_are_words() -> None:
    assert understand("Trametes versicolor", replace(KNOWN, fungi=Fungi())).plain_words == [
        "trametes",
        "versicolor",
    ]


PIECES = st.sampled_from(
    ["AT 118", "Oct 2026", "by", "at", "Ada", "held", "flag", "turkey tail", "2026-0118", "hollin", "Trametes", "cf.",
     "versicolor", "-", "3-9", "Łąka", "(", "“", "sent", "back", "last", "autumn", ".", "and", "TFG", "118A", "Polyporaceae"]
)  # fmt: skip


@given(st.lists(PIECES, max_size=10).map(" ".join))
def test_whatever_is_put_together_is_read_and_said(typed: str) -> None:
    read = understand(typed, KNOWN)
    assert len(read.terms) <= MOST_TERMS
    assert all(phrase.strip() for phrase in read.said)


@given(st.text(max_size=80))
def test_no_text_breaks_the_box(typed: str) -> None:
    assert len(understand(typed, KNOWN).terms) <= MOST_TERMS


@given(st.lists(PIECES, max_size=8).map(" ".join))
def test_blanks_make_no_difference(typed: str) -> None:
    assert understand(typed, KNOWN).terms == understand(f"  {typed.replace(' ', '   ')}\t", KNOWN).terms


@given(st.integers(1, 99_999_999), st.sampled_from(["AT", "SW", "LZ"]))
def test_every_collecting_number_is_read_as_itself(serial: int, code: str) -> None:
    assert understand(f"{code} {serial}", KNOWN).terms == (NumberTerm(code, serial),)
