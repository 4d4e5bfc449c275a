"""The pocket sheet as it comes from the printer."""

import ctypes

import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from ledger.paper.company import company_of
from ledger.paper.papers import PAPERS
from ledger.paper.pocket import pocket_of
from ledger.paper.pocket_pdf import CAUTION, PAGES, panel_mm, places_on, print_pocket
from ledger.paper.text import PaperError
from tests.ledger.paper.making import MADE_AT, page_count, size_mm, text_of
from tests.ledger.paper.test_pocket import CRUST, HOOF, PAIRS, TURKEY


@pytest.fixture
def printed(whole_reference):
    def make(*taxa, paper="a4", **changed):
        given = {"institution": "Hollin Fungus Group", "digest": whole_reference.digest, "made_at": MADE_AT}
        pocket = pocket_of(whole_reference, taxa or company_of(whole_reference, TURKEY, PAIRS), PAIRS)
        return print_pocket(pocket, paper, **(given | changed))

    return make


@pytest.mark.parametrize("paper", PAPERS)
def test_the_sheet_lies_across_its_paper(paper, printed):
    wanted = (PAPERS[paper].height_mm, PAPERS[paper].width_mm)
    assert size_mm(printed(paper=paper).pdf) == pytest.approx(wanted, abs=0.05)


def test_all_small_pages_are_on_the_first_page_and_the_sources_behind_it(printed):
    pdf = printed().pdf
    assert page_count(pdf) == 2
    assert "Colour of the underside" in text_of(pdf)
    assert "Sources" in text_of(pdf, 1)


def test_most_taxa_of_all_still_make_one_sheet(printed, whole_reference):
    made = printed(*company_of(whole_reference, HOOF, PAIRS, many=8))
    assert page_count(made.pdf) == 2
    assert made.left_out
    assert f"Without room on the small pages: {made.left_out[0].lower()}" in text_of(made.pdf, 1)


def test_what_is_seen_in_the_wood_goes_before_what_wants_a_microscope(printed, whole_reference):
    left_out = printed(*company_of(whole_reference, HOOF, PAIRS, many=8)).left_out
    assert "Spore length" in left_out
    assert not {"Underside", "Pores per millimetre", "Cap surface"} & set(left_out)


def test_two_taxa_leave_nothing_out(printed):
    assert printed(HOOF, "Fomitopsis pinicola").left_out == ()


def test_a_single_taxon_makes_a_sheet(printed):
    assert "Fomes fomentarius" in text_of(printed(HOOF).pdf)


@pytest.mark.parametrize("page", [0, 1])
def test_both_sides_carry_the_caution(page, printed):
    assert CAUTION in text_of(printed().pdf, page)


def test_the_sheet_says_how_to_fold_it(printed):
    text = text_of(printed().pdf)
    assert "Fold 1: back along the middle" in text
    assert "Fold 2: to and fro" in text


def test_pages_follow_one_another_round_the_fold():
    """Page 5 lies behind page 4, page 8 behind page 1; each of the upper ones stands upside down."""
    for paper in PAPERS.values():
        places = places_on(paper)
        assert len(places) == PAGES
        assert [one["turned"] for one in places] == [False] * 4 + [True] * 4
        assert [places[n]["x"] for n in range(4)] == [places[7 - n]["x"] for n in range(4)]
        width, height = panel_mm(paper)
        assert (4 * width, 2 * height) == pytest.approx((paper.height_mm, paper.width_mm))


def signs_of(pdf, page=0):
    """Every character of a page with the name of its font."""
    textpage = pypdfium2.PdfDocument(pdf)[page].get_textpage()
    found = []
    for at in range(textpage.count_chars()):
        name = ctypes.create_string_buffer(100)
        pdfium.FPDFText_GetFontInfo(textpage.raw, at, name, 100, ctypes.byref(ctypes.c_int()))
        found.append((chr(pdfium.FPDFText_GetUnicode(textpage.raw, at)), name.value.decode()))
    return found


@pytest.mark.parametrize("page", [0, 1])
def test_latin_names_are_in_italics(page, printed):
    found = signs_of(printed(TURKEY, CRUST).pdf, page)
    text = "".join(sign for sign, _ in found)
    at = text.index("Trametes versicolor")
    assert all("Italic" in font for sign, font in found[at : at + 19] if not sign.isspace())


def test_every_figure_of_a_strip_can_be_read_as_text(printed, whole_reference):
    pocket = pocket_of(whole_reference, [HOOF, "Fomitopsis pinicola"])
    text = text_of(printed(HOOF, "Fomitopsis pinicola").pdf)
    assert [row.text for block in pocket.blocks for row in block.ranges if row.text not in text] == []


def test_every_source_stands_overleaf_with_its_number(printed, whole_reference):
    pocket = pocket_of(whole_reference, [TURKEY, CRUST], PAIRS)
    text = text_of(printed(TURKEY, CRUST).pdf, 1)
    for number, source in pocket.sources:
        said = "from memory" if source.kind == "memory" else " ".join(source.citation.split())
        assert f"{number} {said}" in text


def test_the_pdf_is_tagged_and_named(printed):
    pdf = pypdfium2.PdfDocument(printed(TURKEY, CRUST).pdf)
    assert pdf.get_metadata_value("Title") == f"Pocket sheet, {TURKEY} and {CRUST}"
    assert pdfium.FPDFCatalog_IsTagged(pdf.raw)


def test_the_same_sheet_is_the_same_bytes(printed):
    assert printed().pdf == printed().pdf


def test_a_club_whose_name_cannot_be_drawn_is_told(printed):
    with pytest.raises(PaperError, match="森"):
        printed(institution="森 Group")


def test_an_unknown_paper_is_refused(printed):
    with pytest.raises(PaperError, match="a4, us-letter"):
        printed(paper="a5")
