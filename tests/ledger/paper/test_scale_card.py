from itertools import pairwise

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from ledger.measuring.card import CHECK_WORDS, KINDS, MARKER_BITS, MODULES
from ledger.paper.papers import PAPERS
from ledger.paper.scale_card import ScaleCard, places_on, print_cards
from ledger.paper.text import CAUTION, PaperError
from tests.ledger.paper.making import MADE_AT, codes_on, page_count, picture_of, size_mm, text_of

DOTS = 600
EVERY = [(kind, paper) for kind in KINDS for paper in PAPERS]


def printed(kind="small", paper="a4", *cards, institution="Hollin Fungus Group"):
    made = print_cards(kind, paper, cards=cards, institution=institution, made_at=MADE_AT)
    assert made.refused == ()
    assert made.pdf is not None
    return made.pdf


def numbered(*serials):
    return [
        ScaleCard(number=f"AT {serial}", code=f"https://ledger.example.org/q/AT-{serial}")
        for serial in serials
    ]


class Sheet:
    """A printed page as a raster; its card `at` looked at in mm from that card's upper left corner."""

    def __init__(self, pdf, kind, paper, at=0):
        self.grey = np.asarray(picture_of(pdf, DOTS))
        self.left, self.top = places_on(KINDS[kind], PAPERS[paper])[at]

    def row(self, y, start, end):
        """The greys along a horizontal line, and the place in mm of each."""
        line = self.grey[self._dot(self.top + y), self._dot(self.left + start) : self._dot(self.left + end)]
        return line, (np.arange(len(line)) + 0.5) * 25.4 / DOTS + self._dot(
            self.left + start
        ) * 25.4 / DOTS - self.left

    def column(self, x, start, end):
        line = self.grey[self._dot(self.top + start) : self._dot(self.top + end), self._dot(self.left + x)]
        return line, (np.arange(len(line)) + 0.5) * 25.4 / DOTS + self._dot(
            self.top + start
        ) * 25.4 / DOTS - self.top

    def grey_at(self, x, y):
        return int(self.grey[self._dot(self.top + y), self._dot(self.left + x)])

    @staticmethod
    def _dot(mm):
        return round(mm * DOTS / 25.4)


def dark_stretches(line, places):
    """Beginning and end in mm of each dark stretch."""
    step = 25.4 / DOTS
    dark = places[line < 128]
    if not len(dark):
        return []
    breaks = [0, *(at + 1 for at, (a, b) in enumerate(pairwise(dark)) if b - a > 1.5 * step), len(dark)]
    return [(dark[a] - step / 2, dark[b - 1] + step / 2) for a, b in pairwise(breaks)]


@pytest.mark.parametrize(("kind", "paper"), EVERY)
def test_a_sheet_has_the_size_of_its_paper(kind, paper):
    wanted = (PAPERS[paper].width_mm, PAPERS[paper].height_mm)
    assert size_mm(printed(kind, paper)) == pytest.approx(wanted, abs=0.05)


def test_eight_small_or_two_large_cards_fill_a_sheet():
    many = {(kind, paper): len(places_on(KINDS[kind], PAPERS[paper])) for kind, paper in EVERY}
    assert many == {(kind, paper): 8 if kind == "small" else 2 for kind, paper in EVERY}
    assert page_count(printed("small", "a4", *numbered(*range(9)))) == 2


@pytest.mark.parametrize(("kind", "paper"), EVERY)
def test_no_card_is_printed_over_the_edge_that_printers_leave_white(kind, paper):
    for left, top in places_on(KINDS[kind], PAPERS[paper]):
        assert min(left, top) >= 5
        assert left + KINDS[kind].width_mm <= PAPERS[paper].width_mm - 5
        assert top + KINDS[kind].height_mm <= PAPERS[paper].height_mm - 5


