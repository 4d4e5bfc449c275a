"""Every kind of label read back from the picture of its page: codes by two readers, texts, sizes, nothing over the edge.

Readers: zxing-cpp and OpenCV, each its own work. Rasters: 300 dots per inch, a common office printer, and 203 for the
small labels, a common printer of labels, in two tones as such a printer has them. Texts: PDFium, inside the edges of
each label, so that a text that runs over a cut would be missed.
"""

import random
from itertools import pairwise

import cv2
import numpy
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
import zxingcpp

from tests.vouchers.labels.looking import Sheets, cells
from tests.vouchers.labels.making import (
    MADE_AT,
    MAKERS,
    make_cut,
    make_duplicate,
    make_label,
    make_place,
    make_slip,
    make_tag,
    make_tube,
)
from vouchers.labels.pdf import Batch, render, render_run
from vouchers.labels.refusals import Refusal
from vouchers.labels.sheets import SHEETS, CutSheet, RollSheet
from vouchers.labels.sizes import DOT_203_MM, TUBE_LABEL

PAPERS = ("a4", "us-letter")
# A label of the number for each sheet that has codes, and what its code must hold.
CODED = {
    "packet": lambda n: (make_label(accession_number=f"TFG 2026-{n:04}"), f"TFG 2026-{n:04}"),
    "labels-96x92": lambda n: (make_label(accession_number=f"TFG 2026-{n:04}"), f"TFG 2026-{n:04}"),
    "labels-98x88": lambda n: (make_label(accession_number=f"TFG 2026-{n:04}"), f"TFG 2026-{n:04}"),
    "boxes": lambda n: (make_label(accession_number=f"TFG 2026-{n:04}"), f"TFG 2026-{n:04}"),
    "duplicates": lambda n: (
        make_duplicate(accession_number=f"TFG 2026-{n:04} D2"),
        f"TFG 2026-{n:04} D2",
    ),
    "tags": lambda n: (make_tag(number=f"TFG TRAY {n}", title=((f"Tray {n}", False),)), f"TFG TRAY {n}"),
    "places": lambda n: (make_place(number=f"TFG PLACE {n}"), f"TFG PLACE {n}"),
    "tubes": lambda n: (make_tube(accession_number=f"TFG 2026-{n:04}"), f"TFG 2026-{n:04} T1"),
    "tubes-roll": lambda n: (make_tube(accession_number=f"TFG 2026-{n:04}"), f"TFG 2026-{n:04} T1"),
}
WITHOUT_CODE = {"slips", "annotations"}
# The longest prefix that a club can have, a fifth figure, a part's number of three.
LONGEST = {
    "duplicates": lambda: make_duplicate(accession_number="HERBWNFG 2026-12345 D123"),
    "labels-96x92": lambda: make_label(accession_number="HERBWNFG 2026-12345"),
    "boxes": lambda: make_label(accession_number="HERBWNFG 2026-12345"),
    "tags": lambda: make_tag(number="HERBWNFG 2026-12345"),
    "places": lambda: make_place(number="HERBWNFG PLACE 12345"),
    "tubes": lambda: make_tube(accession_number="HERBWNFG 2026-12345", suffix="T123"),
    "tubes-roll": lambda: make_tube(accession_number="HERBWNFG 2026-12345", suffix="T123"),
}


def dots_of(sheet):
    return 203 if sheet.startswith("tubes") else 300


def by_zxing(picture):
    return [code.text for code in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)]


def by_opencv(picture):
    # OpenCV finds codes in two ways, each blind to some pictures that the other reads. What either reads must be right.
    array = numpy.asarray(picture)
    readers = (cv2.QRCodeDetectorAruco(), cv2.QRCodeDetector())
    return sorted({text for reader in readers if (text := reader.detectAndDecode(array)[0])})


def two_tones(picture):
    """As a thermal printer has it: a dot is black or it is not."""
    return picture.point(lambda grey: 0 if grey < 128 else 255)


def test_every_sheet_is_looked_at_here():
    assert set(CODED) | WITHOUT_CODE == set(SHEETS) == set(MAKERS)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("sheet", CODED)
