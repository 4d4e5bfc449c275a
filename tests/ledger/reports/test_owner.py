"""The report for the owner of the land: what it tells of a foray, and what it does not."""

from collections.abc import Callable
from datetime import UTC, date, datetime

import pytest
from django.test import Client
from django.urls import reverse

from ledger.club.models import Club
from ledger.exchange.people import NOT_NAMED
from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.handing_on.actions import note_agreed
from ledger.people.models import Member, Role
from ledger.reports.cautions import DEADWOOD, NO_GUIDE, TREES
from ledger.reports.owner import LEFT_OUT, Choices, owner_report
from ledger.reports.report_pdf import print_report
from ledger.reports.sheet import Report, Table
from tests.factories import FindFactory, ForayFactory, TaxonFactory, name_find
from tests.ledger.reports.reading import text_of
from tests.vouchers.permits.making import make_permit
from vouchers.register.actions import accession, deaccession

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
SECRET = "Split Oak Dingle"
BOTH = Choices(one_by_one=True)


@pytest.fixture
def foray(leader: Member) -> Foray:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    made: Foray = ForayFactory(leader=leader, place="Hollin Wood, north gate")
    return made


def find_of(foray: Foray, finder: Member, name: str = "Trametes versicolor", **given: object) -> Find:
    named = {
        key: given.pop(key)
        for key in ("determiner", "determiner_name", "qualifier", "name_typed")
        if key in given
    }
    find: Find = FindFactory(foray=foray, finder=finder, **given)
    name_find(find, TaxonFactory(name=name) if name else None, **named)
    return find


def told(foray: Foray, choices: Choices = BOTH) -> str:
    return text_of(print_report(owner_report(foray, choices, now=NOW), "a4", made_at=NOW))


def table(report: Report, heading: str) -> list[list[str]]:
    (found,) = (block for block in report.blocks if isinstance(block, Table) and block.heading == heading)
    return [["".join(text for text, _ in one.text) for one in row] for row in found.rows]


def test_it_says_when_where_and_who_led_it(foray: Foray, leader: Member) -> None:
    assert "Hollin Wood, 3 October 2026" in told(foray)
    assert "Place Hollin Wood, north gate" in told(foray)
    assert "Led by LM" in told(foray)
    Member.objects.filter(pk=leader.pk).update(named_outside=True)
    assert "Led by Lewis Marsh" in told(foray)


def test_taxa_stand_by_name_with_their_finds_settled_and_not(foray: Foray, collector: Member) -> None:
    find_of(foray, collector, "Stereum hirsutum", status="held")
    find_of(foray, collector, status="settled", kept=False)
    find_of(foray, collector, status="sent back")
    find_of(foray, collector, name_typed="Trametes cf. versicolor", qualifier="cf.")
    FindFactory(foray=foray, finder=collector, kept=False)
    rows = table(owner_report(foray, Choices(), now=NOW), "What was found")
    assert [[name, *figures] for name, _, *figures in rows] == [
        ["Stereum hirsutum (L.) Lloyd", "1", "0", "1", "1"],
        ["Trametes cf. versicolor (L.) Lloyd", "1", "0", "1", "1"],
        ["Trametes versicolor (L.) Lloyd", "2", "1", "1", "1"],
        ["not named", "1", "0", "1", "0"],
    ]
    assert "4 finds of 5 are not settled: the name may change." in told(foray)


def test_held_finds_are_told_as_not_settled(foray: Foray, collector: Member) -> None:
    find_of(foray, collector, status="held")
    assert "not settled: held for a doubt" in told(foray)


def test_settled_names_alone_can_be_asked_for_and_the_report_says_so(foray: Foray, collector: Member) -> None:
    find_of(foray, collector, "Stereum hirsutum", status="held")
    find_of(foray, collector, status="settled")
    text = told(foray, Choices(settled_only=True))
    assert "Trametes versicolor" in text and "Stereum" not in text
    assert "1 find of 2 is left out of this list: its name is not settled." in text


