"""Whatever the file, it is read as it was meant or refused with a sentence; nothing else ever comes out."""

import csv
import io
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.taking_in.cells import (
    COMMA,
    ORDERS,
    POINT,
    CellError,
    needs_order,
    orders_of,
    read_day,
    read_number,
)
from ledger.taking_in.columns import Mapped, header_digest, proposed, row_digest, wrong_mapping
from ledger.taking_in.gpx import read_waypoints
from ledger.taking_in.refused import FileRefused
from ledger.taking_in.text_table import ENCODINGS, read_text_table
from ledger.taking_in.workbook import read_workbook

# A formula is refused, and blanks at the ends of a cell say nothing.
_SAFE = st.text(
    st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\ufffd\ufeff"), max_size=12
)
CELLS = _SAFE.map(str.strip).filter(lambda text: not text.startswith("="))
WIDTHS = st.integers(1, 4)
TABLES = WIDTHS.flatmap(
    lambda width: st.lists(st.lists(CELLS, min_size=width, max_size=width), min_size=1, max_size=6)
)


def written(rows: list[list[str]], delimiter: str = ",", end: str = "\r\n") -> str:
    file = io.StringIO()
    csv.writer(file, delimiter=delimiter, lineterminator=end, quoting=csv.QUOTE_ALL).writerows(rows)
    return file.getvalue()


@given(
    TABLES,
    st.sampled_from(",;\t|"),
    st.sampled_from(["\r\n", "\n", "\r"]),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]),
)
def test_a_table_comes_back_cell_by_cell_whatever_its_form(
    rows: list[list[str]], delimiter: str, end: str, encoding: str
) -> None:
    header = [f"column {place}" for place in range(len(rows[0]))]
    full = [row for row in rows if any(row)]
    data = written([header, *rows], delimiter, end).encode(encoding)
    if not full:
        with pytest.raises(FileRefused, match="no row"):
            read_text_table(data)
        return
    if len(header) == 1:
        delimiter = ","
    grid = read_text_table(data)
    assert [list(row.cells) for row in grid.rows] == full


@given(st.binary(max_size=300), st.sampled_from([*ENCODINGS]))
def test_any_bytes_are_a_table_or_a_sentence(data: bytes, encoding: str) -> None:
    for read in (
        lambda: read_text_table(data, encoding),
        lambda: read_workbook(data),
        lambda: read_waypoints(data),
    ):
        try:
            read()
        except FileRefused as refusal:
            assert str(refusal).endswith(".") and "Nothing was written" in str(refusal)


@given(st.text(max_size=120))
def test_any_text_is_a_table_or_a_sentence(text: str) -> None:
    try:
        read_text_table(text.encode("utf-8", "surrogatepass"))
    except FileRefused as refusal:
        assert "Nothing was written" in str(refusal)


@given(st.dates(date(1000, 1, 1)), st.sampled_from([*ORDERS]), st.sampled_from("./- "))
def test_a_day_comes_back_by_the_order_it_was_written_in(day: date, order: str, between: str) -> None:
    parts = {"y": f"{day.year:04d}", "m": str(day.month), "d": str(day.day)}
    text = between.join(parts[part] for part in order)
    if order == "ydm" and not needs_order(text):
        return  # written as ISO 8601 writes year, month and day, it is read so
    assert read_day(text, order) == day


@given(st.dates(date(1000, 1, 1)))
def test_an_iso_day_is_read_in_whatever_order_was_said(day: date) -> None:
    assert {read_day(day.isoformat(), order) for order in ["", *ORDERS]} == {day}


def test_a_day_of_figures_is_never_read_without_an_order() -> None:
    with pytest.raises(CellError, match="several orders"):
        read_day("31.12.2026")
    assert needs_order("31.12.2026") and not needs_order("2026-12-31") and not needs_order("31 Dec 2026")


def test_orders_are_counted_for_whoever_is_asked() -> None:
    assert orders_of(["03/04/2026", "13/04/2026", "2026-01-01"]) == {"ymd": 0, "dmy": 2, "mdy": 1, "ydm": 0}


@pytest.mark.parametrize("text", ["3.4.26", "30.2.2026", "2026-13-01", "autumn", "0/0/2026"])
def test_a_day_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(CellError):
        read_day(text, "dmy")


