"""How far a position of a table is open: by the digits as they stand in its cells, and by none that a device wrote."""

from datetime import UTC, datetime
from io import BytesIO
from typing import Any

import pytest
from openpyxl import Workbook

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.places.parse import parse_position
from ledger.taking_in import actions
from ledger.taking_in.columns import Mapped
from ledger.taking_in.page import asked_of
from ledger.taking_in.report import Report
from ledger.taking_in.text_table import read_text_table
from ledger.taking_in.workbook import read_workbook
from ledger.traits.reference import Reference

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
PLACE = {0: "latitude", 1: "longitude", 2: "uncertainty_m"}


def taken_in(data: bytes, mapped: Mapped, by: Member, gpx: bytes = b"") -> Report:
    taking = actions.give(data, "places", by=by, now=NOW)
    actions.map_columns(taking, mapped, ["x"], by=by, now=NOW)
    if gpx:
        actions.add_waypoints(taking, gpx, "walk.gpx")
    return actions.take_in(taking, by=by, now=NOW)


def table(*cells: str) -> bytes:
    return f"lat;lon;error\n{';'.join(cells)}\n".encode()


def workbook(*cells: Any) -> bytes:
    book, out = Workbook(), BytesIO()
    book.active.append(["lat", "lon", "error"])
    book.active.append(cells)
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("mark", "north", "east"), [("comma", "51,5200", "-2,3400"), ("point", "51.5200", "\u22122.3400")]
)
def test_zeros_at_the_end_of_a_coordinate_count_as_digits(
    mark: str, north: str, east: str, reference: Reference, curator: Member
) -> None:
    report = taken_in(table(north, east, "20"), Mapped(PLACE, mark=mark), curator)
    find = Find.objects.get()
    assert (find.latitude, find.longitude, find.uncertainty_m) == (51.52, -2.34, 20)
    assert "stated" not in " ".join(report.lines[0].says)


def test_a_table_without_an_error_has_that_of_its_digits_as_the_log_page_reads_them(
    reference: Reference, curator: Member
) -> None:
    taken_in(table("51,5200", "-2,340", ""), Mapped(PLACE, mark="comma"), curator)
    assert Find.objects.get().uncertainty_m == parse_position("51.5200, -2.340").uncertainty_m


@pytest.mark.parametrize(
    ("data", "columns"),
    [
        (table("51.520", "-2.340", "10"), PLACE),
        (table("51.520, -2.340", "", "10"), {0: "position_typed", 2: "uncertainty_m"}),
    ],
    ids=["in two cells", "in one"],
)
def test_an_error_that_the_digits_do_not_allow_is_kept_wider_and_told(
    data: bytes, columns: dict[int, str], reference: Reference, curator: Member
) -> None:
    report = taken_in(data, Mapped(columns, mark="point"), curator)
    least = parse_position("51.520, -2.340").uncertainty_m
    assert Find.objects.get().uncertainty_m == least
    assert any("stated as 10 m" in one and f"leave {least} m open" in one for one in report.lines[0].says)


@pytest.mark.parametrize(("stated", "kept"), [(20, 20), (None, None)])
def test_the_digits_of_a_number_in_a_workbook_tell_nothing_of_its_error(
    stated: int | None, kept: int | None, reference: Reference, curator: Member
) -> None:
    # As it was remembered of a table of text: what a workbook holds as a number has no decimal mark.
    report = taken_in(workbook(51.52, -2.34, stated), Mapped(PLACE, mark="comma"), curator)
    find = Find.objects.get()
    assert (find.latitude, find.longitude, find.uncertainty_m) == (51.52, -2.34, kept)
    assert "stated" not in " ".join(report.lines[0].says)


def test_the_digits_of_text_in_a_workbook_count_as_they_stand(reference: Reference, curator: Member) -> None:
    taken_in(workbook("51,5200", "-2,3400", 20), Mapped(PLACE, mark="comma"), curator)
    assert Find.objects.get().uncertainty_m == 20


@pytest.mark.parametrize(
    ("data", "asked"), [(workbook(51.52, -2.34, 20), False), (table("51.5", "-2", ""), True)]
)
def test_the_decimal_mark_is_asked_of_text_alone(data: bytes, asked: bool) -> None:
    grid = read_workbook(data) if data.startswith(b"PK") else read_text_table(data)
    assert asked_of(grid, Mapped(PLACE)).marks is asked


@pytest.mark.parametrize(("stated", "kept"), [("20", 20), ("", None)])
def test_the_digits_of_a_waypoint_tell_nothing_of_its_error(
    stated: str, kept: int | None, reference: Reference, curator: Member
) -> None:
    gpx = b'<gpx><wpt lat="51.54" lon="-2.3"><time>2026-10-03T13:02:00Z</time></wpt></gpx>'
    mapped = Mapped({0: "found_on", 1: "found_at_time", 2: "uncertainty_m"}, offset_minutes=60)
    report = taken_in(f"d;t;error\n2026-10-03;14:02;{stated}\n".encode(), mapped, curator, gpx)
    find = Find.objects.get()
    assert (find.latitude, find.longitude, find.uncertainty_m) == (51.54, -2.3, kept)
    assert "stated" not in " ".join(report.lines[0].says)
