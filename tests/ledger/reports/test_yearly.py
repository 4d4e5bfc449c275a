"""The club's year: its figures beside another year's, what is new, and nothing that tells a place kept back."""

from collections.abc import Callable
from datetime import UTC, date, datetime

import pytest
from django.test import Client
from django.urls import reverse

from ledger.backup.models import BackupRun
from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.reports.report_pdf import print_report
from ledger.reports.sheet import Report, Table, Weeks
from ledger.reports.yearly import year_report
from tests.factories import FindFactory, ForayFactory, TaxonFactory, name_find
from tests.ledger.reports.reading import text_of
from tests.vouchers.loans.scene import make_scene
from vouchers.parts.actions import make_part
from vouchers.register.actions import accession, deaccession
from vouchers.stocktake.models import Stocktake
from vouchers.store.models import StorePlace

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 12, 2, 19, 30, tzinfo=UTC)
THEN = NOW.replace(year=2025)
SECRET = "Split Oak Dingle"


@pytest.fixture(autouse=True)
def _club(db: None) -> None:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")


def found(finder: Member, on: date | None, name: str = "Trametes versicolor", **given: object) -> Find:
    find: Find = FindFactory(finder=finder, found_on=on, **given)
    name_find(find, TaxonFactory(name=name) if name else None)
    return find


def made(year: int = 2026, beside: int = 2025) -> Report:
    return year_report(year, beside, now=NOW)


def rows(report: Report, heading: str) -> list[list[str]]:
    (block,) = (one for one in report.blocks if isinstance(one, Table) and one.heading == heading)
    return [["".join(text for text, _ in one.text) for one in row] for row in block.rows]


def figures(report: Report, heading: str) -> dict[str, list[str]]:
    return {row[0]: row[1:] for row in rows(report, heading)}


def told(report: Report) -> str:
    return text_of(print_report(report, "a4", made_at=NOW))


def test_each_figure_stands_beside_that_of_the_other_year(collector: Member, stranger: Member) -> None:
    ForayFactory(held_on=date(2025, 9, 1))
    found(collector, date(2025, 9, 1), status="settled")
    found(collector, date(2026, 1, 1), status="settled")
    found(collector, date(2026, 12, 31), "Stereum hirsutum", status="held")
    found(stranger, date(2026, 12, 31), "Stereum hirsutum", status="sent back", found_by="Gwen Guest")
    found(stranger, date(2026, 5, 1), "")
    found(stranger, None)
    numbers = figures(made(), "In numbers")
    assert numbers["finds"] == ["4", "1", "+3"]
    assert numbers["taxa of the reference"] == ["2", "1", "+1"]
    assert numbers["finds without a name of the reference"] == ["1", "0", "+1"]
    assert numbers["taxa that are new for the club"] == ["1", "1", "0"]
    assert numbers["forays"] == ["0", "1", "\u22121"]
    assert numbers["members with finds"] == ["2", "1", "+1"]
    assert numbers["finds of guests, keyed in by members"] == ["1", "0", "+1"]
    assert numbers["days with finds"] == ["3", "1", "+2"]
    assert numbers["finds settled"] == ["1", "1", "0"]
    assert numbers["finds held for a doubt"] == ["1", "0", "+1"]
    assert numbers["finds sent back with a question"] == ["1", "0", "+1"]


def test_how_much_was_looked_stands_beside_it(collector: Member) -> None:
    found(collector, date(2026, 10, 3))
    text = told(made())
    assert "How much was looked: 1 find, 0 forays, 1 member with finds; in 2025: 0 finds" in text
    assert "More finds may be more looking." in text


def test_a_taxon_is_new_where_no_earlier_day_has_it(collector: Member) -> None:
    Member.objects.filter(pk=collector.pk).update(named_outside=True)
    found(collector, date(2019, 3, 1), "Stereum hirsutum")
    found(collector, date(2026, 3, 1), "Stereum hirsutum")
    found(collector, date(2026, 7, 1), collecting_serial=57)
    found(collector, date(2026, 5, 1), collecting_serial=58, status="held")
    found(collector, None)
    assert rows(made(), "New for the club") == [
        ["Trametes versicolor (L.) Lloyd", "1 May 2026", "Ada Thorne", "not settled: held for a doubt"]
    ]
    assert rows(made(2019, 2018), "New for the club")[0][0] == "Stereum hirsutum (L.) Lloyd"


