from dataclasses import replace
from itertools import pairwise

import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from ledger.paper.papers import PAPERS
from ledger.paper.slip_rows import slip_rows
from ledger.paper.slips import places_on, print_slips
from ledger.paper.text import CAUTION, PaperError
from tests.ledger.paper.making import (
    MADE_AT,
    codes_on,
    make_slip,
    page_count,
    picture_of,
    print_them,
    size_mm,
    text_of,
    vocabulary,
)


def pdf_of(*slips, paper="a4"):
    printed = print_them(*slips, paper=paper)
    assert printed.refused == ()
    assert printed.pdf is not None
    return printed.pdf


@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_has_the_size_of_its_paper(paper):
    wanted = (PAPERS[paper].width_mm, PAPERS[paper].height_mm)
    assert size_mm(pdf_of(make_slip(), paper=paper)) == pytest.approx(wanted, abs=0.05)


def test_four_slips_stand_on_a_sheet():
    pdf = pdf_of(*[make_slip(serial) for serial in range(57, 66)])
    assert page_count(pdf) == 3
    assert [f"AT {serial} " in text_of(pdf, 1) for serial in (60, 61, 64, 65)] == [False, True, True, False]


@pytest.mark.parametrize("paper", PAPERS)
def test_each_code_reads_as_the_address_of_its_own_number_at_300_dots(paper):
    pdf = pdf_of(*[make_slip(serial) for serial in range(57, 61)], paper=paper)
    assert codes_on(pdf) == [f"https://ledger.example.org/q/AT-{serial}" for serial in range(57, 61)]


def test_the_rows_stand_in_the_order_hands_do_things():
    text = text_of(pdf_of(make_slip()))
    words = [
        *(
            "AT 57",
            "Ada Thorne",
            "Underside",
            "Bending",
            "Cap surface",
            "Zones",
            "It is",
            "Colours",
            "Cap width",
        ),
        *(
            "Pores",
            "Smells",
            "Wood",
            "Host",
            "decay class",
            "Date",
            "Position",
            "Photos",
            "Name, for now",
            "kept",
        ),
    ]
    # "Pores" is the word under a picture before it is that of a blank.
    found = [text.rindex(word) if word == "Pores" else text.index(word) for word in words]
    assert found == sorted(found)


def test_every_state_of_a_trait_of_the_slip_that_is_no_colour_can_be_ticked():
    text = text_of(pdf_of(make_slip())).lower()
    missing = [
        state.label
        for trait in vocabulary().traits.values()
        if trait.on_slip and trait.kind == "states"
        for state in trait.states
        if not state.icon.startswith("colour-") and state.label.lower() not in text
    ]
    assert missing == []


def test_the_specimen_s_state_and_age_have_the_boxes_of_the_form():
    text = text_of(pdf_of(make_slip()))
    assert [
        word for word in ("fresh", "moist", "air-dry", "young", "mature", "old") if word not in text
    ] == []


def test_the_caution_and_the_word_on_the_scale_stand_on_every_slip():
    text = text_of(pdf_of(make_slip(1), make_slip(2)))
    assert text.count(CAUTION) == 2
    assert text.count("printers scale") == 2


@pytest.mark.parametrize("paper", PAPERS)
def test_the_scale_at_the_cut_edge_has_a_mark_for_each_millimetre(paper):
    dots = 1200
    picture = picture_of(pdf_of(make_slip(), paper=paper), dots)
    left, top = places_on(PAPERS[paper])[0]
    dot = 25.4 / dots
    y = round((top + 1.2) / dot)
    start, end = round((left + 3.0) / dot), round((left + 74.2) / dot)
    row = picture.crop((start, y, end, y + 1)).tobytes()
    dark = [at for at, grey in enumerate(row) if grey < 160]
    stretches = [[dark[0]]]
    for before, after in pairwise(dark):
        if after - before > 3:
            stretches.append([])
        stretches[-1].append(after)
    marks = [(stretch[0] + stretch[-1] + 1) / 2 * dot for stretch in stretches]
    assert len(marks) == 71
    assert [mark - marks[0] for mark in marks] == pytest.approx(range(71), abs=0.06)


def test_no_slip_is_printed_over_the_edge_that_printers_leave_white():
    for paper in PAPERS.values():
        (left, top), (right, bottom) = places_on(paper)[0], places_on(paper)[3]
        # The scale at the top of a slip needs its own edge; 5 mm is what common printers can do.
        assert min(left, top) >= 5
        assert right + 98 <= paper.width_mm - 5
        assert bottom < paper.height_mm - 5


def test_the_ink_is_black_only():
    page = pypdfium2.PdfDocument(pdf_of(make_slip()))[0].render(scale=2).to_pil().convert("RGB")
    red, green, blue = page.split()
    assert red.tobytes() == green.tobytes() == blue.tobytes()


def test_the_pdf_is_tagged_and_says_what_it_is():
    pdf = pypdfium2.PdfDocument(pdf_of(make_slip(57), make_slip(58)))
    assert pdf.get_metadata_value("Title") == "Data slips, AT 57 to AT 58"
    assert pdfium.FPDFCatalog_IsTagged(pdf.raw)


def test_the_same_slips_make_the_same_bytes():
    assert pdf_of(make_slip()) == pdf_of(make_slip())


def test_a_finder_whose_name_has_no_room_is_refused_by_number_and_the_others_are_printed():
    printed = print_them(
        make_slip(1, finder="Maximiliana Featherstonehaugh-Cholmondeley of Wester Ross"), make_slip(2)
    )
    assert [refusal.number for refusal in printed.refused] == ["AT 1"]
    assert "finder's name" in printed.refused[0].sentence
    assert printed.pdf is not None
    assert "AT 2" in text_of(printed.pdf)


def test_signs_no_print_font_has_are_named():
    printed = print_them(make_slip(finder="Ada 森"))
    assert printed.pdf is None
    assert "森 (U+68EE)" in printed.refused[0].sentence


def test_a_long_number_goes_to_smaller_type_and_stays_whole():
    number = "WWWWWW 2147483647"
    assert number in text_of(pdf_of(make_slip(number=number)))


def test_a_long_name_of_the_club_gives_way():
    assert "Ada Thorne" in text_of(pdf_of(make_slip(institution="The Fungus Group of " + "Hollin " * 20)))


def test_a_code_too_fine_to_be_read_is_refused():
    printed = print_them(make_slip(code="https://ledger.example.org/" + "x" * 200))
    assert "Shorten the ledger's address" in printed.refused[0].sentence


def test_no_slip_at_all_is_refused():
    with pytest.raises(PaperError, match="Choose how many"):
        print_slips([], vocabulary(), "a4", made_at=MADE_AT)


def test_an_unknown_paper_is_refused_with_those_there_are():
    with pytest.raises(PaperError, match="a4, us-letter"):
        print_slips([make_slip()], vocabulary(), "a5", made_at=MADE_AT)


def test_a_date_without_its_zone_is_refused():
    with pytest.raises(PaperError, match="time zone"):
        print_slips([make_slip()], vocabulary(), "a4", made_at=MADE_AT.replace(tzinfo=None))


def test_a_trait_before_more_readings_on_the_form_takes_no_room_on_the_slip():
    one_more = replace(vocabulary().traits["consistency"], short_form=True)
    traits = {**vocabulary().traits, "consistency": one_more}
    assert slip_rows(replace(vocabulary(), traits=traits)) == slip_rows(vocabulary())
