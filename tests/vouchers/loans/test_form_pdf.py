from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
import zxingcpp

from ledger.paper.papers import PAPERS
from ledger.paper.text import PaperError
from tests.vouchers.loans.forms_for_print import SHORT, long_form
from vouchers.loans.form_pdf import print_form
from vouchers.loans.terms import NO_SAMPLING

AT = datetime(2026, 11, 2, 10, 0, tzinfo=UTC)


def pages_of(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


def codes_of(pdf: bytes) -> list[str]:
    """What an outside reader finds on the pages at 300 dpi, from the top."""
    found = []
    for page in pypdfium2.PdfDocument(pdf):
        picture = np.asarray(page.render(scale=300 / 72).to_pil().convert("L"))
        codes = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
        found += [code.text for code in sorted(codes, key=lambda code: code.position.top_left.y)]
    return found


@pytest.mark.parametrize("paper", PAPERS)
class TestOnEachPaper:
    def test_the_sheet_is_as_large_as_the_paper(self, paper: str) -> None:
        page = pypdfium2.PdfDocument(print_form(SHORT, paper, made_at=AT))[0]
        width, height = (side / 72 * 25.4 for side in page.get_size())
        assert abs(width - PAPERS[paper].width_mm) < 0.2
        assert abs(height - PAPERS[paper].height_mm) < 0.2

    def test_twenty_specimens_stand_there_each_with_its_code(self, paper: str) -> None:
        form = long_form(20)
        pdf = print_form(form, paper, made_at=AT)
        assert codes_of(pdf) == [item.number for item in form.items]
        text = " ".join(pages_of(pdf))
        assert all(f"{item.number} {item.kind} Hymenochaetopsis tabacina" in text for item in form.items)

    def test_every_page_says_which_it_is_of_how_many(self, paper: str) -> None:
        pages = pages_of(print_form(long_form(20), paper, made_at=AT))
        assert [f"Loan L2026-003, page {n} of {len(pages)}" in page for n, page in enumerate(pages, 1)] == [
            True
        ] * len(pages)

    def test_nothing_is_printed_beyond_the_margins(self, paper: str) -> None:
        for page in pypdfium2.PdfDocument(print_form(long_form(7), paper, made_at=AT)):
            ink = np.asarray(page.render(scale=100 / 72).to_pil().convert("L")) < 200
            edge = 15 * 100 // 25  # 15 mm
            assert not ink[:, :edge].any()
            assert not ink[:, -edge:].any()


def test_it_says_who_what_until_when_and_on_what_terms() -> None:
    (text,) = pages_of(print_form(SHORT, "a4", made_at=AT))
    for said in (
        "Herbarium of Fenwick",
        "Prof. Ines Dahl",
        "4 Mill Lane",
        "Tom Weir",
        "Revision of Trametes",
        "2 specimens, 2 November 2026",
        "2 May 2027",
        "two caps, margin chipped",
        "no permit on record",
        "condition not noted when it left",
        "C2026-001 of 2 November 2026",
        "8. All is returned by the due date",
        "signature of the borrower’s head",
        "A record of a find; never a reason to eat one.",
    ):
        assert said in text


def test_no_leave_to_cut_is_implied() -> None:
    (text,) = pages_of(print_form(replace(SHORT, items=SHORT.items[:1]), "a4", made_at=AT))
    assert NO_SAMPLING in text
    assert "leave was granted" not in text


def test_all_fonts_are_inside_the_file() -> None:
    page = pypdfium2.PdfDocument(print_form(SHORT, "a4", made_at=AT))[0]
    texts = [item for item in page.get_objects() if item.type == pdfium.FPDF_PAGEOBJ_TEXT]
    assert texts
    assert all(pdfium.FPDFFont_GetIsEmbedded(pdfium.FPDFTextObj_GetFont(item.raw)) == 1 for item in texts)


def test_signs_that_cannot_be_drawn_are_refused_by_name() -> None:
    with pytest.raises(PaperError, match="“敷島 Herbarium” holds 敷島"):
        print_form(replace(SHORT, institution="敷島 Herbarium"), "a4", made_at=AT)


def test_no_other_paper_is_known() -> None:
    with pytest.raises(PaperError, match="no paper 'a3'"):
        print_form(SHORT, "a3", made_at=AT)
