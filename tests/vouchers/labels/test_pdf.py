from datetime import datetime

import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from ledger.paper.text import CAUTION, PaperError
from tests.vouchers.labels.making import MADE_AT, MAKERS, make_cut, make_label, make_slip, print_one, text_of
from vouchers.labels.content import LabelError
from vouchers.labels.pdf import render
from vouchers.labels.sheets import SHEETS, SheetError

LONG = ("pores grey, darkening slowly when pressed",) * 40


BEFORE = (("Trametes versicolor", True), (", L. Crabbe, 14 Nov 2026", False))


def pages(printed):
    return len(pypdfium2.PdfDocument(printed.pdf))


def embedded(printed):
    """For each text on the first page, whether its font is in the file."""
    page = pypdfium2.PdfDocument(printed.pdf)[0]  # kept until the end: its objects die with it
    objects = list(page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]))
    return [pdfium.FPDFFont_GetIsEmbedded(pdfium.FPDFTextObj_GetFont(item.raw)) == 1 for item in objects]


def type_sizes(printed):
    textpage = pypdfium2.PdfDocument(printed.pdf)[0].get_textpage()
    text = textpage.get_text_range()
    return {
        round(pdfium.FPDFText_GetFontSize(textpage.raw, at), 2)
        for at in range(len(text))
        if not text[at].isspace()
    }


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("sheet", SHEETS)
def test_every_sheet_prints_and_has_the_size_of_its_paper(sheet, paper):
    printed = print_one(MAKERS[sheet](), sheet, paper)
    width, height = pypdfium2.PdfDocument(printed.pdf)[0].get_size()
    expected = SHEETS[sheet][paper].paper
    assert not printed.refused
    assert (width * 25.4 / 72, height * 25.4 / 72) == pytest.approx(
        (expected.width_mm, expected.height_mm), abs=0.05
    )


def test_a_chosen_list_fills_its_sheets_in_order():
    labels = [make_label(accession_number=f"TFG 2026-{serial:04}") for serial in range(1, 14)]
    printed = render(labels, "labels-96x92", "a4", made_at=MADE_AT)
    assert pages(printed) == 3
    assert [f"TFG 2026-{n:04}" in text_of(printed, 1) for n in (6, 7, 12, 13)] == [False, True, True, False]


def test_each_packet_is_a_sheet_of_its_own():
    assert pages(render([make_label(), make_label()], "packet", "a4", made_at=MADE_AT)) == 2


def test_a_label_that_does_not_fit_is_named_and_the_others_are_printed():
    labels = [make_label(), make_label(accession_number="TFG 2026-0119", fresh=LONG)]
    printed = render(labels, "labels-96x92", "a4", made_at=MADE_AT)
    (refusal,) = printed.refused
    assert (refusal.accession_number, refusal.line) == ("TFG 2026-0119", "Fresh")
    assert "TFG 2026-0119" in refusal.sentence and "mm too tall" in refusal.sentence
    assert "TFG 2026-0118" in text_of(printed) and "TFG 2026-0119" not in text_of(printed)


def test_the_label_after_a_refused_one_takes_its_place():
    labels = [make_label(fresh=LONG)] + [make_label(accession_number=f"TFG 2026-{n:04}") for n in range(1, 7)]
    assert pages(render(labels, "labels-96x92", "a4", made_at=MADE_AT)) == 1


def test_a_refusal_quotes_the_longest_reading_of_the_longest_line():
    long = "underside grey, darkening slowly where it was pressed with the nail"
    (refusal,) = print_one(make_label(fresh=("zoned", long, *("cap grey",) * 90))).refused
    assert f"Shorten the reading “{long[:60].rstrip()}…”" in refusal.sentence


@pytest.mark.parametrize(
    ("field", "line", "shorten"),
    [
        ("near", "Near", "the trees nearby"),
        ("permit", "Permission", "the permission"),
        ("determined_basis", "Det.", "the grounds"),
    ],
)
def test_a_refusal_names_the_field_to_shorten(field, line, shorten):
    (refusal,) = print_one(make_label(**{field: "oak and ash " * 60})).refused
    assert refusal.line == line and f"Shorten {shorten}" in refusal.sentence


def test_the_earlier_name_stands_under_the_determination():
    text = text_of(print_one(make_label(earlier=BEFORE)))
    assert "pores, flesh line and spores earlier: Trametes versicolor, L. Crabbe, 14 Nov 2026" in text


def test_the_earlier_name_gives_way_where_it_does_not_fit():
    grounds = "pores, flesh and spores measured and compared with two named specimens of the same wood " * 2
    for count in range(8, 60):
        told = {"fresh": ("pores grey when pressed",) * count, "determined_basis": grounds}
        if print_one(make_label(**told)).refused:
            break
        with_earlier = print_one(make_label(**told, earlier=BEFORE))
        assert not with_earlier.refused
    assert "earlier:" not in text_of(with_earlier)


def test_a_sign_that_cannot_be_printed_in_a_collectors_name_stops_its_slip():
    (refusal,) = print_one(make_slip(collector="日 Rigg"), "slips").refused
    assert refusal.line == "Coll."


def test_a_long_institution_leaves_the_head_of_a_slip_on_one_line():
    long = "The Old Society of Students of Bracket Fungi of the Northern Dales"
    assert text_of(print_one(make_slip(institution=long), "slips")).startswith("Determination TFG 2026-0118")


def test_a_slip_of_a_collector_with_a_very_long_name_keeps_the_collecting_number():
    text = text_of(print_one(make_slip(collector="Maximiliane " * 9), "slips"))
    assert text.endswith("Coll. MR 118")


