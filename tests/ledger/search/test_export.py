"""The list as a file."""

import csv
import io
from collections.abc import Callable

import pytest
from django.test import Client

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.search.export import COLUMNS
from tests.factories import FindFactory, TaxonFactory, indexed, name_find

pytestmark = pytest.mark.django_db
BrowserOf = Callable[[Member], Client]


@pytest.fixture(autouse=True)
def _with_reference(reference: object) -> None:
    pass


def table(browser: Client, query: str = "") -> list[dict[str, str]]:
    answer = browser.get(f"/finds/shown.csv{query}")
    text = b"".join(answer.streaming_content).decode("utf-8-sig")  # type: ignore[attr-defined]
    return list(csv.DictReader(io.StringIO(text)))


def test_the_file_holds_what_the_list_shows_in_its_order(collector: Member, browser_of: BrowserOf) -> None:
    finds = [FindFactory(finder=collector, locality="Otter Mill") for _ in range(3)]
    FindFactory(finder=collector, locality="Elsewhere")
    rows = table(browser_of(collector), "?q=otter&sort=number")
    assert [row["Collecting number"] for row in rows] == [find.collecting_number for find in finds]
    assert list(rows[0]) == list(COLUMNS)


def test_whoever_asks_a_sensitive_place_stays_in_its_cell(
    collector: Member, curator: Member, browser_of: BrowserOf
) -> None:
    find: Find = FindFactory(finder=collector, own_blur_step_deg=0.1, locality="Fallow Dell")
    for member in (collector, curator):
        (row,) = table(browser_of(member))
        assert (row["Latitude"], row["Longitude"]) == ("51.25", "-2.35")
        assert row["Place"] == "" and row["Place told in cells of degrees"] == "0.1"
        assert "51.23456" not in str(row) and find.locality not in str(row)


@pytest.mark.parametrize("begins", ["=", "+", "-", "@", "\t=", "=cmd|' /C calc'!A0"])
def test_no_cell_becomes_a_formula(collector: Member, browser_of: BrowserOf, begins: str) -> None:
    find = FindFactory(finder=collector, locality=f"{begins}1+1", host=f"{begins}HYPERLINK(1)")
    name_find(find, None, name_typed=f"{begins}SUM(A1)")
    indexed(find)
    (row,) = table(browser_of(collector))
    assert not [cell for cell in row.values() if cell[:1] in "=+@\t" and cell]
    assert row["Latitude"] == "51.23456" and row["Longitude"] == "-2.34567"


def test_people_stand_in_it_as_they_agreed(collector: Member, browser_of: BrowserOf) -> None:
    find = FindFactory(finder=collector, found_by="")
    guests = FindFactory(finder=collector, found_by="Rowan Guest")
    name_find(find, TaxonFactory(), determiner_name="Somebody Else")
    by_number = {row["Collecting number"]: row for row in table(browser_of(collector))}
    assert by_number[find.collecting_number]["Found by"] == collector.collector_code
    assert "Rowan" not in str(by_number[guests.collecting_number])
    assert "Somebody" not in str(by_number[find.collecting_number])


def test_signed_out_there_is_no_file(nobody: Client) -> None:
    assert nobody.get("/finds/shown.csv").status_code == 302
