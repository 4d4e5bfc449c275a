"""A file is taken in as one act, again changes nothing, and is undone as one act while nobody has worked on its finds."""

import json
from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client
from openpyxl import Workbook

from ledger.bench.actions import settle
from ledger.finds.models import Find
from ledger.handing_on.choices import Choices
from ledger.handing_on.streams import stream
from ledger.people.models import Member
from ledger.search.models import FindIndex
from ledger.taking_in import actions, files
from ledger.taking_in.columns import Mapped
from ledger.taking_in.models import State, TakenFind, TakingIn
from ledger.taxa.models import Taxon
from ledger.traits.reference import Reference

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
HEADER = ["Date", "Time", "Name", "Cap width", "No", "By"]
ROWS = (
    "Date;Time;Name;Cap width;No;By\r\n"
    "3.10.2026;14:05;Trametes versicolor;58,5;AT 12;Ada Thorne\r\n"
    "4.10.2026;;Stereum hirsutum;;2019/44;Gwen Guest\r\n"
)
MAPPED = Mapped(
    {0: "found_on", 1: "found_at_time", 2: "name_typed", 3: "trait:cap_width", 4: "number", 5: "finder"},
    "dmy",
    "comma",
    60,
)
GPX = b"""<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="51.2345" lon="-2.3456"><ele>81.25</ele>
<time>2026-10-03T13:02:00Z</time><name>WP7</name></wpt><wpt lat="51.3" lon="-2.4"><time>2026-10-03T15:00:00Z</time></wpt>
</gpx>"""


def given(curator: Member, rows: str = ROWS, mapped: Mapped = MAPPED) -> TakingIn:
    taking = actions.give(rows.encode(), "notebook.csv", by=curator, now=NOW)
    actions.map_columns(taking, mapped, HEADER, by=curator, now=NOW)
    return taking


@pytest.fixture
def taken(reference: Reference, collector: Member, curator: Member) -> TakingIn:
    taking = given(curator)
    actions.take_in(taking, by=curator, now=NOW)
    taking.refresh_from_db()
    return taking


def test_a_dry_run_tells_of_each_line_and_writes_nothing(
    reference: Reference, collector: Member, curator: Member
) -> None:
    report = actions.look_at(given(curator), by=curator, now=NOW)
    assert [(line.line, line.state, line.label) for line in report.lines] == [
        (2, "new", "AT 12"),
        (3, "new", "CB 1"),
    ]
    assert all(line.flags for line in report.lines)
    assert not Find.objects.exists() and not FindIndex.objects.exists()
    assert Member.objects.get(pk=collector.pk).next_serial == 1


def test_a_find_is_logged_with_what_its_line_says(taken: TakingIn, collector: Member) -> None:
    find = Find.objects.get(collecting_code="AT")
    assert (find.collecting_serial, find.finder, str(find.found_on)) == (12, collector, "2026-10-03")
    assert (find.utc_offset_minutes, find.readings.get().values) == (60, [58.5])
    assert find.current_determination.taxon.name == "Trametes versicolor"
    assert find.flags.exists() and "taken in from a file, line 2" in find.changes.get().new
    # What another typed moves nothing: the row passes over 12 when it comes there.
    assert Member.objects.get(pk=collector.pk).next_serial == 1


def test_a_guest_and_a_strange_number_are_kept(taken: TakingIn) -> None:
    find = Find.objects.get(found_by="Gwen Guest")
    assert find.collecting_number == "CB 1"
    told = b"".join(stream(Choices(kind="csv", which="all"), now=NOW)).decode()
    assert "2019/44" in told and "Gwen Guest" not in told


def test_the_same_file_again_changes_nothing(taken: TakingIn, curator: Member) -> None:
    before = list(Find.objects.order_by("pk").values())
    again = given(curator)
    report = actions.take_in(again, by=curator, now=NOW + timedelta(days=1))
    assert {line.state for line in report.lines} == {"here"}
    assert list(Find.objects.order_by("pk").values()) == before


