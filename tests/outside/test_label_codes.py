"""The codes read back by a reader, and lengths measured, on the picture of the printed page.

Reader: zxing-cpp's reader on a raster of 300 dots per inch (a common office printer). OpenCV's reader, an
independent one, joins in where it is installed. Sizes: vouchers/labels/sheets.py against the raster; a
QR code of version 1 has 21 modules and four white ones on each side (ISO/IEC 18004).
"""

from itertools import pairwise

import pypdfium2
import pytest
import zxingcpp

from tests.vouchers.labels.making import MADE_AT, make_label, make_slip, picture_of, print_one
from vouchers.labels.pdf import render
from vouchers.labels.sheets import SHEETS

ADDRESS = "https://ledger.tarnside.example/vouchers/TFG-2026-0118"
FINE = 600  # dots per inch for measuring: a dot is 0.04 mm


def read_codes(picture):
    return [code.text for code in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)]


def marks_mm(picture, *, across, at_mm, from_mm=0.0, to_mm=None):
    """Middles of the dark stretches along a line of the page, in millimetres from its start."""
    dot = 25.4 / FINE
    width, height = picture.size
    length = width if across else height
    spot = round(at_mm / dot)
    row = picture.crop((0, spot, width, spot + 1) if across else (spot, 0, spot + 1, height)).tobytes()
    first, last = round(from_mm / dot), length if to_mm is None else round(to_mm / dot)
    dark = [at for at in range(first, last) if row[at] < 160]
    stretches = [[dark[0]]] if dark else []
    for before, after in pairwise(dark):
        if after - before > 3:
            stretches.append([])
        stretches[-1].append(after)
    return [(stretch[0] + stretch[-1] + 1) / 2 * dot for stretch in stretches]


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
@pytest.mark.parametrize("sheet", ["packet", "labels-96x92", "labels-98x88"])
def test_the_code_reads_as_the_accession_number_at_300_dots(sheet, paper):
    assert read_codes(picture_of(print_one(make_label(), sheet, paper), 300)) == ["TFG 2026-0118"]


def test_an_address_in_the_code_reads_too():
    assert read_codes(picture_of(print_one(make_label(code=ADDRESS)), 300)) == [ADDRESS]


def test_all_six_codes_of_a_sheet_read_each_with_its_own_number():
    numbers = [f"TFG 2026-{serial:04}" for serial in range(1, 7)]
    printed = render([make_label(accession_number=n) for n in numbers], "labels-96x92", "a4", made_at=MADE_AT)
    assert sorted(read_codes(picture_of(printed, 300))) == numbers


def test_a_second_reader_agrees():
    cv2 = pytest.importorskip("cv2", reason="OpenCV is not among the development dependencies yet")
    numpy = pytest.importorskip("numpy")
    picture = picture_of(print_one(make_label(code=ADDRESS)), 300)
    text, _, _ = cv2.QRCodeDetector().detectAndDecode(numpy.asarray(picture))
    assert text == ADDRESS


def test_the_code_keeps_its_quiet_zone_and_its_size():
    picture = picture_of(print_one(make_label()), FINE)
    (code,) = zxingcpp.read_barcodes(picture)
    dot = 25.4 / FINE
    left, top = code.position.top_left.x * dot, code.position.top_left.y * dot
    side = (code.position.top_right.x - code.position.top_left.x) * dot
    module = 18 / 29
    quiet = round(4 * module / dot)
    box = [round(value / dot) for value in (left, top, left + side, top + side)]
    around = picture.crop((box[0] - quiet + 2, box[1] - quiet + 2, box[2] + quiet - 2, box[3] + quiet - 2))
    around.paste(255, (quiet - 4, quiet - 4, around.width - quiet + 4, around.height - quiet + 4))
    assert side == pytest.approx(21 * module, abs=0.2)
    assert around.getextrema()[0] > 200


@pytest.mark.parametrize(
    ("sheet", "paper"),
    [(s, p) for s in ("labels-96x92", "labels-98x88", "slips") for p in ("a4", "us-letter")],
)
def test_cut_marks_stand_at_the_edges_of_the_labels(sheet, paper):
    layout = SHEETS[sheet][paper]
    picture = picture_of(print_one(make_slip() if sheet == "slips" else make_label(), sheet, paper), FINE)
    across = marks_mm(picture, across=True, at_mm=layout.top_mm - 2.5)
    down = marks_mm(picture, across=False, at_mm=layout.left_mm - 2.5)
    size = layout.size
    assert across == pytest.approx(
        [layout.left_mm + n * size.width_mm for n in range(layout.columns + 1)], abs=0.2
    )
    assert down == pytest.approx(
        [layout.top_mm + n * size.height_mm for n in range(layout.rows + 1)], abs=0.2
    )


@pytest.mark.parametrize("sheet", ["packet", "labels-96x92", "labels-98x88", "slips"])
def test_all_ink_is_black_toner(sheet):
    """No colour anywhere, and the darkest dots are black: a screened grey or brown would have neither."""
    pdf = print_one(make_slip() if sheet == "slips" else make_label(), sheet).pdf
    page = pypdfium2.PdfDocument(pdf)[0].render(scale=150 / 72).to_pil().convert("RGB")
    red, green, blue = page.split()
    assert red.tobytes() == green.tobytes() == blue.tobytes()
    assert red.getextrema() == (0, 255)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_fold_lines_stand_where_the_packet_folds(paper):
    layout = SHEETS["packet"][paper]
    picture = picture_of(print_one(make_label(), "packet", paper), FINE)
    # The lines are dashed: the first dash starts at the edge of the sheet.
    down = marks_mm(picture, across=False, at_mm=0.5)
    across = marks_mm(picture, across=True, at_mm=0.5)
    assert down == pytest.approx([layout.pocket_mm, 2 * layout.pocket_mm], abs=0.2)
    assert across == pytest.approx([layout.side_mm, layout.paper.width_mm - layout.side_mm], abs=0.2)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_label_on_the_flap_stands_where_the_table_puts_it(paper):
    layout = SHEETS["packet"][paper]
    picture = picture_of(print_one(make_label(), "packet", paper), FINE)
    dot = 25.4 / FINE
    left, right = layout.side_mm + 2, layout.paper.width_mm - layout.side_mm - 2
    flap = picture.crop(
        (round(left / dot), round((2 * layout.pocket_mm + 2) / dot), round(right / dot), picture.height)
    )
    bounds = flap.point(lambda grey: 255 if grey < 160 else 0).getbbox()
    assert bounds is not None
    edge = layout.size.edge_mm
    assert left + bounds[0] * dot == pytest.approx(layout.left_mm + edge, abs=0.2)
    assert left + bounds[2] * dot == pytest.approx(layout.left_mm + layout.size.width_mm - edge, abs=0.2)
    assert (picture.height - flap.height + bounds[1]) * dot >= layout.top_mm + edge - 0.2
