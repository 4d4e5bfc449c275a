"""Slips on screen: numbers reserved and printed, blocks returned, and what a number opens."""

import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.models import NumberBlock, VoidNumber
from ledger.phone.numbers import reserve_block, return_block
from tests.factories import FindFactory, MemberFactory
from tests.ledger.paper.making import codes_on, page_count, size_mm, text_of

Browser = Callable[[Member], Client]


def ask_for(member: Member, **changed: Any) -> dict[str, Any]:
    return {"request": uuid.uuid4(), "finder": member.pk, "sheets": "2", "label": ""} | changed


def block_of(member: Member, by: Member | None = None, many: int = 4) -> NumberBlock:
    return reserve_block(member, holder="paper", by=by or member, many=many)


def sheet_of(browser: Client, block: NumberBlock, paper: str = "a4") -> bytes:
    answer = browser.get(reverse("slip-sheet", args=[block.pk]), {"paper": paper})
    assert answer["Content-Type"] == "application/pdf"
    return answer.content


def test_two_sheets_take_eight_numbers(collector: Member, browser_of: Browser) -> None:
    browser_of(collector).post(reverse("data-slips"), ask_for(collector))
    block = NumberBlock.objects.get()
    assert (block.member, block.holder, block.first, block.last) == (collector, "paper", 1, 8)


def test_a_number_to_type_is_shown_as_an_example(collector: Member, browser_of: Browser) -> None:
    page = browser_of(collector).get("/paper/").content.decode()
    assert f'Such as <span class="number">{collector.collector_code} 1</span>.' in page


def test_a_form_sent_twice_takes_its_numbers_once(collector: Member, browser_of: Browser) -> None:
    asked = ask_for(collector)
    for _ in range(2):
        browser_of(collector).post(reverse("data-slips"), asked)
    collector.refresh_from_db()
    assert (NumberBlock.objects.count(), collector.next_serial) == (1, 9)


def test_a_leader_reserves_for_any_member(collector: Member, leader: Member, browser_of: Browser) -> None:
    browser_of(leader).post(reverse("data-slips"), ask_for(collector, label="Hollin Wood"))
    block = NumberBlock.objects.get()
    assert (block.member, block.reserved_by, block.label) == (collector, leader, "Hollin Wood")


def test_a_member_reserves_for_nobody_else(collector: Member, stranger: Member, browser_of: Browser) -> None:
    answer = browser_of(stranger).post(reverse("data-slips"), ask_for(collector))
    assert (answer.status_code, NumberBlock.objects.count()) == (422, 0)


@pytest.mark.parametrize("sheets", ["0", "51", "two", "", "-1", "9" * 40])
def test_a_wrong_number_of_sheets_takes_no_number_and_says_so(
    sheets: str, collector: Member, browser_of: Browser
) -> None:
    answer = browser_of(collector).post(reverse("data-slips"), ask_for(collector, sheets=sheets))
    assert answer.status_code == 422
    assert "No number was taken" in answer.content.decode()
    assert NumberBlock.objects.count() == 0


@pytest.mark.parametrize(("paper", "width_mm"), [("a4", 210), ("us-letter", 215.9), ("nonsense", 210)])
def test_a_block_prints_on_the_paper_asked_for(
    paper: str, width_mm: float, collector: Member, browser_of: Browser
) -> None:
    pdf = sheet_of(browser_of(collector), block_of(collector), paper)
    assert size_mm(pdf)[0] == pytest.approx(width_mm, abs=0.05)


def test_the_code_on_a_slip_is_the_address_of_its_number_and_tells_nothing_else(
    collector: Member, browser_of: Browser
) -> None:
    pdf = sheet_of(browser_of(collector), block_of(collector))
    assert codes_on(pdf) == [f"http://testserver/q/AT-{serial}" for serial in range(1, 5)]


def test_printing_again_takes_no_number_and_gives_the_same_sheet(
    collector: Member, browser_of: Browser
) -> None:
    block = block_of(collector)
    first, second = (sheet_of(browser_of(collector), block) for _ in range(2))
    collector.refresh_from_db()
    assert first == second
    assert collector.next_serial == 5


def test_the_club_stands_on_the_slip(collector: Member, browser_of: Browser) -> None:
    Club.objects.create(name="Hollin Fungus Group")
    assert "Hollin Fungus Group" in text_of(sheet_of(browser_of(collector), block_of(collector)))


def test_a_number_that_is_used_is_not_printed_again(collector: Member, browser_of: Browser) -> None:
    block = block_of(collector, many=5)
    FindFactory(finder=collector, collecting_code="AT", collecting_serial=2)
    pdf = sheet_of(browser_of(collector), block)
    assert page_count(pdf) == 1
    assert [f"AT {serial} " in text_of(pdf) for serial in range(1, 6)] == [True, False, True, True, True]


