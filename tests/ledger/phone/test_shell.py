"""The worker's text and the pages a phone keeps: public, the same for everybody, asked about each time."""

import hashlib
import json
import re
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ledger.club.models import Club
from ledger.people.models import Member
from ledger.phone.kept_pages import kept_pages, plan
from tests.factories import FindFactory, ForayFactory

PAGES = [page.name for page in kept_pages()]


def told(nobody: Client) -> dict[str, Any]:
    """What the worker's text tells the worker."""
    text = nobody.get("/worker.js").content.decode()
    found = re.fullmatch(r'import \{ serve \} from "(/static/\S+)";\n\nserve\((\{.*\})\);\n', text, re.DOTALL)
    assert found, text
    given: dict[str, Any] = json.loads(found.group(2))
    return given


def test_the_worker_may_serve_the_whole_ledger_and_is_never_kept_unasked(
    reference: Any, nobody: Client
) -> None:
    answer = nobody.get("/worker.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Service-Worker-Allowed"] == "/"
    assert answer["Cache-Control"] == "no-cache"


@pytest.mark.parametrize("address", ["/worker.js", "/ledger.webmanifest", *map(reverse, PAGES)])
def test_what_has_not_changed_is_not_sent_again(address: str, reference: Any, nobody: Client) -> None:
    first = nobody.get(address)
    again = nobody.get(address, headers={"If-None-Match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")


@pytest.mark.parametrize("address", ["/worker.js", "/ledger.webmanifest", *map(reverse, PAGES)])
def test_nothing_of_it_takes_a_post(address: str, db: None, nobody: Client) -> None:
    assert nobody.post(address).status_code == 405


@pytest.mark.parametrize("name", PAGES)
def test_a_kept_page_is_the_same_for_everybody_and_every_day(
    name: str, reference: Any, nobody: Client, collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    before = nobody.get(reverse(name)).content
    ForayFactory(held_on=date.today(), name="Sorrel Dingle foray")
    FindFactory(finder=collector)
    answer = browser_of(collector).get(reverse(name))
    assert answer.content == before
    assert not answer.cookies
    page = answer.content.decode()
    assert "csrfmiddlewaretoken" not in page
    assert collector.full_name not in page
    assert str(datetime.now(UTC).year) not in re.sub(r'"/static/[^"]*"', "", page)


def test_the_kept_form_has_no_identity_and_no_names_of_the_reference(reference: Any, nobody: Client) -> None:
    page = nobody.get(reverse("phone-form")).content.decode()
    assert re.search(r'<input type="hidden" name="find_id"(?! value)[^>]*>', page)
    assert "Trametes" not in page
    assert "<option>" not in re.search(r'<datalist id="known-names">(.*?)</datalist>', page)[1]  # type: ignore[index]


def test_the_worker_is_told_the_digest_of_each_page(reference: Any, nobody: Client) -> None:
    pages = told(nobody)["pages"]
    assert list(pages) == [reverse(name) for name in PAGES]
    for address, digest in pages.items():
        assert hashlib.sha256(nobody.get(address).content).hexdigest() == digest


def test_every_file_the_worker_is_told_of_is_there(reference: Any, nobody: Client) -> None:
    files = told(nobody)["files"]
    assert len(files) == len(set(files)) > 20
    for address in files:
        answer = nobody.get(address)
        assert answer.status_code == 200, address
        answer.close()


def test_the_release_changes_with_a_page_and_with_nothing_else(reference: Any, collector: Member) -> None:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    before = plan()["release"]
    FindFactory(finder=collector)
    ForayFactory()
    assert plan()["release"] == before
    Club.objects.update(poison_centre="Poison line 0800 000")
    assert plan()["release"] != before


def _plan_in(language: str, nobody: Client) -> dict[str, Any]:
    text = nobody.get(f"/worker.js?language={language}", headers={"accept-language": "fr"}).content.decode()
    given: dict[str, Any] = json.loads(text.partition("serve(")[2].removesuffix(");\n"))
    return given


def test_each_language_has_a_release_of_its_own(reference: Any, nobody: Client) -> None:
    english, german = (_plan_in(language, nobody) for language in ("en-GB", "de"))
    assert (english["language"], german["language"]) == ("en-gb", "de")
    assert english["release"] != german["release"] and english["pages"].keys() == german["pages"].keys()


def test_a_page_registers_the_worker_of_its_language(reference: Any, nobody: Client) -> None:
    pages = [nobody.get("/", headers={"accept-language": one}).content.decode() for one in ("en-GB", "de")]
    asked = [re.search(r'data-worker="([^"]*)"', page)[1] for page in pages]  # type: ignore[index]
    assert asked == ["/worker.js", "/worker.js?language=de"]


def test_a_kept_page_is_fetched_in_the_language_of_its_release_whatever_the_browser_asks(
    reference: Any, nobody: Client
) -> None:
    german = _plan_in("de", nobody)
    for address, digest in german["pages"].items():
        answer = nobody.get(f"{address}?language=de", headers={"accept-language": "en-GB"})
        assert hashlib.sha256(answer.content).hexdigest() == digest


def test_a_release_has_the_words_of_its_scripts_and_the_worker_too_but_for_english(
    reference: Any, nobody: Client
) -> None:
    german, english = _plan_in("de", nobody), _plan_in("en-GB", nobody)
    assert "/static/words/de.js" in german["files"]
    assert not [address for address in english["files"] if "/words/" in address]
    worker = nobody.get("/worker.js?language=de").content.decode()
    assert worker.startswith('import "/static/words/de.js";\n')


def test_the_words_stand_above_all_that_says_them(reference: Any, nobody: Client) -> None:
    page = nobody.get(f"{reverse('phone-form')}?language=de").content.decode()
    assert 0 < page.index("/static/words/de.js") < page.index('<script type="module"')
