"""Season and checklist: finds against what is documented and how much was looked."""

from datetime import date
from typing import Any

import pytest
from django.test import Client

from ledger.finds import actions
from ledger.people.models import Member
from ledger.year.season import draw, middle_months
from tests.factories import ForayFactory
from tests.ledger.finds.making import TWELVE, entry

AT = {"latitude": 51.2143, "longitude": -2.3371}


def test_a_season_over_the_new_year_holds_january_and_not_march() -> None:
    shades = {month.name: month.sources for month in draw({}, [(11, 2)]).months}
    assert (shades["Jan"], shades["Mar"], shades["Nov"]) == (1, 0, 1)


def test_the_highest_bar_is_the_week_with_most_finds() -> None:
    season = draw({10: 2, 40: 8}, [])
    assert [(bar.week, bar.height) for bar in season.bars] == [(10, 24.0), (40, 96.0)]
    assert season.n == 10


def test_the_clubs_own_season_leaves_its_rare_ends_out() -> None:
    assert middle_months({2: 1, 36: 30, 40: 40, 44: 30, 50: 1}) == (9, 11)
    assert middle_months({}) is None


@pytest.fixture
def page(db: None, reference: object, collector: Member, stranger: Member) -> Any:
    foray = ForayFactory(held_on=date(2026, 10, 3))
    actions.log_find(entry(*TWELVE, **AT, foray=foray), by=collector)
    actions.log_find(entry(*TWELVE, **AT, own_blur_step_deg=0.1, foray=foray), by=collector)
    actions.log_find(entry(*TWELVE, name="Bjerkandera adusta", found_on=date(2025, 9, 1)), by=collector)

    def ask(address: str, member: Member = stranger) -> str:
        client = Client()
        client.force_login(member)
        answer = client.get(address.format(foray=foray.pk))
        assert answer.status_code == 200
        return answer.content.decode()

    return ask


def test_the_season_tells_sources_and_effort(page: Any) -> None:
    said = page("/year/season/?taxon=trametes-versicolor&year=2026")
    assert "2 finds with a day" in said
    assert "2 finds, 1 foray, 1 member with finds" in said


def test_the_checklist_of_a_year_tells_what_other_years_had(page: Any) -> None:
    said = page("/year/checklist/?year=2026")
    assert "1 taxon of 2026" in said
    assert "Found in other years, not in 2026" in said and "Bjerkandera adusta" in said


def test_the_checklist_of_a_foray_leaves_out_what_it_would_tell(page: Any, collector: Member) -> None:
    assert "1 find of 1 member" in page("/year/checklist/?foray={foray}")
    assert "2 finds of 1 member" in page("/year/checklist/?foray={foray}", collector)


def test_the_checklist_of_an_area_says_what_is_told_wider(page: Any) -> None:
    said = page("/year/checklist/?cell=51.21,-2.34,0.01")
    assert "1 taxon of 51.21° N to 51.22° N" in said
    assert "1 find more is told only by a larger area" in said
    assert "2 finds" in page("/year/checklist/?cell=51.2,-2.4,0.1&year=2026")


@pytest.mark.parametrize("cell", ["x", "91,0,1", "51,-2,0.5", "nan,0,1", "1,2,3,4"])
def test_a_cell_that_is_none_is_told(page: Any, cell: str) -> None:
    assert "no cell of the map" in page(f"/year/checklist/?cell={cell}")