def test_a_block_that_is_used_up_or_returned_prints_nothing_and_says_why(
    collector: Member, browser_of: Browser
) -> None:
    block = block_of(collector, many=1)
    FindFactory(finder=collector, collecting_code="AT", collecting_serial=1)
    returned = block_of(collector)
    return_block(returned, by=collector)
    said = [
        browser_of(collector).get(reverse("slip-sheet", args=[one.pk])).content.decode()
        for one in (block, returned)
    ]
    assert "Every number of AT 1 is typed up" in said[0]
    assert "AT 2 to 5 was returned" in said[1]


def test_a_finder_whose_name_fits_no_slip_is_told_what_to_shorten(browser_of: Browser, db: None) -> None:
    member = MemberFactory(full_name="Maximiliana " * 9)
    answer = browser_of(member).get(reverse("slip-sheet", args=[block_of(member).pk]))
    assert answer.status_code == 422
    assert "Shorten the name" in answer.content.decode()


def test_a_returned_block_leaves_void_what_no_find_has(collector: Member, browser_of: Browser) -> None:
    block = block_of(collector)
    FindFactory(finder=collector, collecting_code="AT", collecting_serial=2)
    answer = browser_of(collector).post(reverse("return-slips", args=[block.pk]), follow=True)
    assert list(VoidNumber.objects.values_list("serial", flat=True)) == [1, 3, 4]
    assert "1 used, 3 void" in answer.content.decode()


def test_the_list_tells_used_and_not_yet(collector: Member, browser_of: Browser) -> None:
    block_of(collector)
    FindFactory(finder=collector, collecting_code="AT", collecting_serial=2)
    assert "1 used, 3 not yet" in browser_of(collector).get(reverse("data-slips")).content.decode()


def test_a_member_s_list_holds_no_one_else_s_slips(
    collector: Member, stranger: Member, browser_of: Browser
) -> None:
    block_of(collector)
    assert "AT 1" not in browser_of(stranger).get(reverse("data-slips")).content.decode()


@pytest.mark.parametrize("name", ["quick-entry", "slip-number"])
def test_a_free_number_of_one_s_own_opens_the_form_with_it(
    name: str, collector: Member, browser_of: Browser
) -> None:
    block_of(collector)
    browser = browser_of(collector)
    if name == "quick-entry":
        answer = browser.get(reverse("quick-entry"), {"number": "3"})
    else:
        answer = browser.get(reverse("slip-number", args=["AT-3"]))
    assert (answer.status_code, answer["Location"]) == (302, "/finds/log/?slip=AT-3")


def test_a_used_number_leads_to_its_find(collector: Member, browser_of: Browser) -> None:
    block_of(collector)
    find = FindFactory(finder=collector, collecting_code="AT", collecting_serial=3)
    page = browser_of(collector).get(reverse("slip-number", args=["AT-3"])).content.decode()
    assert "This number is used" in page
    assert reverse("find-page", args=[find.pk]) in page


def test_the_number_of_a_share_leads_to_the_share_alone(collector: Member, browser_of: Browser) -> None:
    block_of(collector)
    mixed = FindFactory(finder=collector, collecting_code="AT", collecting_serial=3)
    share = FindFactory(
        finder=collector, collecting_code="AT", collecting_serial=3, collecting_suffix="A", split_from=mixed
    )
    page = browser_of(collector).get(reverse("quick-entry"), {"number": "at 3a"}).content.decode()
    assert reverse("find-page", args=[share.pk]) in page
    assert reverse("find-page", args=[mixed.pk]) not in page


def test_a_share_that_is_none_is_told_and_opens_no_form(collector: Member, browser_of: Browser) -> None:
    block_of(collector)
    page = browser_of(collector).get(reverse("quick-entry"), {"number": "AT 3B"}).content.decode()
    assert "No find here has the number AT 3B." in page
    assert "slip=AT-3" not in page


def test_a_void_number_is_told_and_not_opened(collector: Member, browser_of: Browser) -> None:
    return_block(block_of(collector), by=collector)
    page = browser_of(collector).get(reverse("slip-number", args=["AT-3"])).content.decode()
    assert "This number is void" in page


def test_another_member_s_slip_is_not_one_s_to_type_up(
    collector: Member, stranger: Member, browser_of: Browser
) -> None:
    block_of(collector)
    page = browser_of(stranger).get(reverse("slip-number", args=["AT-3"])).content.decode()
    assert "This slip is for finds of Ada Thorne" in page
    assert "?slip=" not in page