def test_a_taxon_is_not_new_by_a_find_that_was_named_with_a_doubt_or_as_a_group(collector: Member) -> None:
    for serial, qualifier in enumerate(("cf.", "group"), 57):
        find: Find = FindFactory(finder=collector, found_on=date(2026, 5, 1), collecting_serial=serial)
        name_find(find, TaxonFactory(name="Trametes versicolor"), qualifier=qualifier)
    assert rows(made(), "New for the club") == []
    found(collector, date(2026, 7, 1), collecting_serial=60)
    assert [row[1] for row in rows(made(), "New for the club")] == ["1 Jul 2026"]


def test_of_a_place_kept_back_no_day_is_told_that_would_tell_the_foray(
    collector: Member, leader: Member
) -> None:
    foray = ForayFactory(leader=leader, held_on=date(2026, 10, 3))
    kept_back = {"foray": foray, "own_blur_step_deg": 0.1, "collecting_serial": 777}
    found(collector, date(2026, 10, 3), "Ganoderma lucidum", **kept_back)
    report = made()
    assert rows(report, "New for the club")[0][1] == "Oct 2026"
    assert rows(report, "Taxa, with their first and last day")[0][1:3] == ["Oct 2026", "Oct 2026"]
    assert "777" not in told(report) and "the month alone is told" in told(report)
    found(collector, date(2026, 11, 4), "Ganoderma lucidum")
    assert rows(made(), "Taxa, with their first and last day")[0][1:3] == ["Oct 2026", "4 Nov 2026"]


def test_taxa_have_their_first_and_last_day_and_the_finds_of_the_other_year(collector: Member) -> None:
    found(collector, date(2025, 6, 1), "Stereum hirsutum")
    found(collector, date(2025, 6, 1))
    found(collector, date(2026, 2, 3), status="settled")
    found(collector, date(2026, 11, 4))
    report = made()
    assert rows(report, "Taxa, with their first and last day") == [
        ["Trametes versicolor (L.) Lloyd", "3 Feb 2026", "4 Nov 2026", "2", "1", "1"]
    ]
    assert "1 taxon of 2025 was not found again, which is not the same as not there." in told(report)


def test_the_season_is_drawn_by_week_and_told_in_words(collector: Member) -> None:
    found(collector, date(2025, 10, 1))
    for _ in range(2):
        found(collector, date(2026, 10, 1))
    found(collector, date(2026, 3, 2))
    report = made()
    (weeks,) = (block for block in report.blocks if isinstance(block, Weeks))
    assert [(bar.week, bar.n, bar.height, bar.before) for bar in weeks.bars] == [
        (10, 1, 50.0, 0.0),
        (40, 2, 100.0, 50.0),
    ]
    assert (
        "2026: the first find on 2 Mar 2026, the last on 1 Oct 2026; most in week 40 (Oct), 2. The frames are 2025."
        in told(report)
    )


def test_a_year_without_finds_says_so(collector: Member) -> None:
    text = told(made())
    for said in (
        *(
            "No find of 2026 has a day.",
            "No taxon was found for the first time.",
            "Nobody has a find of 2026.",
        ),
        "No foray of 2026 is in the ledger.",
    ):
        assert said in text


def test_forays_are_told_without_finds_whose_place_is_kept_back(collector: Member, leader: Member) -> None:
    foray = ForayFactory(leader=leader, held_on=date(2026, 10, 3))
    found(collector, date(2026, 10, 3), foray=foray)
    before = rows(made(), "Forays")
    assert before == [["3 Oct 2026", "Hollin Wood", "LM", "1", "1", "1"]]
    found(leader, date(2026, 10, 3), "Ganoderma lucidum", foray=foray, own_blur_step_deg=0.1, locality=SECRET)
    report = made()
    assert rows(report, "Forays") == before
    assert SECRET not in told(report)


def test_members_stand_by_name_as_they_agreed_and_not_by_rank(collector: Member, stranger: Member) -> None:
    Member.objects.filter(pk=stranger.pk).update(named_outside=True)
    for _ in range(2):
        found(stranger, date(2026, 10, 3))
    found(collector, date(2026, 10, 3), status="settled")
    report = made()
    assert rows(report, "Members with finds") == [["AT", "1", "1", "1"], ["Sam Oakley", "2", "1", "0"]]
    assert "Ada Thorne" not in told(report)


