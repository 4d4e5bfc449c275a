"""The language of the screens: the member's, else the one chosen in this browser, else as the browser asks."""

from collections.abc import Callable
from urllib.parse import quote

import pytest
from django.contrib.auth.forms import SetPasswordForm
from django.test import Client, override_settings
from django.urls import reverse
from django.utils import translation

from ledger.people.models import Member

pytestmark = pytest.mark.django_db

ENGLISH, GERMAN = '<html lang="en-GB">', '<html lang="de">'


def _page(browser: Client, address: str = "/", **asked: str) -> str:
    return browser.get(address, **asked).content.decode()


def test_a_browser_that_asks_for_nothing_gets_the_language_of_the_club() -> None:
    assert ENGLISH in _page(Client())


def test_a_club_may_speak_another_language_of_its_own() -> None:
    with override_settings(LANGUAGE_CODE="de"):
        page = _page(Client())
    assert GERMAN in page


@pytest.mark.parametrize(
    ("asked", "given"),
    [
        ("de-AT,de;q=0.9,en;q=0.5", GERMAN),
        ("fr,de;q=0.5", GERMAN),
        ("en-US,en;q=0.9,de;q=0.8", ENGLISH),
        ("fr", ENGLISH),
    ],
)
def test_who_is_signed_out_gets_what_their_browser_asks_for(asked: str, given: str) -> None:
    assert given in _page(Client(), HTTP_ACCEPT_LANGUAGE=asked)


def test_who_is_signed_out_may_choose_and_it_is_kept_in_the_browser() -> None:
    browser = Client()
    answer = browser.post(reverse("choose-language"), {"language": "de", "next": "/sign-in/"})
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in/")
    assert GERMAN in _page(browser, "/sign-in/", HTTP_ACCEPT_LANGUAGE="en-GB")


def test_the_language_leads_back_to_no_other_address_than_ours() -> None:
    answer = Client().post(
        reverse("choose-language"), {"language": "de", "next": "https://elsewhere.example.org/"}
    )
    assert answer["Location"] == "/"


@pytest.mark.parametrize("word", ["nowhere", "people", "\N{REPLACEMENT CHARACTER}"])
def test_a_word_to_lead_back_to_is_an_address_and_not_the_name_of_a_page(word: str) -> None:
    answer = Client().post(reverse("choose-language"), {"language": "de", "next": word})
    assert (answer.status_code, answer["Location"]) == (302, quote(word))


def test_a_member_s_language_holds_whatever_the_browser_asks_for(
    collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    browser = browser_of(collector)
    browser.post(reverse("choose-language"), {"language": "de"})
    assert GERMAN in _page(browser_of(collector), HTTP_ACCEPT_LANGUAGE="en-GB")


def test_a_member_may_leave_it_to_the_browser_again(
    collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    browser = browser_of(collector)
    for language in ("de", ""):
        browser.post(reverse("choose-language"), {"language": language})
    assert (ENGLISH in _page(browser), GERMAN in _page(browser, HTTP_ACCEPT_LANGUAGE="de")) == (True, True)


@pytest.mark.parametrize("sent", [{"language": "xx"}, {}])
def test_what_is_no_language_changes_nothing(
    sent: dict[str, str], collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    browser = browser_of(collector)
    browser.post(reverse("choose-language"), {"language": "de"})
    browser.post(reverse("choose-language"), sent)
    collector.refresh_from_db()
    assert collector.language == "de"


def test_the_pages_made_without_knowing_the_member_follow_by_the_browser_s_cookie(
    collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    collector.language = "de"
    collector.save()
    browser = browser_of(collector)
    browser.get("/")
    assert browser.cookies["ledger_language"].value == "de"


def test_a_cache_on_the_way_keeps_the_languages_apart() -> None:
    assert "Accept-Language" in Client().get("/")["Vary"]


def test_a_refusal_of_the_front_door_is_in_the_language_of_the_browser() -> None:
    answer = Client().get("/?name=%00", HTTP_ACCEPT_LANGUAGE="de")
    assert (answer.status_code, GERMAN in answer.content.decode()) == (400, True)


def test_the_language_of_one_request_is_not_that_of_the_next() -> None:
    _page(Client(), HTTP_ACCEPT_LANGUAGE="de")
    assert translation.get_language() == "en-gb"


def test_the_errors_of_a_form_that_is_not_ours_are_in_german_too(collector: Member) -> None:
    with translation.override("de"):
        form = SetPasswordForm(collector, {"new_password1": "", "new_password2": ""})
        assert form.errors["new_password1"] == ["Dieses Feld ist zwingend erforderlich."]


def test_a_number_keeps_its_point_in_every_language() -> None:
    with translation.override("de"):
        from django.template import Context, Template

        assert Template("{{ x }} {{ y }}").render(Context({"x": 3.5, "y": 12345})) == "3.5 12345"
