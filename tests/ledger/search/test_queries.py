"""What is found, in which order, and by whom it may be found."""

import json
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
from django.http import QueryDict
from django.test import Client
from django.utils import timezone

from ledger.finds import access
from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.search import queries
from ledger.search.list_page import PER_PAGE, ListPage
from ledger.search.models import FindIndex
from ledger.search.paging import SORTS, page_of
from tests.factories import (
    FindFactory,
    FlagFactory,
    ForayFactory,
    MemberFactory,
    TaxonFactory,
    indexed,
    name_find,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _with_reference(reference: object) -> None:
    pass


def found(member: Member, typed: str, **more: str) -> list[Find]:
    query = QueryDict(mutable=True)
    query.update({"q": typed, **more})
    return [row.find for row in ListPage(member, query, timezone.now()).rows]


def test_a_host_is_met_by_any_word_for_its_tree(collector: Member) -> None:
    latin, english, german = (
        FindFactory(finder=collector, host=host, locality="Quarry")
        for host in ("Quercus robur", "dead oak", "Eichenstamm")
    )
    place = FindFactory(finder=collector, host="Fagus", locality="Oak Hollow")
    for typed in ("on oak", "on Quercus", "auf Eiche", "an Eichen"):
        assert {find.pk for find in found(collector, typed)} == {latin.pk, english.pk, german.pk}, typed
    assert {find.pk for find in found(collector, "oak")} == {latin.pk, english.pk, german.pk, place.pk}
    assert [find.pk for find in found(collector, "oak hollow")] == [place.pk]
    assert [find.pk for find in found(collector, "on Buche")] == [place.pk]
    assert found(collector, "on ash") == []


@pytest.fixture
def secret(collector: Member, leader: Member) -> Find:
    """A sensitive find of the collector's on a foray of the leader's."""
    foray = ForayFactory(leader=leader, name="Bowl Barrow", place="upper ride")
    find: Find = FindFactory(
        finder=collector, foray=foray, locality="Fallow Dell", region="Somerset", own_blur_step_deg=0.1
    )
    name_find(find, TaxonFactory(name="Hericium erinaceus"))
    return find


class TestWhoFinds:
    PLACES = ("fallow", "at fallow dell", "bowl barrow", "ride", "fal")

    @pytest.mark.parametrize("typed", PLACES)
    def test_a_stranger_meets_no_sensitive_find_by_its_place(
        self, secret: Find, stranger: Member, typed: str
    ) -> None:
        assert found(stranger, typed) == []

    @pytest.mark.parametrize("typed", PLACES)
    def test_those_entitled_do(
        self, secret: Find, collector: Member, curator: Member, keeper: Member, leader: Member, typed: str
    ) -> None:
        assert [found(one, typed) for one in (collector, curator, keeper, leader)] == [[secret]] * 4

    def test_a_leader_of_another_foray_does_not(self, secret: Find) -> None:
        other = MemberFactory(role="leader")
        ForayFactory(leader=other)
        assert found(other, "fallow") == []

    def test_whoever_logged_it_for_somebody_does(self, secret: Find, stranger: Member) -> None:
        secret.logged_by = stranger
        secret.save()
        indexed(secret)
        assert found(stranger, "fallow") == [secret]

    def test_its_name_and_region_are_no_secret(self, secret: Find, stranger: Member) -> None:
        assert found(stranger, "hericium somerset") == [secret]

    def test_an_open_find_of_the_same_place_is_met(self, secret: Find, stranger: Member) -> None:
        plain = FindFactory(locality="Fallow Dell")
        assert found(stranger, "fallow dell") == [plain]

    def test_a_flag_that_tells_of_the_place_is_met_by_those_entitled_only(
        self, secret: Find, stranger: Member, curator: Member
    ) -> None:
        FlagFactory(find=secret, code="place_at_sea")
        assert (found(stranger, "flag sea"), found(curator, "flag sea")) == ([], [secret])
        assert (found(stranger, "flagged"), found(curator, "flagged")) == ([], [secret])

    def test_the_foray_in_the_address_tells_a_stranger_nothing(self, secret: Find, stranger: Member) -> None:
        assert found(stranger, "", foray=str(secret.foray_id)) == []

    def test_the_condition_on_the_index_is_the_rule_of_the_door(
        self,
        secret: Find,
        collector: Member,
        leader: Member,
        curator: Member,
        keeper: Member,
        stranger: Member,
    ) -> None:
        FindFactory(finder=stranger)
        FindFactory(finder=stranger, own_blur_step_deg=0.01)
        for member in (collector, leader, curator, keeper, stranger):
            rows = FindIndex.objects.filter(access.may_see_place_of(member))
            told = {find.pk for find in Find.objects.all() if access.sees_exact_place(find, member)}
            assert set(rows.values_list("find_id", flat=True)) == told, member


class TestWhatIsFound:
    @pytest.fixture
    def find(self, collector: Member) -> Iterator[Find]:
        find: Find = FindFactory(
            finder=collector,
            collecting_serial=118,
            locality="Łąka pod Lasem",
            host="Fagus",
            found_by="Zoë Guest",
        )
        name_find(find, TaxonFactory(name="Trametes versicolor"))
        other = FindFactory(found_on=date(2025, 5, 1), locality="Otter Mill")
        name_find(other, TaxonFactory(name="Ganoderma applanatum"))
        yield find

    @pytest.mark.parametrize(
        "typed",
        [
            *(
                "AT 118",
                "118",
                "Coriolus versicolor",
                "turkey tail",
                "versic",
                "laka",
                "ŁĄKA pod",
                "Oct 2026",
            ),
            *(
                "by Ada",
                "zoe",
                "on fagus",
                "turkey tail laka 3-9 Oct 2026",
                "autumn",
                "by zoë",
                "Polyporaceae",
            ),
        ],
    )
    def test_it_is_met_by(self, find: Find, stranger: Member, typed: str) -> None:
        assert found(stranger, typed) == [find]

    @pytest.mark.parametrize(
        "typed", ["AT 119", "aka", "turkey tail otter", "Sep 2026", "xyz", "spring fagus"]
    )
    def test_it_is_not_met_by(self, find: Find, stranger: Member, typed: str) -> None:
        assert find not in found(stranger, typed)

    def test_an_accession_number_is_met(self, find: Find, stranger: Member) -> None:
        find.accession_number = "TFG 2026-0007"
        find.save()
        indexed(find)
        assert found(stranger, "TFG 2026-7") == [find] == found(stranger, "accessioned")

    def test_states_are_met(self, find: Find, collector: Member) -> None:
        find.status = Status.SENT_BACK
        find.save()
        indexed(find)
        assert (
            found(collector, "sent back")
            == [find]
            == found(collector, "mine")
            == found(collector, "", show="mine")
        )

    def test_where_nothing_is_found_a_near_name_is_proposed(self, find: Find, stranger: Member) -> None:
        page = ListPage(stranger, QueryDict("q=Trametes+versicolro"), timezone.now())
        assert "Trametes versicolor" in page.names_proposed

    @pytest.mark.parametrize("rare", [0, 1, 3000])
    def test_the_way_to_it_makes_no_difference(
        self, find: Find, stranger: Member, rare: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(queries, "RARE", rare)
        for typed in ("laka by Ada", "versicolor Oct 2026", "held", "Oct 2026", "fagus laka"):
            assert found(stranger, typed) == ([] if typed == "held" else [find]), typed


class TestPages:
    @pytest.fixture
    def many(self, collector: Member) -> list[Find]:
        start = datetime(2026, 11, 1, tzinfo=UTC)
        taxa = [TaxonFactory(name=name) for name in ("Trametes versicolor", "Ganoderma applanatum")]
        finds = []
        for number in range(23):
            day = None if number == 5 else date(2026, 10, 1 + number % 4)
            # Two of one moment, and two of one number.
            find = FindFactory(
                finder=collector,
                found_on=day,
                logged_at=start + timedelta(hours=number // 2),
                collecting_serial=number // 2 + 1,
            )
            if number % 3:
                name_find(find, taxa[number % 3 - 1])
            finds.append(find)
        return finds

    @pytest.mark.parametrize("sort", SORTS, ids=lambda sort: sort.code or "latest")
    def test_pages_forward_and_back_show_each_find_once(self, many: list[Find], sort: object) -> None:
        rows = FindIndex.objects.all()
        whole = [row.pk for row in page_of(rows, sort, size=100).rows]  # type: ignore[arg-type]
        assert len(whole) == len(many)
        pages = [page_of(rows, sort, size=5)]  # type: ignore[arg-type]
        while pages[-1].after:
            pages.append(page_of(rows, sort, size=5, after=pages[-1].after))  # type: ignore[arg-type]
        assert [row.pk for page in pages for row in page.rows] == whole
        back = page_of(rows, sort, size=5, before=pages[3].before)  # type: ignore[arg-type]
        assert [row.pk for row in back.rows] == whole[10:15]

    def test_a_find_without_a_day_comes_last(self, many: list[Find]) -> None:
        assert page_of(FindIndex.objects.all(), SORTS[0], size=100).rows[-1].find_id == many[5].pk

    @pytest.mark.parametrize(
        "mark", ["x", "W10", "WzFd", "eyJhIjoxfQ", "WyJhIiwxXQ", "WzEsMV0" * 90, "Ww", "é"]
    )
    def test_a_mark_of_another_hand_shows_the_first_page(
        self, many: list[Find], browser_of: object, mark: str
    ) -> None:
        answer = browser_of(many[0].finder).get("/finds/", {"after": mark, "sort": "entered"})  # type: ignore[operator]
        assert answer.status_code == 200

    @pytest.mark.parametrize(
        ("sort", "values"),
        [
            ("name", ["\ud800", 1, 1]),
            ("number", ["AT", 1, "\ud800", 1]),
            ("name", ["a\x00", 1, 1]),
            ("entered", ["0001-01-01T00:00:00+14:00", 1]),
            ("entered", ["9999-12-31T23:59:59-14:00", 1]),
            ("", [1 << 62, 1]),
        ],
    )
    def test_a_mark_that_no_row_can_have_shows_the_first_page(
        self, many: list[Find], browser_of: object, sort: str, values: list[object]
    ) -> None:
        mark = urlsafe_b64encode(json.dumps(values).encode()).decode().rstrip("=")
        for name in ("after", "before"):
            answer = browser_of(many[0].finder).get("/finds/", {name: mark, "sort": sort})  # type: ignore[operator]
            assert answer.status_code == 200

    def test_a_page_is_full_and_leads_further(self, collector: Member) -> None:
        FindFactory.create_batch(PER_PAGE + 1, finder=collector)
        page = ListPage(collector, QueryDict("q=by+Ada"), timezone.now())
        assert len(page.rows) == PER_PAGE and "q=by+Ada" in page.after_query and page.count_said == "41"

    def test_few_queries_show_a_page(
        self, many: list[Find], stranger: Member, django_assert_max_num_queries: object
    ) -> None:
        with django_assert_max_num_queries(14):  # type: ignore[operator]
            assert found(stranger, "hollin wood by Ada Oct 2026")


class TestWhereNothingIsFound:
    @staticmethod
    def _page(member: Member, typed: str) -> ListPage:
        query = QueryDict(mutable=True)
        query["q"] = typed
        return ListPage(member, query, timezone.now())

    def test_a_slip_in_a_place_or_a_finder_is_proposed(self, collector: Member, stranger: Member) -> None:
        FindFactory(finder=collector, locality="Quern Dingle")
        assert self._page(stranger, "Quern Dingel 2026").texts_proposed == ["Quern dingle 2026"]
        assert self._page(stranger, "quern thrne").texts_proposed == ["quern thorne"]

    def test_no_word_of_a_place_kept_back_is_proposed(
        self, secret: Find, stranger: Member, leader: Member
    ) -> None:
        assert self._page(leader, "falow").texts_proposed == ["fallow"]
        assert self._page(stranger, "falow").texts_proposed == []

    def test_words_that_stand_in_no_find_are_named(self, collector: Member, stranger: Member) -> None:
        FindFactory(finder=collector, locality="Quern Dingle")
        page = self._page(stranger, "quern zzqx")
        assert [term.word for term in page.not_met] == ["zzqx"] and not page.proposal_ways

    def test_a_place_behind_a_host_is_not_taken_for_the_host(
        self, collector: Member, stranger: Member
    ) -> None:
        find = FindFactory(finder=collector, locality="Quern Dingle", host="Betula")
        assert found(stranger, "on betula quern") == [find]

    def test_of_two_numbers_both_finds_are_shown(self, collector: Member) -> None:
        finds = [FindFactory(finder=collector, collecting_serial=serial) for serial in (5, 36, 40)]
        assert set(found(collector, "AT 36, AT 5")) == set(finds[:2])
        assert set(found(collector, "AT 30-40")) == set(finds[1:])

    def test_a_small_ledger_says_how_many_there_are_of_a_month(self, collector: Member) -> None:
        FindFactory(finder=collector)
        assert self._page(collector, "october").count_said == "1"

    def test_signs_without_a_letter_or_figure_are_told_to_say_nothing(
        self, collector: Member, client: Client
    ) -> None:
        FindFactory(finder=collector)
        client.force_login(collector)
        assert "There is no letter and no figure in “%”" in client.get("/finds/?q=%25").content.decode()