@pytest.mark.parametrize(("kind", "paper"), EVERY)
def test_every_marker_lies_where_the_table_says_to_a_fifth_of_a_millimetre(kind, paper):
    sheet = Sheet(printed(kind, paper), kind, paper, at=-1)
    for marker in KINDS[kind].markers:
        inside = marker.side_mm / (MODULES + 2) / 2  # along the black border
        (across,) = dark_stretches(
            *sheet.row(marker.y_mm + inside, marker.x_mm - 1, marker.x_mm + marker.side_mm + 1)
        )
        (down,) = dark_stretches(
            *sheet.column(marker.x_mm + inside, marker.y_mm - 1, marker.y_mm + marker.side_mm + 1)
        )
        assert across == pytest.approx((marker.x_mm, marker.x_mm + marker.side_mm), abs=0.08)
        assert down == pytest.approx((marker.y_mm, marker.y_mm + marker.side_mm), abs=0.08)


@pytest.mark.parametrize("kind", KINDS)
def test_every_marker_shows_its_own_modules(kind):
    sheet = Sheet(printed(kind), kind, "a4")
    for marker in KINDS[kind].markers:
        module = marker.side_mm / (MODULES + 2)
        seen = "".join(
            str(int(sheet.grey_at(marker.x_mm + (x + 1.5) * module, marker.y_mm + (y + 1.5) * module) > 128))
            for y in range(MODULES)
            for x in range(MODULES)
        )
        assert seen == MARKER_BITS[marker.id]


def test_no_hair_of_white_runs_through_the_black_of_a_marker():
    sheet = Sheet(printed(), "small", "a4")
    marker = KINDS["small"].markers[0]
    line, _ = sheet.row(marker.y_mm + 1.0, marker.x_mm + 0.2, marker.x_mm + marker.side_mm - 0.2)
    assert line.max() < 20


@pytest.mark.parametrize(("kind", "paper"), EVERY)
def test_both_scales_have_a_mark_for_each_millimetre(kind, paper):
    sheet = Sheet(printed(kind, paper), kind, paper)
    for edge in KINDS[kind].scales:
        y = edge.y_mm + (0.8 if edge.down else -0.8)
        marks = dark_stretches(*sheet.row(y, edge.x_mm - 1, edge.x_mm + edge.length_mm + 1))
        middles = [(begin + end) / 2 for begin, end in marks]
        assert middles == pytest.approx([edge.x_mm + mm for mm in range(edge.length_mm + 1)], abs=0.06)


@pytest.mark.parametrize(("kind", "paper"), EVERY)
def test_the_check_line_is_fifty_millimetres_long(kind, paper):
    sheet = Sheet(printed(kind, paper), kind, paper, at=1)
    check = KINDS[kind].check
    # Across the end marks, just below the line itself.
    marks = dark_stretches(*sheet.row(check.y_mm + 0.9, check.x_mm - 2, check.x_mm + 52))
    (first, last) = [(begin + end) / 2 for begin, end in marks]
    assert last - first == pytest.approx(50.0, abs=0.06)
    (line,) = dark_stretches(*sheet.row(check.y_mm, check.x_mm - 2, check.x_mm + 52))
    assert line == pytest.approx((check.x_mm, check.x_mm + 50.0), abs=0.15)


@pytest.mark.parametrize("kind", KINDS)
def test_each_grey_is_printed_as_the_table_has_it(kind):
    sheet = Sheet(printed(kind), kind, "a4")
    for patch in KINDS[kind].greys:
        box = patch.box
        assert sheet.grey_at(box.x_mm + box.width_mm / 2, box.y_mm + box.height_mm / 2) == pytest.approx(
            patch.level, abs=1
        )
        across = sheet.row(box.y_mm + 1, box.x_mm - 0.4, box.x_mm + box.width_mm + 0.4)
        inked = across[1][across[0] < (patch.level + 255) / 2]
        assert (inked.min(), inked.max()) == pytest.approx((box.x_mm, box.x_mm + box.width_mm), abs=0.1)


