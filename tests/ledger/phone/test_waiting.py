"""Another version of a find on a phone: the curator knows of it, and whoever changed both is not called somebody else."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.numbers import reserve_block
from ledger.traits.reference import Reference
from tests.ledger.phone.messages import find_message, send_find

Browsers = Callable[[Member], Client]
OTHER_PHONE = "7a1f7f30-9d0b-4b1e-8f7c-6a1d2c3b4e5f"
HERE = ("locality", "Below the bridge")
TAKEN = (HERE, ("kept", "on"))


@pytest.fixture
def phone(collector: Member, browser_of: Browsers, reference: Reference) -> Client:
    return browser_of(collector)


def on_two_phones(phone: Client, by: Member) -> tuple[Find, dict[str, Any], Any]:
    """A find amended on the phone it was made on, then, from the version before, on another. Its last message and answer."""
    first = find_message(by, *TAKEN)
    send_find(phone, first)
    send_find(phone, find_message(by, *TAKEN, ("host", "Fagus"), find=first["find"], version=1, typed=5))
    last = find_message(
        by, *TAKEN, ("host", "Picea"), find=first["find"], version=1, typed=9, phone=OTHER_PHONE
    )
    return Find.objects.get(), last, send_find(phone, last)


def test_a_find_changed_on_ones_own_other_phone_was_changed_by_oneself(
    phone: Client, collector: Member
) -> None:
    _, _, answer = on_two_phones(phone, collector)
    told = answer.json()
    assert (answer.status_code, told["by_you"]) == (409, True)
    assert (
        told["wrong"] == "You changed this find meanwhile, on another phone or page. Nothing was overwritten."
    )
    assert [one["by"] for one in told["changed"]] == ["you"]


@pytest.mark.parametrize("page", ["/bench/{}/", "/finds/{}/"])
def test_the_curator_is_told_of_it_at_settle_and_accession(
    phone: Client, collector: Member, curator: Member, browser_of: Browsers, page: str
) -> None:
    find, _, _ = on_two_phones(phone, collector)
    since = timezone.localtime(find.waiting_versions.get().since)
    shown = browser_of(curator).get(page.format(find.pk)).content.decode()
    said = f"Another version of it waits on {collector.full_name}’s phone since {since:%-d %B %Y, %H:%M}."
    assert shown.count(said) == (3 if "bench" in page else 2)


def test_who_may_not_change_the_find_is_not_told(
    phone: Client, collector: Member, stranger: Member, browser_of: Browsers
) -> None:
    find, _, _ = on_two_phones(phone, collector)
    assert "Another version" not in browser_of(stranger).get(f"/finds/{find.pk}/").content.decode()


def test_asked_again_it_waits_since_the_first_time(phone: Client, collector: Member) -> None:
    find, message, _ = on_two_phones(phone, collector)
    send_find(phone, message)
    assert find.waiting_versions.count() == 1


def test_it_waits_no_longer_when_a_version_was_chosen(phone: Client, collector: Member) -> None:
    find, message, answer = on_two_phones(phone, collector)
    chosen = find_message(
        collector,
        HERE,
        ("host", "Picea"),
        find=message["find"],
        version=answer.json()["version"],
        typed=12,
        phone=OTHER_PHONE,
    )
    assert send_find(phone, chosen).status_code == 200
    assert not find.waiting_versions.filter(ended_at__isnull=True).exists()


def let_go(browser: Client, find: Find, reason: str) -> Any:
    version = find.waiting_versions.get()
    return browser.post(f"/finds/{find.pk}/versions/{version.pk}/let-go/", {"reason": reason}, follow=True)


@pytest.mark.parametrize("who", ["collector", "curator"])
def test_a_version_on_a_lost_phone_is_let_go_with_a_sentence_on_record(
    who: str,
    phone: Client,
    collector: Member,
    browser_of: Browsers,
    request: pytest.FixtureRequest,
) -> None:
    by = request.getfixturevalue(who)
    find, _, _ = on_two_phones(phone, collector)
    shown = let_go(browser_of(by), find, "The phone fell into the weir.").content.decode()
    assert "Another version" not in shown
    line = find.changes.get(field="version let go")
    assert (line.by, line.new) == (by, "The phone fell into the weir.")
    assert line.old.startswith(f"on {collector.full_name}’s phone since ")


def test_without_a_sentence_it_is_waited_for_still(
    phone: Client, collector: Member, curator: Member, browser_of: Browsers
) -> None:
    find, _, _ = on_two_phones(phone, collector)
    shown = let_go(browser_of(curator), find, "  ").content.decode()
    assert "The find still waits for it" in shown and "Another version" in shown


def test_nobody_else_lets_it_go(
    phone: Client, collector: Member, stranger: Member, browser_of: Browsers
) -> None:
    find, _, _ = on_two_phones(phone, collector)
    assert let_go(browser_of(stranger), find, "Not mine to say.").status_code == 403
    assert find.waiting_versions.filter(ended_at__isnull=True).exists()


def test_a_phone_that_comes_back_is_answered_as_before_and_waits_again(
    phone: Client, collector: Member, curator: Member, browser_of: Browsers
) -> None:
    find, last, _ = on_two_phones(phone, collector)
    let_go(browser_of(curator), find, "The phone is lost.")
    assert send_find(phone, last).status_code == 409
    assert find.waiting_versions.filter(ended_at__isnull=True).count() == 1


def logged_line(find: Find) -> str:
    return find.changes.get(field="logged").new


def test_the_history_says_when_the_phone_kept_a_find_and_when_it_was_sent(
    phone: Client, collector: Member
) -> None:
    kept = timezone.now() - timedelta(days=2)
    send_find(phone, find_message(collector, HERE, made_at=kept.isoformat(), typed_at=kept.isoformat()))
    local = timezone.localtime(kept)
    assert logged_line(Find.objects.get()) == f"AT 1, by phone, kept {local:%-d %B %Y, %H:%M}"


def test_the_history_says_that_a_find_is_from_a_paper_slip(phone: Client, collector: Member) -> None:
    reserve_block(collector, holder="paper", by=collector, many=4)
    send_find(phone, find_message(collector, HERE, ("serial", "3")))
    assert logged_line(Find.objects.get()).startswith("AT 3, from its paper slip, by phone, kept ")
