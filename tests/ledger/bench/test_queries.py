from datetime import timedelta

from django.utils import timezone

from ledger.bench import queries
from ledger.bench.models import Flag
from ledger.finds import tables
from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.taxa.models import Taxon
from tests.factories import FindFactory, FlagFactory, QuestionFactory
from tests.ledger.bench.making import held_find, open_codes

NOW = timezone.now()


def _held(finder: Member, *, worst: int, rank: int = 0, flags: int = 1, days: int = 0) -> Find:
    return FindFactory(
        finder=finder,
        status=Status.HELD,
        worst_flag=worst,
        worst_flag_rank=rank,
        open_flags=flags,
        logged_at=NOW - timedelta(days),
    )


def test_the_worst_stands_first_then_the_worse_kind_then_the_older(collector: Member) -> None:
    old_doubt = _held(collector, worst=2, rank=0, days=40)
    new_stop = _held(collector, worst=3, rank=1)
    old_stop = _held(collector, worst=3, rank=1, days=3)
    worse_kind = _held(collector, worst=3, rank=0)
    shown = [row.find for row in queries.bench(NOW).rows]
    assert shown == [worse_kind, old_stop, new_stop, old_doubt]


def test_many_flags_do_not_push_a_find_up(collector: Member) -> None:
    many = _held(collector, worst=2, flags=9)
    older = _held(collector, worst=2, flags=1, days=2)
    assert [row.find for row in queries.bench(NOW).rows] == [older, many]


def test_a_check_stores_where_the_worst_kind_stands_in_the_table(
    versicolor: Taxon, collector: Member
) -> None:
    find = held_find(versicolor, collector, found_on=None)
    codes = list(tables.flag_table().kinds)
    assert {"trait_outside", "date_missing"} <= set(open_codes(find))
    assert find.worst_flag_rank == codes.index("trait_outside")


def test_only_held_finds_are_listed(collector: Member) -> None:
    for status in (Status.LOGGED, Status.SETTLED, Status.SENT_BACK):
        FindFactory(finder=collector, status=status, worst_flag=3, open_flags=1)
    bench = queries.bench(NOW)
    assert (list(bench.rows), bench.held, bench.oldest_days) == ([], 0, None)


def test_a_row_tells_its_worst_flag_whatever_came_first(collector: Member) -> None:
    find = _held(collector, worst=3, flags=2)
    FlagFactory(find=find, severity="note", code="trait_edge", sentence="At the edge.")
    FlagFactory(
        find=find, severity="stop", code="trait_outside_decisive", subject="underside", sentence="Teeth."
    )
    row = queries.bench(NOW).rows[0]
    assert (row.severity, row.sentence) == ("stop", "Teeth.")
    assert row.short == "Decisive trait outside: underside"


def test_a_row_names_the_numbers_where_the_flag_has_them(versicolor: Taxon, collector: Member) -> None:
    find = held_find(versicolor, collector)
    flag = Flag.objects.get(find=find, code="trait_outside")
    assert queries.short_sentence(flag) == "Cap width 100 mm ± 0.58; documented 20–80 mm"


def test_a_row_says_that_a_house_rule_is_the_clubs_own(collector: Member) -> None:
    find = _held(collector, worst=2)
    told = {"measured": "95 mm ± 0.58", "taxon": "Trametes versicolor", "documented": "up to 80 mm"}
    FlagFactory(find=find, severity="doubt", code="house_rule", subject="cap_width", numbers=told)
    assert queries.bench(NOW).rows[0].short == "Cap width 95 mm ± 0.58; club’s rule up to 80 mm"


def test_the_count_tells_the_oldest_in_whole_days(collector: Member) -> None:
    _held(collector, worst=2, days=6)
    _held(collector, worst=3, days=1)
    bench = queries.bench(NOW)
    assert (bench.held, bench.oldest_days) == (2, 6)


def test_a_long_bench_shows_the_first_and_counts_the_rest(collector: Member, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr(queries, "MOST_IN_LIST", 2)
    for days in (1, 2, 9):
        _held(collector, worst=2, days=days)
    bench = queries.bench(NOW)
    assert (len(bench.rows), bench.held, bench.more, bench.oldest_days) == (2, 3, 1, 9)


def test_those_who_wait_longest_for_an_answer_stand_first(collector: Member, curator: Member) -> None:
    for days in (1, 5):
        find = FindFactory(finder=collector, status=Status.SENT_BACK)
        QuestionFactory(find=find, asked_by=curator, asked_at=NOW - timedelta(days), text=f"{days} days ago")
    assert [row.question.text for row in queries.waiting(NOW)] == ["5 days ago", "1 days ago"]


def test_after_a_find_comes_the_one_that_followed_it(collector: Member) -> None:
    first, second, third = (_held(collector, worst=worst) for worst in (3, 2, 1))
    stood = queries.standing_of(second.pk)
    Find.objects.filter(pk=second.pk).update(status=Status.SETTLED, worst_flag=0, worst_flag_rank=0)
    assert queries.after(second.pk, stood) == third.pk
    assert queries.after(third.pk, queries.standing_of(third.pk)) == first.pk


def test_what_follows_is_what_the_list_shows_next(collector: Member) -> None:
    for worst in (3, 2):
        for rank in (0, 1):
            for days in (1, 1, 2):
                _held(collector, worst=worst, rank=rank, days=days)
    order = [row.find.pk for row in queries.bench(NOW).rows]
    assert [queries.after(one, queries.standing_of(one)) for one in order] == [*order[1:], order[0]]


def test_after_the_last_find_comes_nothing(collector: Member) -> None:
    only = _held(collector, worst=3)
    assert queries.after(only.pk, queries.standing_of(only.pk)) is None
