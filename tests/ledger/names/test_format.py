import pytest

from ledger.names.format import full_text, name_parts, scientific_name, styled_parts
from ledger.names.parse import parse_name

CASES: list[tuple[str, list[tuple[str, bool]]]] = [
    (
        "Trametes cf. versicolor (L.) Lloyd",
        [("Trametes", True), (" cf. ", False), ("versicolor", True), (" (L.) Lloyd", False)],
    ),
    ("Trametes versicolor", [("Trametes versicolor", True)]),
    ("cf. Ganoderma", [("cf. ", False), ("Ganoderma", True)]),
    ("Ganoderma sp. 1", [("Ganoderma", True), (" sp. 1", False)]),
    ("Postia ?caesia", [("Postia", True), (" ?", False), ("caesia", True)]),
    (
        "Daedaleopsis confragosa var. tricolor (Bull.) Bondartsev",
        [
            ("Daedaleopsis confragosa", True),
            (" var. ", False),
            ("tricolor", True),
            (" (Bull.) Bondartsev", False),
        ],
    ),
    ("Trametes versicolor agg.", [("Trametes versicolor", True), (" agg.", False)]),
    ("Polyporales", [("Polyporales", False)]),
    ("Trametes × hybrida", [("Trametes", True), (" × ", False), ("hybrida", True)]),
    ("", [("unnamed", False)]),
]


@pytest.mark.parametrize(("text", "parts"), CASES, ids=[text or "unnamed" for text, _ in CASES])
def test_only_the_latin_of_genus_and_below_is_italic(text: str, parts: list[tuple[str, bool]]) -> None:
    assert list(name_parts(parse_name(text))) == parts


def test_the_author_is_a_run_of_its_own_so_that_it_can_be_smaller() -> None:
    parts = styled_parts(parse_name("Rosa gallica L. var. gallica"))
    assert [(part.text, part.role) for part in parts] == [
        ("Rosa gallica", "latin"),
        (" L.", "authority"),
        (" var. ", "mark"),
        ("gallica", "latin"),
    ]


def test_the_author_of_the_reference_can_stand_for_the_typed_one() -> None:
    name = parse_name("Trametes cf. versicolor")
    assert full_text(name, authority="(L.) Lloyd") == "Trametes cf. versicolor (L.) Lloyd"


def test_the_author_can_be_left_out() -> None:
    assert full_text(parse_name("Trametes versicolor (L.) Lloyd"), authority="") == "Trametes versicolor"


def test_the_scientific_name_holds_no_doubt() -> None:
    assert (
        scientific_name(parse_name("Trametes cf. versicolor (L.) Lloyd")) == "Trametes versicolor (L.) Lloyd"
    )
