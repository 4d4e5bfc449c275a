"""However an order is come by, it is the same one: of few rows sorted, by a condition that leads, by walking it."""

from datetime import UTC, date, datetime, timedelta
from itertools import product

import pytest
from django.http import QueryDict

from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.search import list_page, queries, walk
from ledger.search.list_page import ListPage
from ledger.search.paging import SORTS
from tests.factories import FindFactory, MemberFactory, TaxonFactory, indexed, name_find

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 26, tzinfo=UTC)
ASKED = (
    "q=wood", "q=trametes", "q=ganoderma", "q=by+Ada", "q=oct", "q=autumn", "q=2026", "q=by+Ada+wood+trametes",
    "q=2026+wood", "q=on+fagus+by+Ada", "show=mine", "show=held", "show=held&q=wood+oct", "taxon=trametes-versicolor",
    "taxon=trametes-versicolor&q=by+Ada", "q=trametes+hirsuta+wood",
)  # fmt: skip
WAYS = {
    "few": {},
    "led": {"RARE": 0},
    "led where a walk fails": {"RARE": 0, "SORTABLE": 0, "WINDOWS": ()},
    "walked": {"RARE": 0, "SORTABLE": 0, "LEADING": 0},
    "walked in one window": {"RARE": 0, "SORTABLE": 0, "WINDOWS": (100,)},
    "walked, of too many names": {"RARE": 0, "SORTABLE": 0, "LEADING": 0, "MOST_NAMES": 0},
    "not walked far enough": {"RARE": 0, "SORTABLE": 0, "LEADING": 0, "WINDOWS": (1, 2)},
}


@pytest.fixture(autouse=True)
def _with_reference(reference: object) -> None:
    pass


@pytest.fixture
def finds(collector: Member) -> list[Find]:
    """Of two finders, four taxa and none, some held, on days of two months, some of one moment and one number."""
    other = MemberFactory(full_name="Bob Elm", collector_code="BE")
    names = ("Trametes versicolor", "Ganoderma applanatum", "Trametes hirsuta", "Trametes gibbosa", "")
    taxa = [TaxonFactory(name=name) for name in names if name]
    made = []
    for number in range(40):
        find = FindFactory(
            finder=(collector, other)[number % 2],
            collecting_code=("AO", "BE")[number % 2],
            collecting_serial=number // 3,
            found_on=None if number == 7 else date(2026, 10 + number % 2, 1 + number % 5),
            logged_at=datetime(2026, 11, 20, tzinfo=UTC) + timedelta(hours=number // 2),
            status=Status.HELD if number % 3 else Status.LOGGED,
            host="Fagus sylvatica" if number % 4 else "Betula pendula",
            locality="Hollin Wood" if number % 7 else "Bowl Barrow",
        )
        if number % 5 < len(taxa):
            name_find(find, taxa[number % 5])
        indexed(find)
        made.append(find)
    return made


def pages(member: Member, asked: str, sort: str) -> tuple[list[str], list[str]]:
    """The finds of all pages forwards, and of all pages back from the last."""
    forwards, mark = [], ""
    while True:
        page = ListPage(member, QueryDict(f"{asked}&sort={sort}&after={mark}"), NOW).page
        forwards += [str(row.find_id) for row in page.rows]
        if not page.after:
            break
        mark = page.after
    back = [str(row.find_id) for row in page.rows]
    while page.before:
        page = ListPage(member, QueryDict(f"{asked}&sort={sort}&before={page.before}"), NOW).page
        back = [str(row.find_id) for row in page.rows] + back
    return forwards, back


@pytest.mark.parametrize("sort", [one.code for one in SORTS], ids=lambda code: code or "latest")
def test_each_way_shows_the_same_pages(
    finds: list[Find], collector: Member, monkeypatch: pytest.MonkeyPatch, sort: str
) -> None:
    monkeypatch.setattr(list_page, "PER_PAGE", 7)
    shown: dict[str, dict[str, list[str]]] = {}
    for way, changed in WAYS.items():
        with monkeypatch.context() as patch:
            for name, value in changed.items():
                patch.setattr(walk if name == "WINDOWS" else queries, name, value)
            shown[way] = {}
            for asked in ASKED:
                forwards, back = pages(collector, asked, sort)
                assert sorted(forwards) == sorted(back), (way, asked)
                shown[way][asked] = forwards
    assert [asked for asked, ids in shown["few"].items() if not ids] == []
    for way, asked in product(WAYS, ASKED):
        assert shown[way][asked] == shown["few"][asked], (way, asked)