def test_cut_marks_stand_at_the_corners_and_outside_the_card():
    sheet = Sheet(printed(), "small", "a4")
    (mark,) = dark_stretches(*sheet.column(0.0, -4.0, 0.5))
    assert mark == pytest.approx((-3.2, -0.8), abs=0.1)
    (mark,) = dark_stretches(*sheet.row(0.0, -4.0, 0.5))
    assert mark == pytest.approx((-3.2, -0.8), abs=0.1)


@pytest.mark.parametrize("kind", KINDS)
def test_each_code_reads_as_the_address_of_its_own_number(kind):
    serials = (57, 58)
    assert codes_on(printed(kind, "a4", *numbered(*serials))) == [
        f"https://ledger.example.org/q/AT-{serial}" for serial in serials
    ]


def test_a_card_without_a_number_has_neither_number_nor_code():
    pdf = printed()
    assert "AT" not in text_of(pdf)
    assert codes_on(pdf) == []
    assert text_of(pdf).count("collecting number") == 8


def test_every_card_asks_for_its_line_to_be_measured():
    assert text_of(printed()).count(CHECK_WORDS) == 8


def test_the_margin_says_how_to_print_and_carries_the_caution_once():
    text = text_of(printed())
    assert text.count("Print at 100 %") == text.count(CAUTION) == 1


def test_the_ink_is_black_and_grey_only():
    page = (
        pypdfium2.PdfDocument(printed("small", "a4", *numbered(1)))[0].render(scale=2).to_pil().convert("RGB")
    )
    red, green, blue = (np.asarray(band).astype(int) for band in page.split())
    assert max(np.abs(red - green).max(), np.abs(green - blue).max()) <= 1


def test_the_pdf_is_tagged_and_says_what_it_is():
    pdf = pypdfium2.PdfDocument(printed())
    assert pdf.get_metadata_value("Title") == "Scale cards, 85 × 54 mm"
    assert pdfium.FPDFCatalog_IsTagged(pdf.raw)


def test_the_same_cards_make_the_same_bytes():
    assert printed("large", "a4", *numbered(7)) == printed("large", "a4", *numbered(7))


def test_a_long_number_goes_to_smaller_type_and_stays_whole():
    assert "WWWWWW 2147483647" in text_of(printed("small", "a4", ScaleCard(number="WWWWWW 2147483647")))


def test_a_number_wider_than_its_field_is_refused_by_name_and_the_others_are_printed():
    made = print_cards("small", "a4", cards=[ScaleCard(number="W" * 40), *numbered(2)], made_at=MADE_AT)
    assert [(refusal.number, "wider than its field" in refusal.sentence) for refusal in made.refused] == [
        ("W" * 40, True)
    ]
    assert made.pdf is not None
    assert "AT 2" in text_of(made.pdf)


def test_an_address_too_long_for_its_code_is_refused():
    made = print_cards("small", "a4", cards=[ScaleCard(number="AT 1", code="x" * 300)], made_at=MADE_AT)
    assert made.pdf is None
    assert "Shorten the ledger's address" in made.refused[0].sentence


@pytest.mark.parametrize(("kind", "paper"), [("huge", "a4"), ("small", "a3")])
def test_a_card_or_a_paper_that_is_not_there_is_refused_with_those_that_are(kind, paper):
    with pytest.raises(PaperError, match=r"Choose one of (small, large|a4, us-letter)"):
        print_cards(kind, paper, made_at=MADE_AT)


@pytest.mark.parametrize(("name", "why"), [("森", "cannot draw"), ("W" * 60, "wider than")])
def test_a_club_whose_name_cannot_be_printed_is_told_so(name, why):
    with pytest.raises(PaperError, match=why):
        print_cards("small", "a4", institution=name, made_at=MADE_AT)


def test_a_sheet_without_a_zone_in_its_date_is_refused():
    with pytest.raises(PaperError, match="time zone"):
        print_cards("small", "a4", made_at=MADE_AT.replace(tzinfo=None))
