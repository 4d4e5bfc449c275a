import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.names.edits import edits
from ledger.names.known import KnownNames, KnownTaxon
from ledger.names.match import match_name

KNOWN = KnownNames.build(
    [
        KnownTaxon(
            "Trametes versicolor",
            "(L.) Lloyd",
            "Polyporaceae",
            "Polyporales",
            ("Coriolus versicolor", "Polyporus versicolor"),
        ),
        KnownTaxon("Trametes villosa", "(Sw.) Kreisel", "Polyporaceae", "Polyporales"),
        KnownTaxon(
            "Fomitopsis betulina",
            "(Bull.) B.K. Cui, M.L. Han & Y.C. Dai",
            "Fomitopsidaceae",
            "Polyporales",
            ("Piptoporus betulinus",),
        ),
        KnownTaxon("Trametes betulina", "(L.) Pilát", "Polyporaceae", "Polyporales", ("Lenzites betulina",)),
        KnownTaxon("Ganoderma lucidum", "(Curtis) P. Karst.", "Ganodermataceae", "Polyporales"),
        KnownTaxon(
            "Ganoderma sessile",
            "Murrill",
            "Ganodermataceae",
            "Polyporales",
            ("Ganoderma lucidum sensu auct. N. Am.",),
        ),
    ]
)


def _names(typed: str) -> list[str]:
    return [candidate.name for candidate in match_name(typed, KNOWN).candidates]


@pytest.mark.parametrize(
    "typed",
    [
        "Trametes versicolor",
        "trametes  versicolor",
        "TRAMETES VERSICOLOR",
        "Trametes cf. versicolor (L.) Lloyd",
        "Trametes versicolor agg.",
    ],
)
def test_an_accepted_name_is_met_whatever_doubt_or_author_stands_by(typed: str) -> None:
    match = match_name(typed, KNOWN)
    assert (match.kind, _names(typed), match.typed) == ("exact", ["Trametes versicolor"], typed)


def test_a_synonym_offers_its_accepted_name_and_keeps_the_typed_one() -> None:
    match = match_name("Piptoporus betulinus", KNOWN)
    assert (match.kind, _names("Piptoporus betulinus")) == ("synonym", ["Fomitopsis betulina"])
    assert match.name is not None
    assert match.name.canonical == "Piptoporus betulinus"


def test_a_misapplied_name_offers_the_taxon_it_was_used_for_as_well() -> None:
    match = match_name("Ganoderma lucidum", KNOWN)
    assert [(each.name, each.kind) for each in match.candidates] == [
        ("Ganoderma lucidum", "exact"),
        ("Ganoderma sessile", "misapplied"),
    ]


@pytest.mark.parametrize("typed", ["Trametes versicolour", "Tramates versicolor", "Trametes vericolor"])
def test_a_slip_of_the_finger_is_near_and_never_replaced(typed: str) -> None:
    match = match_name(typed, KNOWN)
    assert match.kind == "near"
    assert match.candidates[0].name == "Trametes versicolor"
    assert match.name is not None
    assert match.name.canonical == typed


def test_an_abbreviated_genus_gives_every_candidate_it_may_stand_for() -> None:
    assert match_name("T. betulina", KNOWN).kind == "near"
    assert _names("T. betulina") == ["Trametes betulina"]
    # P. is Piptoporus, by its synonym and the other gender of the epithet.
    assert _names("P. betulina") == ["Fomitopsis betulina"]
    assert _names("P. versicolor") == ["Trametes versicolor"]


def test_the_same_epithet_in_an_unknown_genus_is_offered_last_of_all() -> None:
    match = match_name("Boletus versicolor", KNOWN)
    assert [(each.name, each.note) for each in match.candidates] == [
        ("Trametes versicolor", "same epithet in another genus, Coriolus")
    ]


def test_a_capital_made_by_the_keyboard_is_offered_as_the_epithet() -> None:
    match = match_name("Trametes Versicolor", KNOWN)
    assert (match.kind, match.candidates[0].name) == ("near", "Trametes versicolor")


@pytest.mark.parametrize("typed", ["Ganoderma", "Ganoderma sp.", "Polyporaceae", "Polyporales"])
def test_a_genus_or_family_is_met_as_such(typed: str) -> None:
    match = match_name(typed, KNOWN)
    assert match.kind == "exact"
    assert match.candidates[0].name == typed.removesuffix(" sp.")


def test_a_differing_author_is_noted() -> None:
    assert "differs" in match_name("Trametes versicolor Fr.", KNOWN).candidates[0].note


