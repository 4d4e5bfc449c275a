import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.names.errors import TaxonNameError
from ledger.names.format import full_text
from ledger.names.name import Name
from ledger.names.parse import QUALIFIERS, parse_name


def _parts(text: str) -> dict[str, object]:
    """The parts that are there, without the text itself."""
    found = dataclasses.asdict(parse_name(text))
    return {part: value for part, value in found.items() if value and part != "typed"}


CASES: list[tuple[str, dict[str, object]]] = [
    ("Trametes", {"genus": "Trametes", "rank": "genus"}),
    ("Trametes Fr.", {"genus": "Trametes", "rank": "genus", "authority": "Fr."}),
    (
        "Trametes versicolor (L.) Lloyd",
        {"genus": "Trametes", "epithet": "versicolor", "rank": "species", "authority": "(L.) Lloyd"},
    ),
    ("Polyporaceae", {"genus": "Polyporaceae", "rank": "family"}),
    ("Polyporales", {"genus": "Polyporales", "rank": "order"}),
    ("T. versicolor", {"genus": "T.", "epithet": "versicolor", "rank": "species"}),
    (
        "Daedaleopsis confragosa var. tricolor",
        {"genus": "Daedaleopsis", "epithet": "confragosa", "infra": "tricolor", "rank": "variety"},
    ),
    (
        "Fomes igniarius f. tremulae",
        {"genus": "Fomes", "epithet": "igniarius", "infra": "tremulae", "rank": "form"},
    ),
    (
        "Trametes × hybrida",
        {"genus": "Trametes", "epithet": "hybrida", "rank": "species", "hybrid": "epithet"},
    ),
    ("x Trametes", {"genus": "Trametes", "rank": "genus", "hybrid": "genus"}),
    (
        "Fomitopsis pinicola sensu auct. N. Am.",
        {"genus": "Fomitopsis", "epithet": "pinicola", "rank": "species", "sense": "sensu auct. N. Am."},
    ),
    (
        "Ganoderma sp. aff. lucidum",
        {
            "genus": "Ganoderma",
            "epithet": "lucidum",
            "rank": "species",
            "qualifier": "aff.",
            "qualified": "epithet",
        },
    ),
    ("Ganoderma indet.", {"genus": "Ganoderma", "rank": "genus", "qualifier": "indet."}),
    (
        "Postia caesia?",
        {
            "genus": "Postia",
            "epithet": "caesia",
            "rank": "species",
            "qualifier": "?",
            "qualified": "epithet",
        },
    ),
]


@pytest.mark.parametrize(("text", "parts"), CASES, ids=[text for text, _ in CASES])
def test_a_name_is_taken_apart(text: str, parts: dict[str, object]) -> None:
    assert _parts(text) == parts


@pytest.mark.parametrize(
    "text",
    [
        "Trametes cf. versicolor (L.) Lloyd",
        "  trametes   cf  versicolor (L.)Lloyd ",
        "TRAMETES cf. versicolor (L.) Lloyd",
        "Trametes cf.versicolor ( L. ) Lloyd",
        "Trametes\u00a0cf.\u200b versi\u00adcolor (L.) Lloyd",
        "Ｔrametes cf. versicolor (L.) Lloyd",
        "Trametes cfr. versicolor (L.) Lloyd",
    ],
)
def test_spacing_case_and_unseen_characters_make_no_difference(text: str) -> None:
    expected = _parts("Trametes cf. versicolor (L.) Lloyd")
    assert _parts(text) == expected


@pytest.mark.parametrize(
    ("text", "mark"),
    [
        ("Trametes versicolor agg.", "agg."),
        ("Trametes versicolor aggregate", "agg."),
        ("Trametes versicolor group", "group"),
        ("Trametes (versicolor group)", "group"),
        ("Trametes ex gr. versicolor", "group"),
        ("Trametes versicolor species complex", "complex"),
        ("Trametes versicolor s.l.", "s.l."),
        ("Trametes versicolor s. lat.", "s.l."),
        ("Trametes versicolor sensu lato", "s.l."),
        ("Trametes versicolor (s.l.)", "s.l."),
    ],
)
def test_a_group_is_marked_and_its_name_stays_clean(text: str, mark: str) -> None:
    name = parse_name(text)
    assert (name.group, name.group_mark, name.canonical) == (True, mark, "Trametes versicolor")