def test_each_code_of_full_pages_reads_as_its_number_by_both_readers(sheet, paper):
    layout = SHEETS[sheet][paper]
    # A full page, several where a page holds few.
    made = [
        CODED[sheet](n) for n in range(1, {"packet": 3, "tubes-roll": 40}.get(sheet, len(layout.places)) + 1)
    ]
    printed = render([label for label, _ in made], sheet, paper, made_at=MADE_AT)
    sheets = Sheets(printed)
    for (_, code), cell in zip(made, cells(printed, layout), strict=True):
        assert by_zxing(two_tones(sheets.cut_out(cell, dots_of(sheet)))) == [code]
        # Small labels of a roll stand on the dots of its printer. On a sheet they do not, and OpenCV misses one or two of
        # a hundred at 203; a sheet comes from an office printer.
        assert by_opencv(two_tones(sheets.cut_out(cell, 203 if sheet == "tubes-roll" else 300))) == [code]
        assert code.split()[-1] in sheets.text(cell)


@pytest.mark.parametrize("sheet", LONGEST)
def test_the_longest_number_there_can_be_is_printed_whole_and_reads(sheet):
    label = LONGEST[sheet]()
    printed = render([label], sheet, "a4", made_at=MADE_AT)
    assert not printed.refused
    (cell,) = cells(printed, SHEETS[sheet]["a4"])
    (code,) = by_zxing(two_tones(Sheets(printed).cut_out(cell, dots_of(sheet))))
    assert code == getattr(label, "number", "") or code == label.accession_number
    assert all(word in Sheets(printed).text(cell) for word in code.split())


def test_a_module_of_a_tube_s_code_is_three_dots_of_the_printer():
    picture = two_tones(Sheets(render([make_tube()], "tubes-roll", "a4", made_at=MADE_AT)).picture(0, 203))
    dark = numpy.asarray(picture) < 128
    row = dark[numpy.nonzero(dark[:, : round(12 / DOT_203_MM)].any(axis=1))[0][0] + 1]
    edges = numpy.nonzero(numpy.diff(row[: round(11.5 / DOT_203_MM)].astype(int)))[0]
    assert {int(later - before) % 3 for before, later in pairwise(edges)} == {0}


@pytest.mark.parametrize("sheet", CODED)
def test_each_code_has_the_size_of_its_table_to_a_fifth_of_a_millimetre(sheet):
    layout = SHEETS[sheet]["a4"]
    label, _ = CODED[sheet](7)
    picture = Sheets(render([label], sheet, "a4", made_at=MADE_AT)).picture(0, 600)
    (code,) = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    corners = code.position
    side = (corners.top_right.x - corners.top_left.x) * 25.4 / 600
    # A code of version 1 has 21 modules and four white ones on each side (ISO/IEC 18004).
    module = layout.size.module_mm or layout.size.code_mm / 29
    assert side == pytest.approx(21 * module, abs=0.2)


def test_a_page_of_a_roll_is_the_label_itself():
    printed = render([make_tube(), make_tube(suffix="T2")], "tubes-roll", "us-letter", made_at=MADE_AT)
    document = pypdfium2.PdfDocument(printed.pdf)
    sizes = [tuple(side * 25.4 / 72 for side in page.get_size()) for page in document]
    assert len(sizes) == 2
    assert all(size == pytest.approx((TUBE_LABEL.width_mm, TUBE_LABEL.height_mm), abs=0.05) for size in sizes)


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_font_is_inside_the_file(sheet):
    page = pypdfium2.PdfDocument(render([MAKERS[sheet]()], sheet, "a4", made_at=MADE_AT).pdf)[0]
    texts = list(page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT]))
    assert texts
    assert all(pdfium.FPDFFont_GetIsEmbedded(pdfium.FPDFTextObj_GetFont(text.raw)) == 1 for text in texts)


# --- hard texts -------------------------------------------------------------------------------------------------------

