"""Which labels are printed, which are refused by name, and at what price."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import (
    DeterminationFactory,
    FindFactory,
    FlagFactory,
    ReadingFactory,
    TaxonFactory,
    name_find,
)
from tests.vouchers.labels.making import text_of
from vouchers.printing import items
from vouchers.printing.actions import Run, keep_print, print_items
from vouchers.register.actions import accession
from vouchers.register.queries import for_labels

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


CLUB = Club(name="Hollin Fungus Group")


def print_vouchers(numbers: list[int], *sheets: str, by: Member, again: list[str] | None = None) -> Run:
    """Print the vouchers on the sheets and keep the print."""
    chosen = items.of_vouchers(for_labels(numbers), sheets or ("labels-96x92",), club=CLUB, member=by)
    run = print_items(chosen, paper="a4", now=NOW, again=again)
    keep_print(run, by=by, now=NOW)
    return run


@pytest.fixture
def print_finds(curator: Member) -> Callable[..., Run]:
    """Accession the finds and print them on a sheet."""

    def printed(*finds: Find, sheet: str = "labels-96x92") -> Run:
        numbers = [accession(find.pk, by=curator, now=NOW).pk for find in finds]
        return print_vouchers(numbers, sheet, by=curator)

    return printed


def renamed(first: str = "Stereum", then: str = "Stereum hirsutum", **given: Any) -> Find:
    find: Find = FindFactory(**given)
    DeterminationFactory(find=find, taxon=None, name_typed=first, made_at=NOW - timedelta(days=9))
    name_find(find, None, name_typed=then, made_at=NOW, determined_on=date(2026, 11, 2))
    return find


@pytest.mark.parametrize("sheet", ["labels-96x92", "slips"])
def test_a_find_with_an_open_stop_is_refused_and_the_others_are_printed(
    sheet: str, print_finds: Callable[..., Run]
) -> None:
    barred, free = renamed(), renamed()
    FlagFactory(find=barred, code="date_future", severity="stop", sentence="The find is dated 2 May 2031.")
    printed = print_finds(barred, free, sheet=sheet)
    (refusal,) = printed.refused
    assert refusal.accession_number == "BL 2026-0001" and "dated 2 May 2031" in refusal.sentence
    assert "BL 2026-0002" in text_of(printed) and "BL 2026-0001" not in text_of(printed)


def test_a_find_with_open_doubts_is_printed(print_finds: Callable[..., Run]) -> None:
    find = renamed()
    FlagFactory(find=find, code="place_missing")
    printed = print_finds(find)
    assert not printed.refused and "BL 2026-0001" in text_of(printed)


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: FindFactory(), "never named"),
        (lambda: name_find(FindFactory(), TaxonFactory()).find, "determined once"),
        (lambda: renamed(then=""), "takes the name back"),
    ],
)
def test_a_packet_without_a_later_name_has_no_slip(
    make: Callable[[], Find], sentence: str, print_finds: Callable[..., Run]
) -> None:
    printed = print_finds(make(), sheet="slips")
    assert printed.pdf is None
    assert [sentence in refusal.sentence for refusal in printed.refused] == [True]


def test_a_later_determination_has_its_slip(print_finds: Callable[..., Run]) -> None:
    printed = print_finds(renamed(), sheet="slips")
    assert not printed.refused and "Stereum hirsutum" in text_of(printed)


def test_refusals_come_in_the_order_of_the_vouchers(print_finds: Callable[..., Run]) -> None:
    too_long = FindFactory(
        trees_nearby="oak and ash " * 16,
        locality="by the gate " * 25,
        smell="of pears " * 13,
        permission="leave of the owner " * 10,
    )
    stopped = FlagFactory(code="date_future", severity="stop").find
    printed = print_finds(stopped, too_long, FindFactory())
    assert [refusal.line for refusal in printed.refused] == ["Flags", "Place"]
    assert "BL 2026-0003" in text_of(printed)


@pytest.mark.parametrize("count", [2, 6])
def test_labels_cost_five_queries_however_many(
    count: int, curator: Member, django_assert_num_queries: Any
) -> None:
    numbers = []
    for _ in range(count):
        find = renamed()
        ReadingFactory(find=find)
        FlagFactory(find=find, code="place_missing")
        numbers.append(accession(find.pk, by=curator, now=NOW).pk)
    with django_assert_num_queries(5):
        chosen = items.of_vouchers(for_labels(numbers), ["labels-96x92"], club=CLUB, member=curator)
        print_items(chosen, paper="a4", now=NOW)
