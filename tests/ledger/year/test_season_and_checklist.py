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
    assert "Logged in other years, not in 2026" in said and "Bjerkandera adusta" in said
    assert "Not logged is not the same as not there: 2026 has 2 finds, 1 foray" in said
    assert "all years together have 3 finds" in said


def test_of_a_year_without_a_find_nothing_is_said_to_be_missing(page: Any) -> None:
    said = page("/year/checklist/?year=1900")
    assert "Nothing was logged of it" in said and "Logged in other years" not in said
    assert '<option value="1900" selected>' in said


def test_the_season_of_a_taxon_marks_the_weeks_in_which_anybody_looked(page: Any) -> None:
    said = page("/year/season/?taxon=bjerkandera-adusta&year=2026")
    assert "No find with a day is like this. Choose another taxon or year." in said
    assert said.count('class="season__looked"') == 1 and "in the others nobody may have looked" in said
    assert 'class="season__looked"' not in page("/year/season/")


def test_years_lead_to_their_finds_and_stand_beside_their_forays(page: Any) -> None:
    said = page("/year/")
    assert '<a href="/finds/?q=2026">2026</a></th><td>2</td><td>1</td>' in said
    assert "cannot be right" not in said


def test_a_day_that_cannot_be_is_no_year_and_is_told(page: Any, collector: Member) -> None:
    for day in (date(1026, 10, 3), date(2962, 10, 3)):
        actions.log_find(entry(*TWELVE, found_on=day), by=collector)
    said = page("/year/")
    assert ">1026<" not in said and ">2962<" not in said and "the day cannot be right" in said
    for asked in ("before+1700", "after+"):
        assert f"/finds/?q={asked}" in said
    assert "3 Oct 1026" in page("/finds/?q=before+1700")


def test_the_checklist_of_a_foray_leaves_out_what_it_would_tell(page: Any, collector: Member) -> None:
    assert "1 find of 1 member" in page("/year/checklist/?foray={foray}")
    assert "2 finds of 1 member" in page("/year/checklist/?foray={foray}", collector)


def test_a_checklist_that_holds_what_others_may_not_know_says_not_to_hand_it_on(
    page: Any, collector: Member
) -> None:
    assert "do not hand the list on" not in page("/year/checklist/?foray={foray}")
    assert "1 find in this list is kept back from others" in page("/year/checklist/?foray={foray}", collector)


def test_the_checklist_of_an_area_says_what_is_told_wider(page: Any) -> None:
    said = page("/year/checklist/?cell=51.21,-2.34,0.01")
    assert "1 taxon of 51.21° N to 51.22° N" in said
    assert "1 find more is told only by a larger area" in said
    assert "2 finds" in page("/year/checklist/?cell=51.2,-2.4,0.1&year=2026")


@pytest.mark.parametrize("cell", ["x", "91,0,1", "51,-2,0.5", "nan,0,1", "1,2,3,4"])
def test_a_cell_that_is_none_is_told(page: Any, cell: str) -> None:
    assert "no cell of the map" in page(f"/year/checklist/?cell={cell}")
