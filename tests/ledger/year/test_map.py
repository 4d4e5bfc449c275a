"""The map: cells, finds, areas; and nothing of an exact place that is kept back, however it is asked."""

import json
from typing import Any

import pytest
from django.test import Client

from ledger.days import short_day_text
from ledger.finds import actions
from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.year import counts, map_page
from ledger.year.asked import Asked
from ledger.year.view import view_of
from tests.factories import ForayFactory
from tests.ledger.finds.making import TWELVE, entry

pytestmark = pytest.mark.django_db
AT = {"latitude": 51.2143, "longitude": -2.3371}
AROUND = {"south": 51.0, "west": -2.6, "north": 51.4, "east": -2.1}


@pytest.fixture(autouse=True)
def _with_reference(reference: object) -> None:
    pass


def _find(by: Member, **record: Any) -> Find:
    return actions.log_find(entry(*TWELVE, **{**AT, **record}), by=by)


def _cells(member: Member, zoom: float = 12, **asked: Any) -> dict[str, Any]:
    client = Client()
    client.force_login(member)
    answer = client.get("/year/map/cells.json", {**AROUND, "zoom": zoom, **asked})
    assert answer.status_code == 200, answer.content
    return json.loads(answer.content)


def test_a_find_open_to_all_is_drawn_where_it_is(collector: Member, stranger: Member) -> None:
    find = _find(collector)
    (drawn,) = _cells(stranger)["finds"]
    assert drawn["at"] == [51.2143, -2.3371]
    assert drawn["number"] == find.collecting_number


def test_a_place_kept_back_is_the_area_it_is_told_by(collector: Member, stranger: Member) -> None:
    _find(collector, own_blur_step_deg=0.1)
    answer = _cells(stranger)
    assert answer["finds"] == []
    assert answer["areas"] == [[51.2, -2.4, 51.3, -2.3, 1, 1]]


@pytest.mark.parametrize(
    ("step", "area"), [(0.01, [51.21, -2.34, 51.22, -2.33]), (0.001, [51.214, -2.338, 51.215, -2.337])]
)
def test_a_small_area_is_drawn_as_small_as_it_is(
    collector: Member, stranger: Member, step: float, area: list[float]
) -> None:
    _find(collector, own_blur_step_deg=step)
    answer = _cells(stranger, zoom=15)
    assert answer["finds"] == []
    assert answer["areas"] == [[*area, 1, 1]]


def test_whoever_may_know_it_sees_it_where_it_is(collector: Member, curator: Member) -> None:
    _find(collector, own_blur_step_deg=0.1)
    for member in (collector, curator):
        (drawn,) = _cells(member)["finds"]
        assert drawn["at"] == [51.2143, -2.3371] and drawn["kept"]


def test_no_edge_of_the_map_tells_where_in_its_area_a_find_lies(collector: Member, stranger: Member) -> None:
    _find(collector, own_blur_step_deg=0.1)
    around, beside = (
        {"south": 51.213, "west": -2.338, "north": 51.216, "east": -2.336},
        {"south": 51.283, "west": -2.318, "north": 51.286, "east": -2.316},
    )
    for zoom in (3, 7, 9, 12, 16, 18):
        assert _cells(stranger, zoom, **around) == _cells(stranger, zoom, **beside)


def test_a_foray_is_not_said_of_a_find_that_is_kept_back(collector: Member, stranger: Member) -> None:
    foray: Foray = ForayFactory()
    _find(collector, own_blur_step_deg=0.1, foray=foray)
    assert _cells(stranger, foray=foray.pk)["areas"] == []
    assert _cells(stranger, foray=foray.pk)["finds"] == []
    assert len(_cells(collector, foray=foray.pk)["finds"]) == 1


@pytest.mark.parametrize(("zoom", "net"), [(2, 10.0), (6, 1.0), (9, 0.1), (12, 0.01)])
def test_many_finds_are_counted_in_cells(
    collector: Member, stranger: Member, monkeypatch: pytest.MonkeyPatch, zoom: float, net: float
) -> None:
    monkeypatch.setattr(map_page, "MOST_FINDS", 1)
    _find(collector)
    _find(collector, latitude=51.2144)
    counts.fold()
    _find(collector, latitude=51.2145)
    answer = _cells(stranger, zoom)
    assert answer["net"] == net
    assert [area[4:] for area in answer["areas"]] == [[3, 0]]


def test_a_year_and_a_taxon_part_the_finds(collector: Member, stranger: Member) -> None:
    _find(collector)
    assert len(_cells(stranger, year=2026, taxon="trametes-versicolor")["finds"]) == 1
    assert _cells(stranger, year=2025)["finds"] == []
    assert _cells(stranger, taxon="bjerkandera-adusta")["finds"] == []