def test_a_leader_types_up_another_member_s_slip(
    collector: Member, leader: Member, browser_of: Browser
) -> None:
    block_of(collector)
    page = browser_of(leader).get(reverse("slip-number", args=["AT-3"])).content.decode()
    assert "/finds/log/?slip=AT-3" in page
    assert "Log it for Ada Thorne" in page


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("ZZ-3", "Nobody in the ledger has the code ZZ"),
        ("AT-3000", "No slip with this number was printed here"),
        ("AT-9", "kept for finds logged on a phone"),
    ],
)
def test_a_number_that_is_on_no_slip_is_told_apart(
    number: str, said: str, collector: Member, browser_of: Browser
) -> None:
    block_of(collector)
    reserve_block(collector, holder="phone", by=collector, many=20)
    assert said in browser_of(collector).get(reverse("slip-number", args=[number])).content.decode()


@pytest.mark.parametrize(("typed", "shown"), [("fifty", "fifty"), ('"><b>', "&quot;&gt;&lt;b&gt;")])
def test_what_is_no_number_comes_back_as_typed(
    typed: str, shown: str, collector: Member, browser_of: Browser
) -> None:
    answer = browser_of(collector).get(reverse("quick-entry"), {"number": typed})
    assert answer.status_code == 422
    assert f'value="{shown}"' in answer.content.decode()


def test_the_form_from_a_slip_has_its_number_and_no_day(
    collector: Member, reference: Any, browser_of: Browser
) -> None:
    page = browser_of(collector).get("/finds/log/", {"slip": "AT-3"})
    form = page.context["form"]
    assert (form["serial"].value(), form["found_on"].value()) == (3, None)
    assert "AT 3" in page.content.decode()


def test_a_find_typed_up_from_another_s_slip_is_theirs(
    collector: Member, leader: Member, reference: Any, browser_of: Browser
) -> None:
    block_of(collector)
    sent = {
        "do": "keep",
        "find_id": str(uuid.uuid4()),
        "slip": "AT-3",
        "serial": "3",
        "name_typed": "Stereum sp.",
    }
    browser_of(leader).post("/finds/log/", sent | {"kept": "on"})
    find = Find.objects.get()
    assert (find.finder, find.logged_by, str(find)) == (collector, leader, "AT 3")


@pytest.mark.parametrize("slip", ["AT-3", "ZZ-3", "nonsense", "AT-99999999999"])
def test_a_slip_that_is_not_one_s_to_type_up_leaves_the_form_as_it_is(
    slip: str, collector: Member, stranger: Member, reference: Any, browser_of: Browser
) -> None:
    page = browser_of(stranger).get("/finds/log/", {"slip": slip})
    assert (page.status_code, page.context["form"]["serial"].value()) == (200, None)


def test_the_example_of_a_number_is_one_s_own_next_slip(collector: Member, browser_of: Browser) -> None:
    block = block_of(collector)
    FindFactory(finder=collector, collecting_code="AT", collecting_serial=block.first)
    page = browser_of(collector).get(reverse("quick-entry")).content.decode()
    assert f'Such as <span class="number">AT {block.first + 1}</span>' in page


def test_without_slips_the_example_is_one_s_next_number(stranger: Member, browser_of: Browser) -> None:
    Member.objects.filter(pk=stranger.pk).update(next_serial=12)
    page = browser_of(stranger).get(reverse("quick-entry"), {"number": "??"}).content.decode()
    assert "such as SO 12." in page


def test_the_name_on_a_slip_is_by_its_finder_until_somebody_says_another(
    collector: Member, leader: Member, reference: Any, browser_of: Browser
) -> None:
    page = browser_of(leader).get("/finds/log/", {"slip": "AT-3"})
    assert page.context["form"]["determiner_name"].value() == collector.full_name
    named_by = page.content.decode().index("Who named it, as the slip says")
    assert named_by < page.content.decode().index("Who found it, who named it")


def test_the_name_on_a_slip_of_one_s_own_is_by_oneself(
    collector: Member, reference: Any, browser_of: Browser
) -> None:
    page = browser_of(collector).get("/finds/log/", {"slip": "AT-3"})
    assert page.context["form"]["determiner_name"].value() == ""


def test_a_name_from_a_slip_without_a_day_has_no_day_and_is_not_the_typist_s(
    collector: Member, leader: Member, reference: Any, browser_of: Browser
) -> None:
    block_of(collector)
    sent = {"do": "keep", "find_id": str(uuid.uuid4()), "slip": "AT-3", "serial": "3", "kept": "on"}
    sent |= {"name_typed": "Stereum sp.", "determiner_name": collector.full_name}
    shown = browser_of(leader).post("/finds/log/", sent, follow=True).content.decode()
    assert Find.objects.get().current_determination.determined_on is None
    assert f"{collector.full_name}, day not given" in shown