def test_without_a_settled_name_what_was_taken_is_told_all_the_same(foray: Foray, collector: Member) -> None:
    find_of(foray, collector, "Stereum hirsutum", status="held", collecting_serial=118)
    report = owner_report(foray, Choices(one_by_one=True, settled_only=True), now=NOW)
    assert table(report, "What was found") == table(report, "Find by find") == []
    assert [row[:2] for row in table(report, "What was taken")] == [["AT 118", "name not settled"]]
    text = told(foray, Choices(settled_only=True))
    assert "1 find by 1 person" in text and "Material was taken of the one find." in text
    assert "No name is settled yet." in text


def test_an_old_name_is_counted_with_the_new_and_an_opinion_is_told_with_who_gave_it(
    foray: Foray, collector: Member, curator: Member
) -> None:
    Member.objects.filter(pk=curator.pk).update(named_outside=True)
    find_of(foray, collector, name_typed="Coriolus versicolor", determiner=curator)
    report = owner_report(foray, BOTH, now=NOW)
    assert table(report, "What was found")[0][0] == "Trametes versicolor (L.) Lloyd"
    assert "Coriolus versicolor = Trametes versicolor (L.) Lloyd named by Carys Bowen, 3 Oct 2026" in told(
        foray
    )


def test_what_was_taken_is_told_with_its_permit_in_the_permit_s_own_words(
    foray: Foray, collector: Member, curator: Member
) -> None:
    make_permit(curator, forays=[foray])
    taken = find_of(foray, collector, collecting_serial=118)
    voucher = accession(taken.pk, by=curator, now=NOW)
    find_of(foray, collector, collecting_serial=119)
    find_of(foray, collector, collecting_serial=120, kept=False)
    text = told(foray, Choices())
    for said in (
        *("Hollin Estate, HE 12/2026", "Held by Hollin Fungus Group", "For Hollin Wood, all compartments"),
        *("Dates 1 Apr 2026 to 31 Mar 2027", "Limits One fruit body of a species and visit."),
        "Source letter of 3 March 2026 in the club's file",
        "Of 2 finds material was taken; 1 find was looked at and left.",
        f"accessioned as {voucher}",
        "packet; in the club’s collection",
    ):
        assert said in text
    rows = table(owner_report(foray, Choices(), now=NOW), "What was taken")
    assert [(row[0], row[2], row[3]) for row in rows] == [
        ("AT 118", f"accessioned as {voucher}", "No. 1"),
        ("AT 119", "kept; it has no number in the collection yet", "No. 1"),
    ]


def test_a_mixture_that_was_split_does_not_wait_for_a_number(foray: Foray, collector: Member) -> None:
    mixture = find_of(foray, collector)
    FindFactory(
        foray=foray,
        finder=collector,
        split_from=mixture,
        collecting_serial=mixture.collecting_serial,
        collecting_suffix="A",
    )
    assert [row[2] for row in table(owner_report(foray, Choices(), now=NOW), "What was taken")] == [
        "a mixed gathering; its shares stand by themselves",
        "kept; it has no number in the collection yet",
    ]


def test_without_a_permit_it_says_openly_that_none_is_on_record(foray: Foray, collector: Member) -> None:
    find_of(foray, collector)
    text = told(foray)
    assert "No permit or leave is on record for this foray." in text
    assert "For 1 find of them no permit or leave is on record." in text and "none on record" in text


def test_leave_that_was_only_written_down_is_told_as_it_was_written(foray: Foray, collector: Member) -> None:
    foray.permission = "Leave by word of mouth, two of a kind"
    foray.save()
    find_of(foray, collector)
    find_of(foray, collector, permission="Leave for this tree alone")
    text = told(foray)
    assert "No. 1 Leave by word of mouth, two of a kind Source as the club wrote it down" in text
    assert "No. 2 Leave for this tree alone Source as the club wrote it down" in text
    assert "none on record" not in text