def test_where_no_label_fits_there_is_no_pdf():
    printed = print_one(make_label(fresh=LONG))
    assert printed.pdf is None
    assert len(printed.refused) == 1


def test_a_sign_that_cannot_be_printed_names_label_line_and_sign():
    (refusal,) = print_one(make_label(near="near 日 wood")).refused
    assert (refusal.accession_number, refusal.line) == ("TFG 2026-0118", "Near")
    assert "U+65E5" in refusal.sentence


def test_a_code_that_is_too_fine_names_its_label():
    (refusal,) = print_one(make_label(code="x" * 300)).refused
    assert (refusal.accession_number, refusal.line) == ("TFG 2026-0118", "Code")


def test_refusals_come_in_the_order_of_the_labels():
    labels = [
        make_label(accession_number="TFG 2026-0003", fresh=LONG),
        make_label(accession_number="TFG 2026-0001", near="日"),
        make_label(accession_number="TFG 2026-0002", fresh=LONG),
    ]
    refused = render(labels, "labels-98x88", "us-letter", made_at=MADE_AT).refused
    assert [refusal.accession_number[-1] for refusal in refused] == ["3", "1", "2"]


def test_no_type_is_under_8_points_and_the_name_is_the_largest():
    sizes = type_sizes(print_one(make_label(fresh=("pores 6–7 per mm, grey when pressed",) * 8)))
    assert min(sizes) >= 7.99
    assert max(sizes) >= 12


def test_a_text_a_little_too_long_for_one_size_goes_down_and_is_printed_whole():
    fresh = tuple(f"note {n} of the fresh cap, grey" for n in range(11))
    printed = print_one(make_label(fresh=fresh))
    assert not printed.refused
    assert "; ".join(fresh) in text_of(printed)


def test_all_fonts_are_inside_the_file():
    found = embedded(print_one(make_label(place=("берег → реки ♀",))))
    assert len(found) > 10
    assert all(found)


def test_the_file_says_that_it_is_for_keeping_and_for_reading_aloud():
    pdf = print_one(make_label()).pdf
    assert pdf is not None
    assert b"<pdfaid:part>2</pdfaid:part><pdfaid:conformance>A</pdfaid:conformance>" in pdf
    assert b"<pdfuaid:part>1</pdfuaid:part>" in pdf


def test_the_file_is_tagged_and_titled_with_its_numbers():
    document = pypdfium2.PdfDocument(
        render([make_label(), make_slip()][:1], "packet", "a4", made_at=MADE_AT).pdf
    )
    assert document.is_tagged()
    assert document.get_metadata_value("Title") == "Packet labels, TFG 2026-0118"


def test_the_same_labels_give_the_same_bytes():
    assert print_one(make_label()).pdf == print_one(make_label()).pdf


@pytest.mark.parametrize("sheet", ["packet", "labels-96x92", "labels-98x88"])
def test_every_packet_label_carries_the_caution(sheet):
    assert CAUTION in text_of(print_one(make_label(), sheet))


@pytest.mark.parametrize(
    "typed", ["#eval(1+1)", '#read("run.json")', "$x^2$ *a* _b_ `c`", "= Head", "\\u{41} </text> & <b>"]
)
def test_data_stays_text(typed):
    assert f"Near {typed}" in text_of(print_one(make_label(near=typed)))


def test_a_label_with_nothing_but_its_number_prints():
    determined = ("institution", "authority", "determined_by", "determined_on", "determined_basis")
    collected = ("collector", "collecting_number", "collected_on")
    empty = dict.fromkeys(determined + collected, "")
    printed = print_one(make_slip(name=(), **empty), "slips")
    assert text_of(printed) == "Determination TFG 2026-0118"


def test_a_slip_sheet_takes_no_packet_labels_and_the_other_way_round():
    with pytest.raises(SheetError, match="DeterminationSlip"):
        print_one(make_label(), "slips")
    with pytest.raises(SheetError, match="PacketLabel"):
        print_one(make_slip(), "packet")


def test_an_empty_list_is_refused_with_what_to_do():
    with pytest.raises(LabelError, match="Choose at least one"):
        render([], "packet", "a4", made_at=MADE_AT)


def test_a_date_without_a_zone_is_refused():
    with pytest.raises(PaperError, match="time zone"):
        render([make_label()], "packet", "a4", made_at=datetime(2026, 11, 25))  # noqa: DTZ001


def test_the_head_of_a_slip_stands_on_one_line_or_its_first_word_gives_way():
    for institution in (
        "Wenlow Vale Bracket Club",
        "Tarnside Fungus Group",
        "Illicit Lichen Hill Society, Lillith",
    ):
        for make, sheet in ((make_cut, "annotations"), (make_slip, "slips")):
            printed = print_one(make(accession_number="WVB 2024-0006", institution=institution), sheet)
            page = pypdfium2.PdfDocument(printed.pdf)[0].get_textpage()
            text = page.get_text_range()
            first, last = text.casefold().index(institution.split()[0].casefold()), text.index("WVB")
            tops = {
                round(page.get_charbox(at)[1])
                for at in range(first, first + len(institution))
                if text[at].isupper()
            }
            assert len(tops) == 1, (institution, sheet, text[first:last])


def test_a_slip_of_what_was_cut_tells_whose_name_it_bears():
    text = text_of(print_one(make_cut(), "annotations"))
    assert "Bjerkandera adusta (Willd.) P. Karst. det. A. Thornley, 2 Nov 2026" in text
