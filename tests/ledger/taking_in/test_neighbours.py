"""Tables as neighbouring clubs keep them: with a title, days told in part, notes in several columns, places to be kept."""

from datetime import UTC, datetime
from io import BytesIO

import pytest
from openpyxl import Workbook

from ledger.finds.models import Find
from ledger.handing_on.choices import Choices
from ledger.handing_on.streams import stream
from ledger.people.models import Member
from ledger.taking_in import actions
from ledger.taking_in.columns import Mapped, proposed, wrong_mapping
from ledger.taking_in.models import TakingIn
from ledger.taking_in.report import Report
from ledger.taking_in.text_table import read_text_table
from ledger.taking_in.workbook import read_workbook
from ledger.traits.reference import Reference

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
TITLED = [
    ["Coldbrook Fungus Society, finds of 2025", "", ""],
    ["", "", ""],
    ["Date", "Species", "Where found"],
    ["2025-10-04", "Stereum hirsutum", "Cwm"],
]


def taken_in(rows: str, mapped: Mapped, by: Member) -> Report:
    taking = actions.give(rows.encode(), "theirs.csv", by=by, now=NOW)
    actions.map_columns(taking, mapped, ["x"], by=by, now=NOW)
    return actions.take_in(taking, by=by, now=NOW)


def workbook(*sheets: list[list[str]]) -> bytes:
    book = Workbook()
    for number, rows in enumerate(sheets):
        page = book.active if number == 0 else book.create_sheet()
        assert page is not None
        for row in rows:
            page.append(row)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    "grid",
    [
        read_workbook(workbook(TITLED)),
        read_text_table("\n".join(";".join(row) for row in TITLED).encode()),
        read_text_table(
            b"Coldbrook Fungus Society\n\nDate;Species;Where found\n2025-10-04;Stereum hirsutum;Cwm\n"
        ),
    ],
    ids=["workbook", "table", "table whose title stands alone"],
)
def test_a_title_above_the_table_is_none_of_its_columns(grid: object) -> None:
    assert grid.header == ("Date", "Species", "Where found")
    assert [(row.line, row.cells) for row in grid.rows] == [(4, ("2025-10-04", "Stereum hirsutum", "Cwm"))]
    assert any("title" in note and "line 3" in note for note in grid.notes)


def test_a_workbook_whose_first_sheet_is_empty_is_read_from_the_next() -> None:
    grid = read_workbook(workbook([], TITLED[2:]))
    assert grid.header == ("Date", "Species", "Where found") and grid.sheet == "Sheet1"


