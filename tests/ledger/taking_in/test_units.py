"""A measured column is read in the unit that its name tells; whoever looks at the file is told so before it is taken in."""

from datetime import UTC, datetime

import pytest
from django.test import Client

from ledger.finds.models import Find, Reading
from ledger.people.models import Member
from ledger.taking_in import actions
from ledger.taking_in.columns import Mapped
from ledger.taking_in.models import TakingIn
from ledger.taking_in.refused import FileRefused
from ledger.taking_in.units_named import unit_named
from ledger.traits.reference import Reference

NOW = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)


def given(header: str, *cells: str, by: Member, trait: str = "cap_width", mark: str = "comma") -> TakingIn:
    rows = "".join(f"\r\n{cell};{n}" for n, cell in enumerate(cells))
    taking = actions.give(f"{header};Nr{rows}\r\n".encode(), "sizes.csv", by=by, now=NOW)
    actions.map_columns(taking, Mapped({0: f"trait:{trait}", 1: "note"}, mark=mark), [header], by=by, now=NOW)
    return taking


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("Hutbreite cm", "cm"),
        ("cap width (cm)", "cm"),
        ("cap width [in cm, dry]", "cm"),
        ("Hutbreite (trocken), cm", "cm"),
        ("width_cm", "cm"),
        ("capWidthCm", "cm"),
        ("hutbreitecm", "cm"),
        ("Breite MM", "mm"),
        ("Sporenlänge µm", "µm"),
        ("Width, inches", "inches"),
        ("Poren/cm", "1/cm"),
        ("Poren pro mm", "1/mm"),
        ("Pores (1/mm)", "1/mm"),
        ("Pores per inch", "1/in"),
        ("weight (g)", "g"),
        ("Stamm", ""),
        ("Spore length M", ""),
        ("Cap width (largest)", ""),
        ("cm of what", ""),
        ("", ""),
    ],
)
def test_a_unit_is_found_in_the_name_of_a_column(name: str, unit: str) -> None:
    assert unit_named(name) == unit


@pytest.mark.parametrize("header", ["Hutbreite cm", "cap width (cm)", "width_cm"])
def test_a_column_in_centimetres_is_read_in_them(header: str, reference: Reference, curator: Member) -> None:
    actions.take_in(given(header, "4,5", by=curator), by=curator, now=NOW)
    reading = Reading.objects.get()
    assert (reading.values, reading.unit) == ([45], "mm")


@pytest.mark.parametrize(
    ("cell", "low", "high"), [("4,5-5,5", 45, 55), ("4-5 n=3", 40, 50)], ids=["a range", "a range of some"]
)
def test_a_range_is_read_in_the_unit_of_its_column(
    cell: str, low: float, high: float, reference: Reference, curator: Member
) -> None:
    actions.take_in(given("Hutbreite cm", cell, by=curator), by=curator, now=NOW)
    reading = Reading.objects.get()
    assert (reading.low, reading.high) == (low, high)


def test_a_unit_in_the_cell_goes_before_that_of_its_column(reference: Reference, curator: Member) -> None:
    actions.take_in(given("Hutbreite cm", "45 mm", by=curator), by=curator, now=NOW)
    assert Reading.objects.get().values == [45]


@pytest.mark.parametrize(
    ("header", "cell", "told"),
    [
        ("Poren/cm", "40", "1/cm wherever a cell names no unit itself: 40 is 4 per mm"),
        ("Pores per inch", "101,6", "1/in"),
    ],
)
def test_pores_are_read_by_the_length_that_their_column_counts_them_along(
    header: str, cell: str, told: str, reference: Reference, curator: Member
) -> None:
    taking = given(header, cell, by=curator, trait="pores_per_mm")
    report = actions.take_in(taking, by=curator, now=NOW)
    assert Reading.objects.get().values == [4] and told in " ".join(report.notes)


def test_the_unit_of_a_column_is_told_once_with_what_becomes_of_its_first_number(
    reference: Reference, curator: Member
) -> None:
    report = actions.look_at(given("Hutbreite cm", "4-5", "4,5", "6", by=curator), by=curator, now=NOW)
    told = [note for note in report.notes if "Hutbreite cm" in note]
    assert told == ["“Hutbreite cm” is read in cm wherever a cell names no unit itself: 4,5 is 45 mm."]


@pytest.mark.parametrize(
    ("header", "trait"),
    [("Hutbreite mm", "cap_width"), ("Hutbreite", "cap_width"), ("Pores mm", "pores_per_mm")],
)
def test_of_a_column_in_the_trait_s_own_unit_nothing_is_told(
    header: str, trait: str, reference: Reference, curator: Member
) -> None:
    taking = given(header, "4,5", by=curator, trait=trait)
    report = actions.look_at(taking, by=curator, now=NOW)
    assert not [note for note in report.notes if header in note] and report.lines[0].state == "new"


def test_a_column_in_a_unit_that_its_trait_does_not_have_is_refused(
    reference: Reference, curator: Member, client: Client
) -> None:
    taking = given("Hut (g)", "4,5", by=curator)
    with pytest.raises(
        FileRefused, match=r"“Hut \(g\)” is in g, and Cap width.* is not read in that.*mm, cm"
    ):
        actions.look_at(taking, by=curator, now=NOW)
    client.force_login(curator)
    told = {"column-0": "trait:cap_width", "column-1": "note", "mark": "comma"}
    page = client.post(f"/taking-in/{taking.pk}/columns/", told)
    assert page.status_code == 422 and "“Hut (g)” is in g" in page.content.decode()
    assert not Find.objects.exists()


def test_each_line_tells_its_readings_as_they_were_read(reference: Reference, curator: Member) -> None:
    report = actions.look_at(given("Hutbreite cm", "4,5 5", "absent", by=curator), by=curator, now=NOW)
    assert [line.says[-1] for line in report.lines] == [
        "Cap width, along the wood: 45, 50 mm.",
        "Cap width, along the wood: absent.",
    ]


def test_the_choice_of_a_measured_trait_names_its_unit(
    reference: Reference, curator: Member, client: Client
) -> None:
    client.force_login(curator)
    page = client.get(f"/taking-in/{given('Breite', '4', by=curator).pk}/").content.decode()
    assert ">Cap width, along the wood, mm</option>" in page
    assert ">Spore length, µm</option>" in page and ">Pores per millimetre</option>" in page
