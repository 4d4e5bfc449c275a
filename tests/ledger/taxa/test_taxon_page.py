"""The page of one taxon, against the rows of fixtures/ranges.csv it is made from."""

import csv
from pathlib import Path

import pytest

from ledger.taxa.pages import MONTHS

pytestmark = pytest.mark.django_db
RANGES = Path(__file__).parents[3] / "fixtures" / "ranges.csv"


def test_the_season_is_told_in_months_with_the_number_of_its_sources(reference, collector, browser_of):
    with RANGES.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["trait"] == "fruiting_months"]
    row = next(row for row in rows if row["low"] != row["high"] and int(row["high"]) - int(row["low"]) < 11)
    same = sum((r["taxon"], r["low"], r["high"]) == (row["taxon"], row["low"], row["high"]) for r in rows)
    page = browser_of(collector).get(f"/taxa/{row['taxon'].lower().replace(' ', '-')}/").content.decode()
    months = page.partition('class="trait__months">')[2].partition("</p>")[0]
    said = f"{MONTHS[int(row['low']) - 1]} to {MONTHS[int(row['high']) - 1]}"
    assert f"{said}, {same} source{'' if same == 1 else 's'}" in months


def test_the_list_of_taxa_says_first_that_it_is_no_list_of_food(reference, collector, browser_of):
    page = browser_of(collector).get("/taxa/").content.decode()
    assert page.index("No name in this list says that a fungus may be eaten.") < page.index('class="rows"')