def test_a_day_beyond_a_permit_s_dates_is_told(foray: Foray, collector: Member, curator: Member) -> None:
    make_permit(curator, forays=[foray], valid_until=date(2026, 9, 30))
    find_of(foray, collector)
    assert "No. 1: found on 3 Oct 2026, after it ended on 30 Sep 2026" in told(foray)


def test_a_member_who_holds_a_permit_is_named_in_it_as_they_agreed(
    foray: Foray, curator: Member, leader: Member
) -> None:
    make_permit(curator, forays=[foray], holder="Lewis Marsh")
    assert "Held by LM" in told(foray)
    Member.objects.filter(pk=leader.pk).update(named_outside=True)
    assert "Held by Lewis Marsh" in told(foray)


def test_what_is_gone_from_the_collection_is_told_without_its_words(
    foray: Foray, collector: Member, curator: Member
) -> None:
    voucher = accession(find_of(foray, collector).pk, by=curator, now=NOW)
    deaccession(voucher.pk, reason="lost", words=f"Left in {SECRET}", by=curator, now=NOW)
    text = told(foray)
    assert "no longer in the collection" in text and SECRET not in text


def test_a_find_whose_place_is_kept_back_is_not_in_it_and_nothing_says_whether_there_is_one(
    foray: Foray, collector: Member, curator: Member
) -> None:
    find_of(foray, collector)
    before = told(foray)
    assert LEFT_OUT in before
    secret = find_of(foray, collector, "Ganoderma lucidum", own_blur_step_deg=0.1, locality=SECRET)
    accession(secret.pk, by=curator, now=NOW)
    make_permit(curator, finds=[secret], area=SECRET)
    assert told(foray) == before


def test_places_are_told_in_words_and_nothing_that_was_written_freely_of_a_find(
    foray: Foray, collector: Member
) -> None:
    find_of(foray, collector, locality="By the pond", note="Key under the mat", trees_nearby="Gate code 4711")
    foray.note = "Meet at Ada's house"
    foray.save()
    text = told(foray)
    assert "By the pond" in text and "51.2345" not in text
    assert not any(private in text for private in ("under the mat", "4711", "house"))


def test_people_are_named_as_they_agreed(
    foray: Foray, collector: Member, curator: Member, stranger: Member
) -> None:
    Member.objects.filter(pk=stranger.pk).update(named_outside=True)
    find_of(foray, collector, determiner_name="Dr Outside")
    find_of(foray, stranger)
    find_of(foray, curator, found_by="Gwen Guest")
    text = told(foray)
    assert "Found by AT, Sam Oakley, and 1 guest not named here" in text and f"named by {NOT_NAMED}" in text
    assert "3 finds by 3 people" in text
    assert not any(name in text for name in ("Ada Thorne", "Gwen Guest", "Dr Outside", "Carys Bowen"))
    note_agreed(["Gwen Guest"], by=curator, now=NOW)
    assert "Found by AT, Gwen Guest, Sam Oakley" in told(foray)


def test_an_empty_foray_has_its_report_too(foray: Foray) -> None:
    text = told(foray)
    assert "0 finds by 0 people" in text and "Nothing was taken." in text
    assert "No find of this foray is in the ledger that this report may tell." in text


def test_it_says_what_a_record_is_not_and_leaves_the_wood_and_the_law_to_others(foray: Foray) -> None:
    text = told(foray)
    assert all(said in text for said in (NO_GUIDE, DEADWOOD, TREES))


@pytest.mark.parametrize("count", [1, 7])
def test_it_costs_the_same_however_many_finds(
    count: int,
    foray: Foray,
    collector: Member,
    curator: Member,
    django_assert_num_queries: Callable[[int], object],
) -> None:
    make_permit(curator, forays=[foray])
    for _ in range(count):
        accession(find_of(foray, collector).pk, by=curator, now=NOW)
    with django_assert_num_queries(13):  # type: ignore[attr-defined]
        owner_report(foray, BOTH, now=NOW)


