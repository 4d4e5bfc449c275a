"""The preparation on screen."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from ledger.people.models import Member
from tests.factories import FindFactory, ForayFactory
from tests.vouchers.preparation.making import dry_kept, put_in
from vouchers.preparation import actions, order, queries
from vouchers.preparation.models import DryingRun, PreparationStep

NOW = timezone.now
PUT_IN = {
    "do": "drier",
    "run": "new",
    "drier": "blue dehydrator",
    "temperature": "40",
    "temperature_unit": "C",
}


@pytest.fixture
def browser(leader: Member, browser_of: Callable[[Member], Client]) -> Client:
    return browser_of(leader)


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def test_the_kept_finds_of_a_foray_are_ticked_at_once(browser: Client, leader: Member):
    foray = ForayFactory(leader=leader)
    find, _ = dry_kept(foray=foray), dry_kept()
    rows = browser.get(reverse("put-in-drier"), {"foray": foray.pk}).context["rows"]
    assert [(row.find, row.picked) for row in rows] == [(find, True)]


def test_a_leader_sees_no_sensitive_find_by_the_foray_of_another(browser: Client, curator: Member):
    foray = ForayFactory(leader=curator)
    dry_kept(foray=foray, own_blur_step_deg=0.1)
    answer = browser.get(reverse("put-in-drier"), {"foray": foray.pk})
    assert answer.context["rows"] == []
    assert foray not in answer.context["page"].forays


def test_many_finds_go_into_the_drier_by_one_press(browser: Client):
    finds = [dry_kept() for _ in range(12)]
    sent = {**PUT_IN, "planned_hours": "12", "first_tray": "1", "finds": [str(find.pk) for find in finds]}
    answer = browser.post(reverse("put-in-drier"), sent, follow=True)
    run = DryingRun.objects.get()
    assert answer.redirect_chain == [(reverse("drying-run", args=[run.pk]), 302)]
    assert "12 finds are in the drier" in text(answer)
    assert queries.in_hand(finds[-1]).tray == 12


def test_what_was_not_read_fresh_is_asked_with_all_that_was_typed_kept(browser: Client):
    find = FindFactory()
    sent = {**PUT_IN, "finds": [str(find.pk)], f"tray-{find.pk}": "7", "note": "by the stove"}
    answer = browser.post(reverse("put-in-drier"), sent)
    page = text(answer)
    assert answer.status_code == 422
    assert "Do it now, or say why not" in page
    assert 'value="7"' in page and 'value="by the stove"' in page and 'value="blue dehydrator"' in page
    assert not DryingRun.objects.exists()
    answered = browser.post(reverse("put-in-drier"), {**sent, "why_not": "no time before it would spoil"})
    assert answered.status_code == 302
    assert queries.in_hand(find).tray == 7


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"drier": ""}, "Which drier is missing"),
        ({"temperature": "warm"}, "Temperature: that is no number"),
        ({"planned_hours": "nan"}, "Hours planned: that is no number"),
        ({"first_tray": "0"}, "Trays go from 1 to 9999"),
        ({"first_tray": "x"}, "First tray: that is no whole number"),
        ({"run": "999"}, "not there any more"),
        ({"at": "yesterday"}, "no day and hour"),
        ({"finds": []}, "No find was chosen"),
        ({"finds": ["one"]}, "No find was chosen"),
    ],
)
def test_bad_input_puts_nothing_in_and_says_what_to_do(browser: Client, wrong: dict[str, Any], said: str):
    find = dry_kept()
    answer = browser.post(reverse("put-in-drier"), {**PUT_IN, "finds": [str(find.pk)], **wrong})
    assert answer.status_code == 422
    assert said in text(answer)
    assert not PreparationStep.objects.exists()


def test_a_tray_that_is_no_number_is_told(browser: Client):
    find = dry_kept()
    sent = {**PUT_IN, "finds": [str(find.pk)], f"tray-{find.pk}": "blue"}
    assert "Tray &#x27;blue&#x27; is no number" in text(browser.post(reverse("put-in-drier"), sent))


def test_two_finds_on_one_tray_are_let_in_and_told(browser: Client):
    finds = [dry_kept(), dry_kept()]
    sent = {**PUT_IN, "finds": [str(find.pk) for find in finds], **{f"tray-{find.pk}": "3" for find in finds}}
    assert "Keep their slips apart" in text(browser.post(reverse("put-in-drier"), sent, follow=True))


def test_what_needs_no_drier_is_left_without_with_a_reason(browser: Client):
    find = dry_kept()
    sent = {"do": "leave", "run": "new", "finds": [str(find.pk)]}
    assert "The reason is missing" in text(browser.post(reverse("put-in-drier"), sent))
    browser.post(reverse("put-in-drier"), {**sent, "why_not": "air-dry on its wood"})
    assert queries.in_hand(find).state.left_out == {order.DRYING}


def test_the_evening_list_takes_out_what_was_ticked(browser: Client, leader: Member):
    find = dry_kept()
    run = put_in([find], leader, at=NOW() - timedelta(hours=13))
    assert "Due out tonight" in text(browser.get(reverse("preparation")))
    sent = {"section": f"run-{run.pk}", "do": "drier out", "finds": [str(find.pk)]}
    answer = browser.post(reverse("preparation"), sent, follow=True)
    assert "1 find: out of the drier. It is on record." in text(answer)
    assert queries.in_hand(find).state.dried_at is not None


def test_what_is_not_due_yet_is_not_ticked_and_asked_about_before_it_comes_out(
    browser: Client, leader: Member
):
    find = dry_kept()
    run = put_in([find], leader, at=NOW() - timedelta(minutes=3))
    assert "checked" not in text(browser.get(reverse("preparation")))
    sent = {"section": f"run-{run.pk}", "do": "drier out", "finds": [str(find.pk)]}
    asked = browser.post(reverse("preparation"), sent)
    assert asked.status_code == 422 and 'name="early"' in text(asked)
    assert "the planned time is not over" in text(asked) and f"{find} is due out on" in text(asked)
    assert queries.in_hand(find).state.where == order.IN_DRIER
    browser.post(reverse("preparation"), sent | {"early": "1"})
    assert queries.in_hand(find).state.where == order.AT_HAND


def test_the_page_of_a_run_takes_out_of_it(browser: Client, leader: Member):
    find = dry_kept()
    run = put_in([find], leader, at=NOW() - timedelta(hours=13))
    address = reverse("drying-run", args=[run.pk])
    assert "Take out" in text(browser.get(address)) and f'value="{find.pk}" checked' in text(
        browser.get(address)
    )
    actions.record([find.pk], order.OUT_OF_DRIER, at=NOW(), by=leader, now=NOW())
    assert "Take out" not in text(browser.get(address))


def test_a_find_of_a_day_to_come_does_not_head_the_list_of_the_drier(browser: Client):
    slip, real = dry_kept(found_on=date(2062, 10, 24)), dry_kept()
    rows = browser.get(reverse("put-in-drier")).context["rows"]
    assert [row.find for row in rows] == [real, slip]


def test_a_refusal_is_said_at_the_top_with_a_way_to_its_section(browser: Client, leader: Member):
    find = dry_kept()
    run = put_in([find], leader)
    sent = {"section": f"run-{run.pk}", "do": "longer", "hours": "", "finds": [str(find.pk)]}
    page = text(browser.post(reverse("preparation"), sent))
    assert page.index("How much longer is missing") < page.index("Due out tonight")
    assert page.index(f'href="#run-{run.pk}"') < page.index("Due out tonight")
    unread = text(browser.post(reverse("preparation"), sent | {"hours": "long"}))
    assert unread.index("something in the form cannot be read") < unread.index("Due out tonight")


@pytest.mark.parametrize("section", ["%", "%s%s", "run-%d", "100 %"])
def test_a_section_that_there_is_not_breaks_no_page(browser: Client, section: str):
    answer = browser.post(reverse("preparation"), {"section": section, "do": "longer", "finds": ["x"]})
    assert answer.status_code == 422 and "Nothing" in text(answer)


def test_a_refusal_stands_in_its_section_with_the_ticks_kept(browser: Client, leader: Member):
    find = dry_kept()
    run = put_in([find], leader)
    sent = {"section": f"run-{run.pk}", "do": "longer", "hours": "", "finds": [str(find.pk)]}
    answer = browser.post(reverse("preparation"), sent)
    assert answer.status_code == 422
    assert "How much longer is missing" in text(answer)
    (section,) = answer.context["sections"]
    assert section.rows[0].picked


def test_a_packet_without_freezing_is_asked_why_and_goes_in_with_a_word(browser: Client, leader: Member):
    find = dry_kept()
    put_in([find], leader)
    actions.record([find.pk], order.OUT_OF_DRIER, at=NOW(), by=leader, now=NOW())
    sent = {"section": "dried", "do": "packet", "finds": [str(find.pk)]}
    assert f"Not done: freezing ({find})." in text(browser.post(reverse("preparation"), sent))
    browser.post(reverse("preparation"), {**sent, "why_not": "the freezer is full"})
    assert queries.in_hand(find).state.where == order.IN_PACKET


def test_one_find_s_page_records_a_step_and_withdraws_it(browser: Client):
    find = FindFactory()
    address = reverse("preparation-of-find", args=[find.pk])
    assert "spore print" in text(browser.get(address))
    browser.post(address, {"do": "print", "words": "on glass"})
    step = PreparationStep.objects.get()
    refused = browser.post(reverse("withdraw-step", args=[step.pk]), {"words": "x"})
    assert refused.status_code == 422
    assert "The reason is missing" in text(refused)
    done = browser.post(reverse("withdraw-step", args=[step.pk]), {"words": "it fell off"}, follow=True)
    assert "<s>Spore print taken</s>" in text(done)


def test_a_step_out_of_order_is_refused_on_the_page(browser: Client, leader: Member):
    find = dry_kept()
    put_in([find], leader)
    answer = browser.post(reverse("preparation-of-find", args=[find.pk]), {"do": "packet", "words": "thin"})
    assert answer.status_code == 422
    assert "Take it out first" in text(answer)
    assert 'value="thin"' in text(answer)


def test_a_tray_page_tells_what_lies_on_it(browser: Client, leader: Member):
    find = dry_kept()
    put_in([find], leader, trays={find.pk: 5})
    assert str(find) in text(browser.get(reverse("tray", args=[5])))
    assert "Nothing lies on tray 6" in text(browser.get(reverse("tray", args=[6])))
    assert browser.get(reverse("tray", args=[0])).status_code == 404
