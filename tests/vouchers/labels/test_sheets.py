import pytest

from tests.vouchers.labels.making import MAKERS
from vouchers.labels.sheets import PAPERS, SHEET_TITLES, SHEETS, CutSheet, PacketSheet, SheetError, find_sheet
from vouchers.labels.sizes import BOX_LABEL, CALLED, DOT_203_MM, TUBE_LABEL
from vouchers.printing.kinds import KIND_OF

ALL = [SHEETS[sheet][paper] for sheet in SHEETS for paper in SHEETS[sheet]]
PACKETS = list(SHEETS["packet"].values())


def test_every_sheet_has_a_label_that_the_tests_print_on_it():
    assert set(SHEETS) - set(MAKERS) == set()


def test_every_label_that_is_kept_has_a_name_that_takes_an_s():
    assert set(KIND_OF.values()) | {"tray"} == set(CALLED)
    assert {sheet.size.called for sheet in ALL} <= set(CALLED.values())


@pytest.mark.parametrize("sheet", [sheet for sheet in ALL if isinstance(sheet, CutSheet)])
def test_labels_leave_the_edge_that_printers_cannot_reach(sheet):
    # 5 mm, the marks inside it excepted: common practice, no source
    assert sheet.left_mm >= 6.9
    assert sheet.top_mm >= 7


@pytest.mark.parametrize("sheet", PACKETS)
def test_the_pocket_is_just_over_a_third_of_the_sheet(sheet: PacketSheet):
    # Florida Museum herbarium, fragment packets: bottom fold just over a third, sides 25 to 32 mm
    assert 1 / 3 < sheet.pocket_mm / sheet.paper.height_mm < 0.36
    assert 25 <= sheet.side_mm <= 32


@pytest.mark.parametrize("sheet", PACKETS)
def test_the_flap_covers_nearly_the_whole_pocket_and_holds_the_label(sheet: PacketSheet):
    assert 0 < sheet.pocket_mm - sheet.flap_mm < 10
    assert sheet.size.height_mm < sheet.flap_mm
    assert sheet.left_mm > sheet.side_mm


@pytest.mark.parametrize("sheet", [sheet for sheet in ALL if sheet.size is not BOX_LABEL])
def test_no_label_is_larger_than_the_trade_wants(sheet):
    # Royal Botanic Garden Edinburgh: about 10 x 10 cm at most; Florida Museum: slip about 25 x 100 mm
    assert sheet.size.width_mm <= 100
    assert sheet.size.height_mm <= (25 if sheet.size.kind == "slip" else 100)


@pytest.mark.parametrize("sheet", ALL)
def test_no_type_is_under_8_points_and_no_name_under_12(sheet):
    # What is largest on a tube is no name but the suffix of the part.
    least = 8 if sheet.size is TUBE_LABEL else 12
    assert all(step.text_pt >= 8 and step.name_pt >= least for step in sheet.size.steps)


def test_every_sheet_has_a_title_and_is_there_for_every_paper():
    assert set(SHEET_TITLES) == set(SHEETS)
    assert all(set(papers) == set(PAPERS) for papers in SHEETS.values())


@pytest.mark.parametrize(
    ("sheet", "paper", "named"), [("stickers", "a4", "labels-96x92"), ("packet", "a5", "us-letter")]
)
def test_an_unknown_sheet_or_paper_is_refused_with_the_ones_there_are(sheet, paper, named):
    with pytest.raises(SheetError, match=named):
        find_sheet(sheet, paper)


def test_a_module_of_a_tube_s_code_and_its_edge_are_whole_dots_of_a_printer_of_labels():
    for length_mm in (TUBE_LABEL.module_mm, TUBE_LABEL.edge_mm):
        assert length_mm / DOT_203_MM == pytest.approx(round(length_mm / DOT_203_MM))


@pytest.mark.parametrize("sheet", ALL)
def test_every_label_stands_on_its_paper(sheet):
    right = max(left for left, _ in sheet.places) + sheet.size.width_mm
    foot = max(top for _, top in sheet.places) + sheet.size.height_mm
    assert right <= sheet.paper.width_mm and foot <= sheet.paper.height_mm