def test_the_same_author_with_other_blanks_does_not_differ() -> None:
    typed = "Fomitopsis betulina (Bull.) B. K. Cui, M. L. Han & Y. C. Dai"
    assert match_name(typed, KNOWN).candidates[0].note == ""


@pytest.mark.parametrize("typed", ["Amanita muscaria", "", "unnamed", "Trametes versicolor on oak"])
def test_what_is_not_known_says_why(typed: str) -> None:
    match = match_name(typed, KNOWN)
    assert (match.kind, match.candidates) == ("none", ())
    assert match.why


def test_candidates_come_nearest_first() -> None:
    found = [each.edits for each in match_name("Trametes betulinus", KNOWN).candidates]
    assert found == sorted(found)
    assert _names("Trametes betulinus")[0] == "Trametes betulina"


def test_a_name_the_index_cannot_read_is_listed_as_skipped() -> None:
    index = KnownNames.build([KnownTaxon("Trametes versicolor on oak")])
    assert len(index.skipped) == 1


@given(st.text(max_size=40))
def test_any_text_can_be_matched(typed: str) -> None:
    assert match_name(typed, KNOWN).typed == typed


@pytest.mark.parametrize(
    ("one", "other", "slips"),
    [("abc", "abc", 0), ("abc", "acb", 1), ("abc", "ab", 1), ("abc", "xyz", 3), ("kitten", "sitting", 3)],
)
def test_edits_are_counted(one: str, other: str, slips: int) -> None:
    assert edits(one, other, 3) == slips
    assert edits(one, other, slips - 1) is None if slips else True


@given(st.text("abc", max_size=7), st.text("abc", max_size=7), st.integers(0, 4))
def test_the_limit_never_changes_a_count_under_it(one: str, other: str, limit: int) -> None:
    full = edits(one, other, 20)
    assert full is not None
    assert edits(one, other, limit) == (full if full <= limit else None)


ENGLISH = KnownNames.build(
    [
        KnownTaxon("Trametes versicolor", "(L.) Lloyd", vernacular=("turkey tail",)),
        KnownTaxon("Cerioporus squamosus", "(Huds.) Quél.", vernacular=("dryad's saddle",)),
        KnownTaxon("Grifola frondosa", "(Dicks.) Gray", vernacular=("hen of the woods",)),
        KnownTaxon("Ganoderma lucidum", "(Curtis) P. Karst.", vernacular=("lacquered bracket",)),
        KnownTaxon("Ganoderma resinaceum", "Boud.", vernacular=("lacquered bracket",)),
        KnownTaxon("Fomitopsis pinicola", "(Sw.) P. Karst.", vernacular=("red-belted conk (broad sense)",)),
    ]
)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("turkey tail", "Trametes versicolor"),
        ("  Turkey-Tail. ", "Trametes versicolor"),
        ("Dryads saddle", "Cerioporus squamosus"),
        ("Dryad’s Saddle", "Cerioporus squamosus"),
        ("hen-of-the-woods", "Grifola frondosa"),
    ],
)
def test_an_english_name_of_one_taxon_is_read_as_its_latin_name(typed: str, meant: str) -> None:
    match = match_name(typed, ENGLISH)
    assert (match.kind, [one.name for one in match.candidates]) == ("vernacular", [meant])
    assert match.name is not None and match.name.canonical == meant


def test_an_english_name_of_two_taxa_is_offered_and_never_taken() -> None:
    match = match_name("lacquered bracket", ENGLISH)
    assert (match.kind, match.english) == ("near", "lacquered bracket")
    assert [one.name for one in match.candidates] == ["Ganoderma lucidum", "Ganoderma resinaceum"]


def test_an_english_name_used_in_a_broad_sense_is_offered_and_never_taken() -> None:
    match = match_name("red-belted conk", ENGLISH)
    assert (match.kind, [one.name for one in match.candidates]) == ("near", ["Fomitopsis pinicola"])


@pytest.mark.parametrize("typed", ["turky tail", "hen of the wods", "turkey tail?", "cf. turkey tail"])
def test_a_misspelt_or_doubted_english_name_is_offered_and_never_taken(typed: str) -> None:
    match = match_name(typed, ENGLISH)
    assert (match.kind, match.english, len(match.candidates)) == ("near", "", 1)


def test_part_of_an_english_name_is_none() -> None:
    assert match_name("tail", ENGLISH).kind == "none"