def test_a_row_is_known_again_when_columns_are_moved_and_rows_are_added(
    taken: TakingIn, curator: Member
) -> None:
    moved = "By;Date;Time;Name;Cap width;No\nAda Thorne;3.10.2026;14:05;Trametes versicolor;58,5;AT 12\nx;5.10.2026;;;;\n"
    taking = actions.give(moved.encode(), "moved.csv", by=curator, now=NOW)
    columns = {0: "finder", 1: "found_on", 2: "found_at_time", 3: "name_typed"}
    actions.map_columns(taking, Mapped(columns, "dmy"), ["By"], by=curator, now=NOW)
    assert [line.state for line in actions.look_at(taking, by=curator, now=NOW).lines] == ["here", "new"]


def test_the_columns_are_remembered_by_their_header(taken: TakingIn, curator: Member) -> None:
    other = actions.give(b"date;TIME;Name;Cap width;No;By\n1.1.2026;;x;;;\n", "next.csv", by=curator, now=NOW)
    assert Mapped.from_json(other.mapped) == MAPPED


def test_undone_everything_is_as_before(taken: TakingIn, curator: Member) -> None:
    assert actions.undo(taken, by=curator, now=NOW) == 2
    assert not Find.objects.exists() and not FindIndex.objects.exists() and not TakenFind.objects.exists()
    taken.refresh_from_db()
    assert taken.state == State.UNDONE
    actions.take_in(given(curator), by=curator, now=NOW)
    assert Find.objects.count() == 2


def test_undo_is_refused_where_somebody_has_worked_on_a_find(taken: TakingIn, curator: Member) -> None:
    find = Find.objects.get(collecting_code="AT")
    settle(find.pk, version=find.version, reason="Looked at under the lens.", by=curator, now=NOW)
    with pytest.raises(actions.TakingInRefused, match="AT 12 was changed"):
        actions.undo(taken, by=curator, now=NOW)
    assert Find.objects.count() == 2


def test_taken_in_twice_at_once_is_once(taken: TakingIn, curator: Member) -> None:
    with pytest.raises(actions.TakingInRefused, match="taken in already"):
        actions.take_in(taken, by=curator, now=NOW)


def test_a_waypoint_gives_its_position_to_the_find_of_its_time(
    reference: Reference, collector: Member, curator: Member
) -> None:
    taking = given(curator)
    assert actions.add_waypoints(taking, GPX, "walk.gpx") == 2
    report = actions.take_in(taking, by=curator, now=NOW)
    find = Find.objects.get(collecting_code="AT")
    assert (find.latitude, find.longitude, find.altitude_m) == (51.2345, -2.3456, 81.2)
    assert "waypoint WP7, 3 minutes apart" in report.lines[0].says[0]
    assert "lacks its day or time" in " ".join(report.lines[1].says)


def test_a_sensitive_name_keeps_the_place_of_a_taken_find_back(
    reference: Reference, collector: Member, curator: Member
) -> None:
    Taxon.objects.filter(name="Trametes versicolor").update(blur_step_deg=0.1)
    rows = "lat;lon;Name\n51,23456;-2,34567;Trametes versicolor\n"
    taking = actions.give(rows.encode(), "s.csv", by=curator, now=NOW)
    mapped = Mapped({0: "latitude", 1: "longitude", 2: "name_typed"}, mark="comma")
    actions.map_columns(taking, mapped, ["lat", "lon", "Name"], by=curator, now=NOW)
    actions.take_in(taking, by=curator, now=NOW)
    assert Find.objects.get().named_blur_step_deg == 0.1
    for kind in ("archive", "csv", "geojson"):
        assert b"51.23456" not in b"".join(stream(Choices(kind=kind, which="all"), now=NOW))


def test_a_table_of_darwin_core_needs_no_columns_named_and_keeps_its_identity(
    reference: Reference, curator: Member
) -> None:
    key = "0b6f3f5e-3b1c-4c8e-9f53-111111111111"
    rows = (
        "occurrenceID,eventDate,scientificName,decimalLatitude,decimalLongitude,recordedBy,weather\n"
        f"urn:uuid:{key},2026-10,Trametes versicolor,51.5,-2.5,'=SUM,wet\n"
    )
    taking = actions.give(rows.encode(), "dwc.csv", by=curator, now=NOW)
    report = actions.take_in(taking, by=curator, now=NOW)
    find = Find.objects.get()
    assert str(find.pk) == key and find.found_on is None and find.found_by == "=SUM"
    assert any("weather" in note for note in report.notes)
    assert b"2026-10," in b"".join(stream(Choices(kind="csv", which="all"), now=NOW))