@pytest.mark.parametrize("text", ["", "  ", "?", "unnamed", "Unknown", "indet.", "sp.", "not named"])
def test_a_find_may_be_unnamed(text: str) -> None:
    name = parse_name(text)
    assert name.unnamed
    assert name.rank is None


def test_filius_behind_an_author_is_no_form() -> None:
    assert parse_name("Polyporus exemplaris L. f.").authority == "L. f."


def test_initials_are_not_the_wide_sense() -> None:
    name = parse_name("Trametes versicolor S.L. Smith")
    assert (name.group, name.authority) == (False, "S.L. Smith")


def test_the_author_of_an_autonym_stands_before_the_third_word() -> None:
    name = parse_name("Rosa gallica L. var. gallica")
    assert (name.species_authority, name.authority, name.infra) == ("L.", "", "gallica")


def test_decomposed_accents_are_composed() -> None:
    assert parse_name("Auricularia auricula-judae (Bull.) Que\u0301l.").authority == "(Bull.) Qu\u00e9l."


def test_what_was_typed_is_kept_to_the_letter() -> None:
    assert parse_name("  trametes  versicolor?").typed == "  trametes  versicolor?"


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("Trametes versicolor on oak", "third word 'on'"),
        ("Trametes versicolor nigra", "no rank"),
        ("Trametes versicolor (L. Lloyd", "bracket"),
        ("Trametes versicolor L.) Lloyd(", "bracket"),
        ("cf. Trametes cf. versicolor", "doubted twice"),
        ("Trametes versicolor × hirsuta", "one fungus"),
        ("Trametes <b>versicolor</b>", "'<'"),
        ("cf.", "no name"),
        ("5", "no genus"),
        ("T" * 201, "at most 200"),
    ],
)
def test_what_cannot_be_placed_is_refused_by_its_word(text: str, reason: str) -> None:
    with pytest.raises(TaxonNameError, match=reason):
        parse_name(text)


@given(st.text(max_size=60))
def test_no_text_gives_any_error_but_a_name_error(text: str) -> None:
    try:
        name = parse_name(text)
    except TaxonNameError:
        return
    assert name.typed == text


JUMBLE = """
    Trametes trametes versicolor cf. aff. ? sp. (L.) Lloyd & var. f. ex × agg. s.l. group sensu auct. T. nigra? ( ) : 1
    x (Coriolus) indet. Fr. caesia spp. nov.
"""
WORDS = st.sampled_from(JUMBLE.split())


@given(st.lists(WORDS, max_size=9).map(" ".join))
def test_no_jumble_of_name_words_gives_any_error_but_a_name_error(text: str) -> None:
    try:
        name = parse_name(text)
    except TaxonNameError:
        return
    assert name.unnamed or name.genus


@given(st.lists(WORDS, max_size=9).map(" ".join))
def test_a_printed_name_reads_back_as_the_same_print(text: str) -> None:
    try:
        printed = full_text(parse_name(text))
    except TaxonNameError:
        return
    assert full_text(parse_name(printed)) == printed


# Longer than every abbreviation and small word, so that none is made by chance.
EPITHETS = st.from_regex(r"[a-z]{4,8}(us|a|um)(-[a-z]{4,8})?", fullmatch=True)
AUTHORS = st.sampled_from(
    ["", "Fr.", "(L.) Lloyd", "(Pers.) B.K. Cui, L.L. Shen & Y.C. Dai", "L. f.", "Pers. ex Gray"]
)


@given(
    genus=st.from_regex(r"[A-Z][a-z]{3,10}us", fullmatch=True),
    epithet=EPITHETS,
    doubt=st.sampled_from([None, *QUALIFIERS[:5]]),
    authority=AUTHORS,
    group_mark=st.sampled_from(["", "agg.", "group", "s.l."]),
)
def test_every_well_formed_name_comes_back_whole(
    genus: str, epithet: str, doubt: str | None, authority: str, group_mark: str
) -> None:
    name = Name(
        genus=genus,
        epithet=epithet,
        rank="species",
        qualifier=doubt,
        qualified="epithet" if doubt else "",
        authority=authority,
        group=bool(group_mark),
        group_mark=group_mark,
    )
    back = parse_name(full_text(name))
    assert dataclasses.replace(back, typed="") == name