@given(st.floats(-1e9, 1e9).map(lambda number: round(number, 4)))
def test_a_number_comes_back_by_its_mark_and_never_by_the_other(number: float) -> None:
    text = f"{number:.4f}"
    assert read_number(text, POINT) == float(text)
    assert read_number(text.replace(".", ","), COMMA) == float(text)
    for wrong, mark in ((text, COMMA), (text.replace(".", ","), POINT)):
        with pytest.raises(CellError, match="no number"):
            read_number(wrong, mark)


@given(st.dictionaries(_SAFE.map(str.strip).filter(bool), CELLS, max_size=5), st.randoms())
def test_a_row_is_known_again_whatever_the_order_of_its_columns(row: dict[str, str], random: object) -> None:
    if len({" ".join(name.split()).casefold() for name in row}) < len(row):
        return
    shuffled = list(row.items())
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert row_digest(list(row), list(row.values())) == row_digest(
        [a for a, _ in shuffled], [b for _, b in shuffled]
    )


def test_columns_are_proposed_by_their_names_each_target_once() -> None:
    header = ["Date", "Species", "Lat", "Long", "Cap width (mm)", "Latitude", "Weather"]
    assert proposed(header, {"cap_width": "Cap width"}) == {
        0: "found_on", 1: "name_typed", 2: "latitude", 3: "longitude", 4: "trait:cap_width",
    }  # fmt: skip


def test_a_mapping_that_cannot_be_is_said() -> None:
    header = ["a", "b"]
    assert "both chosen" in wrong_mapping({0: "host", 1: "host"}, header, {})
    assert "go together" in wrong_mapping({0: "latitude"}, header, {})
    assert "not in the list" in wrong_mapping({0: "trait:none"}, header, {})
    assert "No column" in wrong_mapping({}, header, {})
    assert wrong_mapping({0: "note"}, header, {}) == ""


@given(st.dictionaries(st.integers(0, 200), st.sampled_from(["note", "host"])), st.integers(-840, 840))
def test_a_mapping_is_kept_and_comes_back(columns: dict[int, str], offset: int) -> None:
    mapped = Mapped(columns, "dmy", COMMA, offset)
    assert Mapped.from_json(mapped.as_json()) == mapped


def test_a_header_is_known_whatever_its_capitals() -> None:
    assert (
        header_digest(["Date ", "NAME"]) == header_digest(["date", "Name"]) != header_digest(["name", "date"])
    )


# --- waypoints ---

WPT = '<wpt lat="51.5" lon="-2.5"><name>{name}</name><time>{time}</time></wpt>'


def gpx(*inside: str) -> bytes:
    return f'<gpx xmlns="http://www.topografix.com/GPX/1/1">{"".join(inside)}</gpx>'.encode()


def test_a_waypoint_s_own_words_are_read_and_not_those_within_them() -> None:
    named = WPT.format(name=" Oak &amp; <b>ash</b> gate ", time="2026-10-03T10:00:00+02:00")
    track = "<trk><name>walk</name><trkseg><trkpt lat='1' lon='1'><time>x</time></trkpt></trkseg></trk>"
    (point,) = read_waypoints(gpx(track, named, track))
    assert (point.name, point.at.isoformat()) == ("Oak &  gate", "2026-10-03T08:00:00+00:00")


@pytest.mark.parametrize("time", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00", "noon"])
def test_a_waypoint_beyond_the_calendar_has_no_time(time: str) -> None:
    with pytest.raises(FileRefused, match="holds 1 waypoints, but none with its place and time"):
        read_waypoints(gpx(WPT.format(name="A", time=time)))


@pytest.mark.parametrize(
    "inside", ["<a/>" * 1_000_001, "<a>" * 70 + "</a>" * 70], ids=["a million elements", "seventy deep"]
)
def test_a_file_full_of_other_elements_is_refused_before_it_is_a_tree(inside: str) -> None:
    with pytest.raises(FileRefused, match="holds more than 1,000,000 elements"):
        read_waypoints(gpx(inside))


def test_more_waypoints_than_are_read_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ledger.taking_in.gpx.MOST_POINTS", 2)
    point = WPT.format(name="A", time="2026-10-03T10:00:00Z")
    assert len(read_waypoints(gpx(point, point))) == 2
    with pytest.raises(FileRefused, match="more than 2 waypoints"):
        read_waypoints(gpx(point, point, point))
