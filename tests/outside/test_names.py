"""Names against published rules of writing them.

Sources, beside each case: ICN (Shenzhen Code 2018) by article; San Juan Chapter F (May et al. 2019, IMA Fungus 10: 21);
Sigovini, Keppel & Tagliapietra 2016, Methods Ecol. Evol. 7: 1217-1225, read through a guide that quotes it (secondary);
Bengtson 1988 for the place of cf. The seven names of the second test were constructed for this check.
"""

import pytest

from ledger.names.format import full_text, name_parts, scientific_name
from ledger.names.parse import parse_name


# ICN Art. 49.1: the basionym's author in parentheses before the combining author.
@pytest.mark.parametrize(
    ("typed", "authority"),
    [
        ("Medicago orbicularis (L.) Bartal.", "(L.) Bartal."),
        ("Corydalis solida (L.) Clairv.", "(L.) Clairv."),
    ],
)
def test_the_basionym_s_author_stays_in_brackets(typed: str, authority: str) -> None:
    name = parse_name(typed)
    assert name.authority == authority
    assert full_text(name) == typed


# Open nomenclature: the sign stands before the word it doubts and is no part of the name (Sigovini et al. 2016).
@pytest.mark.parametrize(
    ("typed", "clean", "qualifier", "rank"),
    [
        ("Fomitopsis cf. pinicola", "Fomitopsis pinicola", "cf. pinicola", "species"),
        ("Trametes aff. versicolor", "Trametes versicolor", "aff. versicolor", "species"),
        ("Ganoderma sp.", "Ganoderma", "sp.", "genus"),
        ("cf. Ganoderma", "Ganoderma", "cf. Ganoderma", "genus"),
        ("Phellinus s.l.", "Phellinus", "s.l.", "genus"),
        ("Postia ?caesia", "Postia caesia", "? caesia", "species"),
        ("Ganoderma sp. 1", "Ganoderma", "sp. 1", "genus"),
    ],
)
def test_open_nomenclature_gives_a_clean_name_and_a_qualifier(
    typed: str, clean: str, qualifier: str, rank: str
) -> None:
    name = parse_name(typed)
    assert (scientific_name(name), name.identification_qualifier, name.rank, name.typed) == (
        clean,
        qualifier,
        rank,
        typed,
    )


# Bengtson 1988: Trichiurus cf. lepturus, the qualifier inside the binomial and not italic.
def test_the_qualifier_stands_inside_the_binomial() -> None:
    parts = name_parts(parse_name("Trichiurus cf. lepturus"))
    assert parts == (("Trichiurus", True), (" cf. ", False), ("lepturus", True))


# ICN Art. 22.1 and 26.1 (numbers from memory): an autonym has no author after the repeated epithet.
def test_an_autonym_is_printed_with_the_author_after_the_species() -> None:
    assert full_text(parse_name("Rosa gallica L. var. gallica")) == "Rosa gallica L. var. gallica"


# San Juan Chapter F 2018, table 2, Rec. F.3A: the colon of sanctioned names is read and no longer written.
@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("Boletus exemplaris Pers. : Fr.", "Boletus exemplaris Pers."),
        ("Boletus exemplaris Pers.: Fr.", "Boletus exemplaris Pers."),
        ("Fomitopsis pinicola (Sw. : Fr.) P. Karst.", "Fomitopsis pinicola (Sw.) P. Karst."),
        ("Boletus exemplaris Pers., nom. sanct.", "Boletus exemplaris Pers."),
    ],
)
def test_the_colon_of_sanctioning_is_read_and_never_written(typed: str, written: str) -> None:
    assert full_text(parse_name(typed)) == written
    assert parse_name(typed).typed == typed


# ICN Art. 46 and Rec. 46C: ex, in, & and & al. belong to the citation of authors.
@pytest.mark.parametrize(
    "authority", ["Pers. ex Gray", "Murrill in Britton", "Ryvarden & Gilb.", "Niemelä & al."]
)
def test_the_small_words_of_author_citations_are_part_of_the_author(authority: str) -> None:
    assert parse_name(f"Polyporus exemplaris {authority}").authority == authority


# ICN Rec. 50D: auct. non marks a misapplied name; Rec. 47A: s.l., s.str.
@pytest.mark.parametrize("sense", ["auct. non Fr.", "sensu Ryvarden", "s.str."])
def test_the_sense_of_a_name_is_kept_apart_from_its_author(sense: str) -> None:
    name = parse_name(f"Polyporus exemplaris {sense}")
    assert (name.sense, name.authority, name.canonical) == (sense, "", "Polyporus exemplaris")


# Abbreviations of rank (ICN Rec. 5A; subsp., var. and f. confirmed in secondary sources).
@pytest.mark.parametrize(("mark", "rank"), [("subsp.", "subspecies"), ("var.", "variety"), ("f.", "form")])
def test_the_published_marks_of_rank_are_read(mark: str, rank: str) -> None:
    assert parse_name(f"Polyporus exemplaris {mark} alter").rank == rank
