"""The counts say what the finds say: after each action, folded or not, and made anew."""

from collections.abc import Iterator
from datetime import date

import pytest

from ledger.finds import actions
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.search.keeping import keep
from ledger.search.keys import cell_number
from ledger.taxa.actions import mark_sensitive
from ledger.taxa.models import Taxon
from ledger.year import counts
from ledger.year.cells import ALL, Counted, map_keys
from ledger.year.models import CountMove, MapCount, SeasonCount
from tests.ledger.finds.making import TWELVE, entry
from tests.ledger.year.holding import held, true


@pytest.fixture
def find(db: None, reference: object, collector: Member) -> Iterator[Find]:
    """A find with a place; at the end the counts are held against the finds: waiting, folded and made anew."""
    yield actions.log_find(entry(*TWELVE, latitude=51.214, longitude=-2.337), by=collector)
    assert held() == true()
    counts.fold()
    assert held() == true()
    assert not CountMove.objects.exists()
    counts.rebuild()
    assert held() == true()


def test_a_logged_find_is_counted_in_its_week_and_cells(find: Find) -> None:
    counts.fold()
    assert SeasonCount.objects.get(year=2026, taxon=ALL, week=40).n == 1
    cell = cell_number(latitude=51.214, longitude=-2.337, side_deg=0.01)
    assert MapCount.objects.get(net=3, taxon=ALL, year=ALL, side=3, cell=cell).n == 1


def test_an_amended_day_moves_it_to_another_week(find: Find, collector: Member) -> None:
    later = entry(*TWELVE, latitude=51.214, longitude=-2.337, found_on=date(2026, 9, 1))
    actions.amend_find(find.pk, later, by=collector, version=1)
    assert (2026, ALL, 40) not in held()[1]
    assert held()[1][2026, ALL, 36] == 1


def test_a_find_made_sensitive_leaves_the_finer_nets(find: Find) -> None:
    mark_sensitive(Taxon.objects.get(name="Trametes versicolor"), 0.1)
    on_map = held()[0]
    area = cell_number(latitude=51.25, longitude=-2.35, side_deg=0.1)
    assert on_map[3, ALL, ALL, 2, area] == 1
    assert not any(side == 3 for _net, _taxon, _year, side, _cell in on_map)


def test_a_find_saved_without_a_change_waits_for_nothing(find: Find) -> None:
    before = CountMove.objects.count()
    keep(find)
    assert CountMove.objects.count() == before


def test_what_waits_is_folded_when_enough_has_come(
    find: Find, collector: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(counts, "FOLD_AT", 1)
    actions.log_find(entry(*TWELVE, latitude=-0.5, longitude=179.99), by=collector)
    assert not CountMove.objects.exists()
    assert MapCount.objects.get(net=0, taxon=ALL, year=ALL, side=0, cell=323).n == 1


def test_a_find_on_no_map_is_counted_in_the_season_only() -> None:
    assert list(map_keys(Counted(taxon=1, year=2026, week=40, step_deg=None, cells=None))) == []
