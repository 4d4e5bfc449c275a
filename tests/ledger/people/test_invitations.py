"""The only way in: an invitation, once, in time."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from ledger.people import actions
from ledger.people.models import Invitation, Member, Role
from tests.people import make_person

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
WHO = {
    "sign_in_name": "nell",
    "password": "chestnut-rain-41",
    "full_name": "Nell Fairhurst",
    "collector_code": "NF",
}


def test_an_invitation_makes_a_member_of_its_role(db: None) -> None:
    _, token = actions.invite(role=Role.LEADER, now=NOW)
    assert actions.join(token, now=NOW, **WHO).role == Role.LEADER


def test_the_token_itself_is_not_kept(db: None) -> None:
    _, token = actions.invite(role=Role.MEMBER, now=NOW)
    kept = Invitation.objects.values().get()
    assert token not in [str(value) for value in kept.values()]


def test_a_used_invitation_opens_nothing(db: None) -> None:
    _, token = actions.invite(role=Role.MEMBER, now=NOW)
    actions.join(token, now=NOW, **WHO)
    with pytest.raises(actions.InvitationRefused, match="used already"):
        actions.open_invitation(token, NOW)


def test_an_invitation_runs_out_after_two_weeks(db: None) -> None:
    _, token = actions.invite(role=Role.MEMBER, now=NOW)
    with pytest.raises(actions.InvitationRefused, match="ran out on 16 November 2026"):
        actions.open_invitation(token, NOW + timedelta(days=14))


def test_an_invitation_taken_back_opens_nothing(db: None) -> None:
    invitation, token = actions.invite(role=Role.MEMBER, now=NOW)
    actions.end_invitation(invitation, now=NOW)
    with pytest.raises(actions.InvitationRefused, match="taken back"):
        actions.open_invitation(token, NOW)


def test_the_last_keeper_stays_keeper(keeper: Member) -> None:
    with pytest.raises(actions.RoleRefused, match="only keeper"):
        actions.change_role(keeper, Role.MEMBER)


def test_joining_by_the_link_signs_in(db: None, nobody: Client) -> None:
    _, token = actions.invite(role=Role.MEMBER, now=datetime.now(UTC))
    answer = nobody.post(f"/join/{token}/", WHO, follow=True)
    assert "Welcome, Nell Fairhurst" in answer.content.decode()


def test_a_taken_code_is_refused_and_what_was_typed_is_kept(db: None, nobody: Client) -> None:
    make_person("collector")
    _, token = actions.invite(role=Role.MEMBER, now=datetime.now(UTC))
    page = nobody.post(f"/join/{token}/", WHO | {"collector_code": "at"}).content.decode()
    assert "The code AT belongs to somebody else" in page
    assert "Nell Fairhurst" in page
    assert Member.objects.count() == 1


def test_a_weak_password_is_refused(db: None, nobody: Client) -> None:
    _, token = actions.invite(role=Role.MEMBER, now=datetime.now(UTC))
    page = nobody.post(f"/join/{token}/", WHO | {"password": "1234567890"}).content.decode()
    assert "too common" in page or "entirely numeric" in page
    assert not Member.objects.exists()


def test_an_unknown_link_says_what_to_do(db: None, nobody: Client) -> None:
    answer = nobody.get("/join/none-such/")
    assert answer.status_code == 410
    assert "Ask the keeper" in answer.content.decode()


def test_the_first_keeper_of_an_empty_club_gets_one_link(
    db: None, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("first_keeper")
    call_command("first_keeper")
    assert Invitation.objects.filter(ended_at__isnull=True).count() == 1
    assert "/join/" in capsys.readouterr().out


def test_a_club_with_a_keeper_gets_no_link(keeper: Member, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("first_keeper")
    assert "/join/" not in capsys.readouterr().out


def test_wrong_passwords_make_the_name_rest(collector: Member, nobody: Client) -> None:
    for _ in range(10):
        answer = nobody.post("/sign-in/", {"username": "collector", "password": "wrong"})
    assert answer.status_code == 429
    assert "rests for a quarter of an hour" in answer.content.decode()
    right = nobody.post("/sign-in/", {"username": "collector", "password": "chestnut-rain-41"})
    assert right.status_code == 429


def test_an_ended_member_cannot_sign_in(collector: Member, nobody: Client) -> None:
    actions.end_membership(collector)
    nobody.post("/sign-in/", {"username": "collector", "password": "chestnut-rain-41"})
    assert "_auth_user_id" not in nobody.session


def test_ending_a_membership_asks_first_and_can_be_undone(
    collector: Member, keeper: Member, browser_of: Callable[[Member], Client]
) -> None:
    browser, to = browser_of(keeper), reverse("end-membership", args=[collector.pk])
    asked = browser.get(to).content.decode()
    assert "End the membership of Ada Thorne?" in asked and "can be undone" in asked
    collector.refresh_from_db()
    assert collector.is_active
    told = browser.post(to, follow=True).content.decode()
    collector.refresh_from_db()
    assert not collector.is_active
    assert "Let in again" in told
    browser.post(reverse("renew-membership", args=[collector.pk]))
    collector.refresh_from_db()
    assert collector.is_active


def test_of_two_who_take_one_code_at_once_the_second_is_asked_again(db: None) -> None:
    _, one = actions.invite(role=Role.MEMBER, now=NOW)
    _, two = actions.invite(role=Role.MEMBER, now=NOW)
    actions.join(one, now=NOW, **WHO)
    with pytest.raises(actions.NameTaken, match="still good"):
        actions.join(two, now=NOW, **WHO)
    assert actions.open_invitation(two, NOW)


@pytest.mark.parametrize(
    "name", ["Carys Bowen", "carys  bowen", "\u202eCarys\u200b Bowen", "Ｃarys Bowen", "\ue000"]
)
def test_nobody_signs_by_another_s_name(
    curator: Member, collector: Member, browser_of: Callable[[Member], Client], name: str
) -> None:
    browser_of(collector).post("/me/", {"full_name": name})
    collector.refresh_from_db()
    assert collector.full_name == "Ada Thorne"


def test_a_name_is_kept_without_signs_that_cannot_be_seen(
    collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    browser_of(collector).post("/me/", {"full_name": "Ada\u200b Th\u202eorne-Hill"})
    collector.refresh_from_db()
    assert collector.full_name == "Ada Thorne-Hill"