def test_lines_that_hold_nothing_are_not_read_cell_by_cell(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[object] = []
    monkeypatch.setattr(
        "ledger.taking_in.workbook._text", lambda cell: read.append(cell) or str(cell.value or "")
    )
    grid = read_workbook(workbook([*TITLED[2:], *([[]] * 500), ["2025-10-05", "Fomes fomentarius", "Cwm"]]))
    assert len(grid.rows) == 2 and len(read) <= 3 * 1000


def test_a_month_is_no_wrong_day_but_is_kept_beside_the_find(reference: Reference, curator: Member) -> None:
    report = taken_in("d,n\nSept 2025,a\n", Mapped({0: "found_on", 1: "note"}), curator)
    find = Find.objects.get()
    assert find.found_on is None and find.taken_in.kept["terms"] == {
        "dwc:eventDate": "2025-09",
        "dwc:year": "2025",
        "dwc:month": "9",
    }
    assert "no single day" in report.lines[0].says[0]
    assert b"2025-09," in b"".join(stream(Choices(kind="csv", which="all"), now=NOW))


def test_a_day_that_a_spreadsheet_wrote_as_its_number_is_said_to_be_one(
    reference: Reference, curator: Member
) -> None:
    taking = actions.give(b"d,n\n45945,a\n", "x.csv", by=curator, now=NOW)
    actions.map_columns(taking, Mapped({0: "found_on"}), ["d"], by=curator, now=NOW)
    (line,) = actions.look_at(taking, by=curator, now=NOW).lines
    assert "number of a day" in line.says[0] and "2025-10-15" in line.says[0]


def test_notes_of_several_columns_are_kept_under_their_names(reference: Reference, curator: Member) -> None:
    mapped = Mapped({0: "note", 1: "note", 2: "found_on"})
    assert wrong_mapping(mapped.columns, ["Remarks", "Grid ref", "Date"], {}) == ""
    taken_in("Remarks,Grid ref,Date\nbig,SO 28 14,2025-10-04\nsmall,,2025-10-05\n", mapped, curator)
    assert list(Find.objects.order_by("found_on").values_list("note", flat=True)) == [
        "Remarks: big\nGrid ref: SO 28 14",
        "Remarks: small",
    ]


def test_a_place_that_is_marked_as_kept_back_is_kept_back_here(reference: Reference, curator: Member) -> None:
    mapped = Mapped({0: "latitude", 1: "longitude", 2: "place_kept_back"}, mark="point")
    taken_in("lat,lon,sensitive\n51.23456,-2.34567,yes\n51.5,-2.5,\n", mapped, curator)
    assert sorted(Find.objects.values_list("own_blur_step_deg", flat=True), key=str) == [0.1, None]
    assert b"51.23456" not in b"".join(stream(Choices(kind="csv", which="all"), now=NOW))


def test_columns_as_clubs_call_them_are_proposed() -> None:
    header = [
        "Where found",
        "Tree / substrate",
        "Pores/mm",
        "Date found",
        "Sensitive?",
        "Cap width (mm)",
        "Notes",
    ]
    traits = {"pores_per_mm": "Pores per millimetre", "cap_width": "Cap width, along the wood"}
    assert list(proposed(header, traits).values()) == [
        "locality",
        "host",
        "trait:pores_per_mm",
        "found_on",
        "place_kept_back",
        "trait:cap_width",
        "note",
    ]


@pytest.mark.parametrize(
    ("rows", "columns", "said"),
    [
        ("lat,lon\n151.5,-2.3\n", {0: "latitude", 1: "longitude"}, "Latitude: 151.5 is beyond 90 degrees"),
        (
            "lat,lon\n51.5,-192.3\n",
            {0: "latitude", 1: "longitude"},
            "Longitude: -192.3 is beyond 180 degrees",
        ),
        ("u,n\npurple,x\n", {0: "trait:underside"}, "“purple” is no state of it. Known are"),
        ("g,n\nSO 2871 1432,x\n", {0: "position_typed"}, "choose Place in words or Note"),
    ],
)
def test_a_wrong_cell_is_told_in_words_of_the_table(
    rows: str, columns: dict[int, str], said: str, reference: Reference, curator: Member
) -> None:
    taking: TakingIn = actions.give(rows.encode(), "x.csv", by=curator, now=NOW)
    actions.map_columns(taking, Mapped(columns, mark="point"), ["d"], by=curator, now=NOW)
    (line,) = actions.look_at(taking, by=curator, now=NOW).lines
    assert line.state == "wrong" and said in " ".join(line.says)
    assert not Find.objects.exists()


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("1.234,5", "“1.234,5” is no number, where decimals stand behind a comma"),
        ("40 4.5", "“4.5” is no number, where decimals stand behind a comma"),
        ("4,5,6", "4,5,6 can be"),
        ("4,5 x", "unit 'x' is not known"),
        ("4,5--5", "'4,5--5' is not read as numbers"),
        ("151,5", ""),
    ],
)
def test_a_wrong_cell_with_a_decimal_comma_is_quoted_as_it_stands(
    cell: str, said: str, reference: Reference, curator: Member
) -> None:
    taking = actions.give(f"w;n\n{cell};x\n".encode(), "x.csv", by=curator, now=NOW)
    actions.map_columns(taking, Mapped({0: "trait:cap_width"}, mark="comma"), ["w"], by=curator, now=NOW)
    (line,) = actions.look_at(taking, by=curator, now=NOW).lines
    assert line.state == ("wrong" if said else "new") and said in " ".join(line.says)


def test_a_coordinate_beyond_the_earth_is_quoted_as_it_stands(reference: Reference, curator: Member) -> None:
    taking = actions.give(b"lat;lon\n151,50;-2,3\n", "x.csv", by=curator, now=NOW)
    mapped = Mapped({0: "latitude", 1: "longitude"}, mark="comma")
    actions.map_columns(taking, mapped, ["lat"], by=curator, now=NOW)
    (line,) = actions.look_at(taking, by=curator, now=NOW).lines
    assert "151,50 is beyond 90 degrees" in line.says[0]


@pytest.mark.parametrize(("cell", "values"), [("4,5 12,125", [4.5, 12.125]), ("4,5; 5,5 mm", [4.5, 5.5])])
def test_measurements_with_a_decimal_comma_are_read_by_it(
    cell: str, values: list[float], reference: Reference, curator: Member
) -> None:
    taken_in(f'w,n\n"{cell}",x\n', Mapped({0: "trait:cap_width"}, mark="comma"), curator)
    assert Find.objects.get().readings.get().values == values


def test_columns_as_german_clubs_call_them_are_proposed() -> None:
    header = ["Nr.", "Art", "Funddatum", "Sammler", "Fundort", "Genauigkeit (m)", "Substrat", "Bemerkung"]
    assert list(proposed(header, {}).values()) == [
        "number",
        "name_typed",
        "found_on",
        "finder",
        "locality",
        "uncertainty_m",
        "host",
        "note",
    ]