def test_a_file_that_waited_too_long_is_said_to_be_gone(reference: Reference, curator: Member) -> None:
    taking = given(curator)
    files.drop(taking.pk)
    with pytest.raises(actions.TakingInRefused, match="no longer kept here"):
        actions.look_at(taking, by=curator, now=NOW)


def test_the_page_goes_from_file_to_finds_and_back(
    reference: Reference, collector: Member, curator: Member, client: Client
) -> None:
    client.force_login(curator)
    upload = SimpleUploadedFile("notebook.csv", ROWS.encode())
    page = client.post("/taking-in/", {"file": upload, "encoding": "utf-8"}, follow=True)
    address = page.redirect_chain[-1][0]
    assert "What the columns are" in page.content.decode()
    refused = client.post(f"{address}columns/", {"column-0": "found_on", "column-2": "name_typed"})
    assert refused.status_code == 422 and "in which order" in refused.content.decode()
    told = {"column-0": "found_on", "column-2": "name_typed", "column-5": "finder", "order": "dmy"}
    page = client.post(f"{address}columns/", told, follow=True)
    assert "2 finds would be taken in" in page.content.decode()
    page = client.post(f"{address}accept/", follow=True)
    assert "2 finds were taken in" in page.content.decode() and Find.objects.count() == 2
    page = client.post(f"{address}undo/", follow=True)
    assert "is undone" in page.content.decode() and not Find.objects.exists()


def test_a_file_too_large_for_the_browser_is_said_to_be(
    curator: Member, client: Client, settings: Any
) -> None:
    settings.PHOTO_LIMIT_MB = 1
    client.force_login(curator)
    files_and_words = (
        (b"d,n\n" + b"1,x\n" * 600_000, "larger than a browser may send"),
        (b"d,n\n" + b"1,x\n" * 1001, "1,001 finds"),
    )
    for data, said in files_and_words:
        page = client.post("/taking-in/", {"file": SimpleUploadedFile("l.csv", data), "encoding": "utf-8"})
        assert page.status_code == 422 and said in page.content.decode()
    assert not TakingIn.objects.exists()


def test_another_sheet_can_be_read(reference: Reference, curator: Member, client: Client) -> None:
    book = Workbook()
    book.active.append(["Words"])
    book.active.append(["not these"])
    page = book.create_sheet("Finds")
    page.append(["Date", "Name"])
    page.append([date(2026, 10, 3), "Stereum hirsutum"])
    out = BytesIO()
    book.save(out)
    taking = actions.give(out.getvalue(), "book.xlsx", by=curator, now=NOW)
    client.force_login(curator)
    assert "Read this sheet" in client.get(f"/taking-in/{taking.pk}/").content.decode()
    client.post(f"/taking-in/{taking.pk}/sheet/", {"sheet": "Finds"})
    client.post(f"/taking-in/{taking.pk}/columns/", {"column-0": "found_on", "column-1": "name_typed"})
    client.post(f"/taking-in/{taking.pk}/accept/")
    assert str(Find.objects.get().found_on) == "2026-10-03"


def test_the_command_tells_each_line_and_leaves_no_file_behind(
    taken: TakingIn, keeper: Member, tmp_path: Path, capsys: Any
) -> None:
    path = tmp_path / "more.csv"
    path.write_text(ROWS + "6.10.2026;;Stereum hirsutum;;;\n")
    before = set(files.folder().iterdir())
    call_command("take_in", str(path), "--dry-run", "--json")
    told = json.loads(capsys.readouterr().out)
    assert [line["state"] for line in told["lines"]] == ["here", "here", "new"] and not told["taken_in"]
    assert Find.objects.count() == 2 and set(files.folder().iterdir()) == before
    call_command("take_in", str(path))
    assert Find.objects.count() == 3
    path.write_text(ROWS + "31.2.2026;;x;;;\n")
    with pytest.raises(CommandError, match="1 lines are wrong") as refused:
        call_command("take_in", str(path))
    assert refused.value.returncode == 1 and Find.objects.count() == 3