def test_the_map_opens_where_the_finds_are(collector: Member) -> None:
    _find(collector)
    view = map_page.fitting(collector, Asked())
    assert view.holds(51.2143, -2.3371)
    assert view.north - view.south < 0.2


def test_an_empty_club_opens_on_the_whole_earth(collector: Member) -> None:
    assert map_page.fitting(collector, Asked()).zoom == 1.0


@pytest.mark.parametrize(
    "wrong", [{"south": "nan"}, {"south": 52}, {"zoom": "x"}, {"east": "inf"}, {"west": ""}]
)
def test_edges_that_are_none_are_refused_with_a_sentence(
    client: Client, stranger: Member, wrong: dict[str, Any]
) -> None:
    client.force_login(stranger)
    answer = client.get("/year/map/cells.json", {**AROUND, "zoom": 9, **wrong})
    assert answer.status_code == 422 and "load the page anew" in answer.json()["why"]


def test_the_page_says_in_a_table_what_the_map_shows(
    client: Client, collector: Member, stranger: Member
) -> None:
    _find(collector)
    _find(collector, own_blur_step_deg=0.1, latitude=51.2987)
    client.force_login(stranger)
    page = client.get("/year/map/?at=51.2,-2.3&zoom=10").content.decode()
    assert "51.2° N to 51.3° N, 2.4° W to 2.3° W" in page
    assert "51.2987" not in page
    assert "Trametes versicolor" in page


def test_a_view_as_wide_as_the_earth_asks_for_no_fine_net() -> None:
    assert view_of(-90, -180, 90, 180, 18).net <= 1


def test_an_empty_map_says_what_to_do_and_that_nobody_may_have_looked(
    client: Client, collector: Member, stranger: Member
) -> None:
    _find(collector)
    client.force_login(stranger)
    page = client.get("/year/map/?year=1850").content.decode()
    assert "No finds lie here. Choose other taxa or years" in page
    assert "0 finds, each" not in page
    assert "may be one where nobody looked" in page and "Of all taxa in 1850: 0 finds, 0 forays" in page
    assert '<option value="1850" selected>1850</option>' in page


def test_a_find_told_both_ways_is_not_counted_twice(collector: Member, curator: Member) -> None:
    _find(collector)
    _find(collector, own_blur_step_deg=0.1)
    said = _cells(curator)["said"]
    assert "2 finds, each where it was found." in said
    assert "1 of them is told to others by an area with a broken line." in said


def test_where_only_areas_are_no_points_are_counted(collector: Member, stranger: Member) -> None:
    _find(collector, own_blur_step_deg=0.1)
    assert _cells(stranger)["said"] == "1 find is told by an area with a broken line, and no finer."


def test_days_on_the_map_are_in_words(collector: Member, stranger: Member) -> None:
    find = _find(collector)
    (drawn,) = _cells(stranger)["finds"]
    assert find.found_on is not None and drawn["day"] == short_day_text(find.found_on)


def test_of_a_taxon_the_map_tells_where_anything_was_found(collector: Member, stranger: Member) -> None:
    _find(collector)
    assert _cells(stranger)["looked"] == []
    other = _cells(stranger, taxon="bjerkandera-adusta")
    assert other["finds"] == [] and other["looked"] == [[51.21, -2.34, 51.22, -2.33]]


def test_with_tiles_a_foray_opens_around_the_cell_of_what_is_kept_back(
    client: Client, collector: Member, settings: Any
) -> None:
    foray = ForayFactory(leader=collector)
    _find(collector, foray_id=foray.pk, own_blur_step_deg=0.1)
    settings.MAP_TILES = "https://tiles.example.org/{z}/{x}/{y}.png"
    view = map_page.fitting(collector, Asked(foray=foray))
    assert (view.south + view.north) / 2 == pytest.approx(51.25) and view.north - view.south > 0.1


def test_the_map_alone_may_load_from_the_host_of_the_tiles(
    client: Client, stranger: Member, settings: Any
) -> None:
    settings.MAP_TILES = "https://tiles.example.org/{z}/{x}/{y}.png"
    client.force_login(stranger)
    policy = {path: client.get(path)["Content-Security-Policy"] for path in ("/year/map/", "/year/season/")}
    (pictures,) = [part for part in policy["/year/map/"].split(";") if "img-src" in part]
    assert pictures.split() == ["img-src", "'self'", "data:", "blob:", "https://tiles.example.org"]
    assert policy["/year/map/"].count("tiles.example.org") == 1
    assert "tiles.example.org" not in policy["/year/season/"]