NAMES = [
    (("Fomes fomentarius", True),),
    (("Trametes", True), (" cf. ", False), ("versicolor", True)),
    # A qualifier before the genus, one before the species, one before the variety.
    (("? ", False), ("Fomitopsis", True), (" cf. ", False), ("pinicola", True), (" aff. var. ", False), ("paludosa", True)),
    (("Pseudoinonotus dryadeus ", True), ("var. ", False), ("longissimoappendiculatus f. subresupinatus", True)),
    (("not named", False),),
]  # fmt: skip
AUTHORITIES = [
    "",
    "(L.) Fr.",
    "(Bernicchia & Ryvarden) Bernicchia, Ryvarden, Niemelä & Gilbertson ex Parmasto",
]
HOSTS = [
    (),
    (("Fagus sylvatica", True),),
    (("Populus ", True), ("×", False), (" canadensis", True), (" 'Robusta', pollarded, in a row by the drove", False)),
]  # fmt: skip
WORDS = [
    "",
    "Hollin Carr, north bank",
    "Россия, Тверская область, Осташковский район, берег реки Селижаровки у старой мельницы",
    "Ελλάδα, Θεσσαλία, δάσος οξιάς κοντά στο παλιό γεφύρι πάνω από τον καταρράκτη",
    "Llanfairpwllgwyngyllgogerychwyrndrobwllllantysiliogogogoch, by the ruined sheepfold below the second gate",
]
# Long words in other scripts stand for names of places in Russia and Greece; every other draw is a short one.
SHORT = ["", "", "Hollin Carr, north bank", "берег реки", "δάσος οξιάς", "pores and spores"]
TITLES = ["Box 12", "MR 118", "Cabinet under the stair", "Шкаф у окна в сад", "Ράφι 3", WORDS[2]]
READ = ["zoned", "pores 6–7 per mm (n = 5)", "smell: of aniseed"]
PEOPLE = [
    "M. Rigg",
    "Александра Константинопольская",
    "Ελένη Παπακωνσταντίνου",
    "J. R. R. Featherstonehaugh-Smythe",
]


def hard(maker, draw):
    """A label of that maker with texts drawn from the pools."""

    def words():
        return draw.choice(draw.choice([WORDS, SHORT, SHORT]))

    collected = {
        "collector": draw.choice(PEOPLE),
        "collecting_number": draw.choice(["MR 118", "FEATHR 123456789"]),
        "collected_on": "14 Oct 2026",
    }
    named = {
        "name": draw.choice(NAMES),
        "authority": draw.choice(AUTHORITIES),
        "determined_by": draw.choice(PEOPLE),
        "determined_basis": words(),
    }
    if maker in (make_label, make_duplicate):
        fresh = tuple(draw.choice(READ) for _ in range(draw.randint(0, 14)))
        place = {"place": ("England", words()), "near": words(), "host": draw.choice(HOSTS)}
        return maker(**named, **collected, **place, fresh=fresh)
    if maker is make_slip:
        return maker(**named, **collected)
    if maker is make_cut:
        told = {"cut": words() or "flesh", "cut_by": draw.choice(PEOPLE), "why": words() or "ITS"}
        return maker(**collected, **told, name=named["name"])
    if maker is make_tube:
        return maker(
            collecting_number=collected["collecting_number"], suffix=draw.choice(["T1", "S12", "W123"])
        )
    title = draw.choice(TITLES)[:80]
    return maker(title=((title, False),), lines=(("In", words()), ("Holds", draw.choice(["", "holds 40"]))))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("sheet", SHEETS)
def test_hard_texts_are_printed_whole_or_refused_by_name(sheet, seed):
    draw = random.Random(f"{sheet} {seed}")
    layout = SHEETS[sheet][draw.choice(PAPERS)]
    labels = [hard(MAKERS[sheet], draw) for _ in range(8 if sheet == "packet" else 18)]
    printed = render(labels, sheet, "a4" if layout is SHEETS[sheet]["a4"] else "us-letter", made_at=MADE_AT)
    for refusal in printed.refused:
        assert "Shorten" in refusal.sentence and refusal.line
    drawn = list(cells(printed, layout))
    assert len(drawn) + len(printed.refused) == len(labels)
    assert len(drawn) >= len(labels) / 4
    sheets = Sheets(printed)
    for page in {cell.page for cell in drawn}:
        assert sheets.signs_over_each_other(page) == []
    for cell in drawn:
        text = sheets.text(cell)
        for word, asked in cell.lines:
            if word != "Code":
                # Small capitals come back as what was typed in some readers and as capitals in others.
                assert " ".join(asked.split()).casefold() in text.casefold(), word
        if code := dict(cell.lines).get("Code"):
            assert by_zxing(two_tones(sheets.cut_out(cell, dots_of(sheet)))) == [code]
        assert not sheets.ink_in_the_edge(cell, layout.size.edge_mm)


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_common_label_of_every_sheet_is_not_refused(sheet):
    for paper in PAPERS:
        assert not render([MAKERS[sheet]()], sheet, paper, made_at=MADE_AT).refused