# --- the page ---


def test_the_page_says_what_the_pdf_prints(
    foray: Foray, collector: Member, leader: Member, browser_of: Callable[[Member], Client]
) -> None:
    find_of(foray, collector, collecting_serial=118)
    desk, address = browser_of(leader), reverse("owner-report", args=[foray.pk])
    page = desk.get(address, {"list": "finds"}).content.decode()
    assert (
        "AT 118" in page
        and "<i>Trametes versicolor</i>" in page
        and "No permit or leave is on record" in page
    )
    assert f'href="{address}print.pdf?list=finds&amp;paper=us-letter"' in page
    answer = desk.get(reverse("owner-report-pdf", args=[foray.pk]), {"list": "finds", "paper": "us-letter"})
    assert answer["Content-Disposition"] == 'inline; filename="owners-report-2026-10-03.pdf"'
    assert "AT 118" in text_of(answer.content)


def test_its_maker_alone_is_told_how_many_finds_are_left_out(
    foray: Foray, collector: Member, leader: Member, browser_of: Callable[[Member], Client]
) -> None:
    desk, address = browser_of(leader), reverse("owner-report", args=[foray.pk])
    assert "For your eyes" not in desk.get(address).content.decode()
    find_of(foray, collector, own_blur_step_deg=0.1)
    assert "1 find of this foray is left out" in desk.get(address).content.decode()
    pdf = desk.get(reverse("owner-report-pdf", args=[foray.pk])).content
    assert "For your eyes" not in text_of(pdf)


def test_its_maker_is_told_of_finds_whose_day_is_not_the_foray_s(
    foray: Foray, collector: Member, leader: Member, browser_of: Callable[[Member], Client]
) -> None:
    desk, address = browser_of(leader), reverse("owner-report", args=[foray.pk])
    find_of(foray, collector, found_on=foray.held_on)
    assert "another day than the foray" not in desk.get(address).content.decode()
    find_of(foray, collector, found_on=date(2062, 10, 3), collecting_serial=118)
    find_of(foray, collector, found_on=date(2061, 10, 3), collecting_serial=119, own_blur_step_deg=0.1)
    page = desk.get(address).content.decode()
    assert "1 find has another day than the foray" in page and "AT 118 (3 Oct 2062)" in page
    assert "AT 119" not in page


def test_it_says_who_made_it_as_they_agreed_to_be_named(
    foray: Foray, leader: Member, browser_of: Callable[[Member], Client]
) -> None:
    address = reverse("owner-report-pdf", args=[foray.pk])
    assert " by LM " in text_of(browser_of(leader).get(address).content)
    Member.objects.filter(pk=leader.pk).update(named_outside=True)
    assert f" by {leader.full_name} " in text_of(browser_of(leader).get(address).content)


def test_another_leader_and_one_who_leads_no_more_make_none(
    foray: Foray, leader: Member, stranger: Member, browser_of: Callable[[Member], Client]
) -> None:
    Member.objects.filter(pk=stranger.pk).update(role=Role.LEADER)
    Member.objects.filter(pk=leader.pk).update(role=Role.MEMBER)
    for member in (stranger, leader):
        for name in ("owner-report", "owner-report-pdf"):
            assert browser_of(member).get(reverse(name, args=[foray.pk])).status_code == 403


def test_the_page_of_a_foray_leads_its_leader_to_it_and_nobody_else(
    foray: Foray, leader: Member, stranger: Member, browser_of: Callable[[Member], Client]
) -> None:
    page, report = reverse("foray", args=[foray.pk]), reverse("owner-report", args=[foray.pk])
    assert report in browser_of(leader).get(page).content.decode()
    assert report not in browser_of(stranger).get(page).content.decode()