def test_the_collection_has_its_figures_of_either_year(collector: Member, curator: Member) -> None:
    early = accession(found(collector, date(2025, 10, 3)).pk, by=curator, now=THEN)
    late = accession(found(collector, date(2026, 10, 3)).pk, by=curator, now=NOW)
    accession(found(collector, date(2026, 10, 3)).pk, by=curator, now=NOW)
    deaccession(late.pk, reason="lost", words=f"It was left in {SECRET}", by=curator, now=NOW)
    box = StorePlace.objects.create(kind="box", name="Box 1", number=1)
    Stocktake.objects.create(
        place=box,
        scope=[box.pk],
        opened_at=NOW,
        opened_by=curator,
        signed_at=NOW,
        signed_by=curator,
        expected=5,
        seen=4,
    )
    report = made()
    numbers = figures(report, "The collection")
    assert numbers["vouchers accessioned"] == ["2", "1", "+1"]
    assert numbers["vouchers deaccessioned"] == ["1", "0", "+1"]
    assert numbers["vouchers in the collection at its end"] == ["2", "1", "+1"]
    assert numbers["stocktakes signed off"] == ["1", "0", "+1"]
    text = told(report)
    assert "4 of 5 expected parts were seen" in text
    assert "Lost: looked for and not found" in text and SECRET not in text and str(early) not in text


def test_loans_have_their_figures(curator: Member) -> None:
    make_scene(curator, NOW)
    numbers = figures(made(), "The collection")
    lent, back = int(numbers["parts lent"][0]), int(numbers["parts returned"][0])
    assert lent > 0
    assert int(numbers["parts out on loan at its end"][0]) == lent - back - int(
        numbers["parts lost on loan"][0]
    )
    assert int(numbers["duplicates sent in exchange"][0]) > 0


def test_backups_and_rehearsals_are_told_and_a_missing_rehearsal_openly(keeper: Member) -> None:
    for kind, good, month in (("backup", True, 3), ("backup", True, 4), ("backup", False, 5)):
        BackupRun.objects.create(
            kind=kind, good=good, ended_at=NOW.replace(month=month), said="", place="/secret/place"
        )
    text = told(made())
    assert "2 backups went well, the last on 2 April 2026; 1 failed." in text
    assert "No rehearsal went well." in text and "let the keeper rehearse one" in text
    assert "/secret/place" not in text
    BackupRun.objects.create(kind="rehearsal", good=True, ended_at=NOW, said="", place="")
    assert "1 rehearsal went well, the last on 2 December 2026." in told(made())


@pytest.mark.parametrize("count", [1, 5])
def test_it_costs_the_same_however_much_was_found(
    count: int, collector: Member, curator: Member, django_assert_num_queries: Callable[[int], object]
) -> None:
    for at in range(count):
        find = found(collector, date(2026, 10, 1 + at), f"Trametes number{'abcde'[at]}", foray=ForayFactory())
        make_part(accession(find.pk, by=curator, now=NOW).pk, "slide", by=curator, now=NOW)
    with django_assert_num_queries(85):  # type: ignore[attr-defined]
        made()


# --- the page ---


def test_the_page_and_the_pdf_are_of_the_years_in_the_address(
    collector: Member, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    found(collector, date(2024, 10, 1))
    found(collector, date(2026, 10, 1))
    desk = browser_of(curator)
    page = desk.get(reverse("year-report"), {"year": "2024", "beside": "2026"}).content.decode()
    assert "The club’s year 2024" in page and 'print.pdf?year=2024&amp;beside=2026&amp;paper=a4"' in page
    answer = desk.get(reverse("year-report-pdf"), {"year": "2024", "beside": "2026"})
    assert answer["Content-Disposition"] == 'inline; filename="year-2024.pdf"'
    assert "1 Oct 2024" in text_of(answer.content)


@pytest.mark.parametrize("typed", ["0", "9999", "next", "-5", "1e3", "٢٠٢٦", "2026.0"])
def test_a_year_that_is_none_is_told_and_the_present_one_shown(
    typed: str, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    answer = browser_of(curator).get(reverse("year-report"), {"year": typed, "beside": typed})
    assert (
        answer.status_code == 200
        and f"“{typed}” is no year that can be reported on" in answer.content.decode()
    )


def test_the_way_to_the_reports_stands_on_the_page_of_the_year(
    stranger: Member, browser_of: Callable[[Member], Client]
) -> None:
    assert reverse("reports") in browser_of(stranger).get(reverse("the-year")).content.decode()