@pytest.mark.parametrize(
    ("sheet", "label", "line"),
    [
        ("tubes", make_tube(collecting_number="ABCDEFGHIJKLMNOPQ 1"), "Coll."),
        ("places", make_place(title=(("Unterputzschrankenbehältniskammer" * 2, False),)), "Name"),
        ("tags", make_tag(lines=(("In", "shelf upon shelf " * 20),)), "In"),
        ("annotations", make_cut(why="to learn more of it " * 30), "For"),
        ("tags", make_tag(title=(("日 12", False),)), "Name"),
    ],
)
def test_a_small_label_that_does_not_fit_names_the_line_at_fault(sheet, label, line):
    (refusal,) = render([label], sheet, "a4", made_at=MADE_AT).refused
    assert refusal.line == line
    assert "was not printed" in refusal.sentence


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("sheet", [sheet for sheet in SHEETS if isinstance(SHEETS[sheet]["a4"], CutSheet)])
def test_cut_marks_stand_at_the_edges_to_a_fifth_of_a_millimetre(sheet, paper):
    layout = SHEETS[sheet][paper]
    picture = Sheets(render([MAKERS[sheet]()], sheet, paper, made_at=MADE_AT)).picture(0, 600)
    dark = numpy.asarray(picture) < 160
    dot = 25.4 / 600

    def middles(line):
        ends = numpy.nonzero(numpy.diff(numpy.concatenate(([0], line.astype(int), [0]))))[0]
        return [(first + last) / 2 * dot for first, last in zip(ends[::2], ends[1::2], strict=True)]

    across = middles(dark[round((layout.top_mm - 2.5) / dot)])
    down = middles(dark[:, round((layout.left_mm - 2.5) / dot)])
    wide, high = layout.size.width_mm, layout.size.height_mm
    assert across == pytest.approx([layout.left_mm + n * wide for n in range(layout.columns + 1)], abs=0.2)
    assert down == pytest.approx([layout.top_mm + n * high for n in range(layout.rows + 1)], abs=0.2)


def test_a_thousand_mixed_labels_come_in_one_file():
    wanted = {
        "labels-96x92": 400,
        "slips": 150,
        "duplicates": 100,
        "annotations": 50,
        "tags": 80,
        "places": 70,
        "tubes": 150,
    }

    def label(sheet, n):
        number = f"TFG 2026-{n:04}"
        return CODED[sheet](n)[0] if sheet in CODED else MAKERS[sheet](accession_number=number)

    batches = [Batch(sheet, [label(sheet, n) for n in range(1, many + 1)]) for sheet, many in wanted.items()]
    printed = render_run(batches, "a4", made_at=MADE_AT)
    assert sum(len(row) for row in printed.became) == 1000
    assert not any(isinstance(one, Refusal) for row in printed.became for one in row)
    pages = sum(-(-many // len(SHEETS[sheet]["a4"].places)) for sheet, many in wanted.items())
    assert len(pypdfium2.PdfDocument(printed.pdf)) == pages


def test_a_roll_has_no_marks():
    assert isinstance(SHEETS["tubes-roll"]["a4"], RollSheet)
    dark = (
        numpy.asarray(Sheets(render([make_tube()], "tubes-roll", "a4", made_at=MADE_AT)).picture(0, 203))
        < 128
    )
    assert not dark[:2].any() and not dark[-2:].any() and not dark[:, :2].any() and not dark[:, -2:].any()


@pytest.mark.parametrize("sheet", SHEETS)
def test_what_is_printed_stands_at_the_edge_of_the_table_to_a_fifth_of_a_millimetre(sheet):
    layout = SHEETS[sheet]["us-letter"]
    printed = render([MAKERS[sheet]()], sheet, "us-letter", made_at=MADE_AT)
    (cell,) = cells(printed, layout)
    dark = numpy.asarray(Sheets(printed).cut_out(cell, 600)) < 128
    # The arms of the marks reach a millimetre into the corners.
    inside = numpy.nonzero(dark[:, 26:-26].any(axis=0))[0]
    left, right = (inside[0] + 26) * 25.4 / 600, (inside[-1] + 27) * 25.4 / 600
    size = layout.size
    # On a tube label the code stands first, four white modules round it; the others begin and end with a rule.
    expected = size.edge_mm + (4 * size.module_mm if size.module_mm else 0)
    assert left == pytest.approx(expected, abs=0.2)
    if size.kind in ("packet", "slip", "annotation"):
        assert right == pytest.approx(size.width_mm - size.edge_mm, abs=0.2)
