"""The pages for what goes wrong: in the house's form, each with a way on, and standing when little else does."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse

from ledger.people.models import Member

TEMPLATES = Path(__file__).parents[2] / "templates"
PAGES = ("400.html", "403.html", "404.html", "413.html", "500.html", "503.html", "csrf.html")


@pytest.mark.parametrize("page", PAGES)
def test_an_error_page_stands_without_context_request_or_database(page: str) -> None:
    """Plain pytest-django forbids the database here: a query would fail this test."""
    assert "</html>" in render_to_string(page)


@pytest.mark.parametrize("page", PAGES)
def test_an_error_page_says_what_was_wrong_what_was_kept_and_what_to_do(page: str) -> None:
    terms = re.findall(r"<dt>(.*?)</dt>", render_to_string(page))
    assert terms == ["Wrong", "Kept", "Do"]


@pytest.mark.parametrize("page", PAGES)
def test_an_error_page_has_one_heading_and_a_way_on(page: str) -> None:
    html = render_to_string(page)
    assert html.count("<h1") == 1
    assert re.search(r'<a class="button[^"]*" href="/[^"]*"', html)


@pytest.mark.parametrize("page", PAGES)
def test_an_error_page_carries_the_caution(page: str) -> None:
    html = render_to_string(page)
    assert "No guide to eating" in html
    assert "poison centre" in html


@pytest.mark.parametrize("page", ["500.html", "503.html"])
def test_the_page_for_a_failure_of_the_program_uses_no_tag_that_could_fail(page: str) -> None:
    """Words are said from a catalogue that lies in memory; nothing else is asked."""
    source = (TEMPLATES / page).read_text(encoding="utf-8")
    tags = set(re.findall(r"{%\s*(\w+)", source))
    assert tags <= {"load", "page_language", "translate", "blocktranslate", "endblocktranslate"}
    assert re.findall(r"{{|{% load (?!i18n %})", source) == []


@pytest.mark.parametrize("page", sorted(str(p.relative_to(TEMPLATES)) for p in TEMPLATES.rglob("*.html")))
def test_no_template_holds_script_text_or_style_of_its_own(page: str) -> None:
    """What the content security policy would block anyway, found before the browser does."""
    text = (TEMPLATES / page).read_text(encoding="utf-8")
    assert re.findall(r"<style|\sstyle=|\son\w+=\"|javascript:", text) == []
    assert [
        s for s in re.findall(r"<script\b[^>]*>", text) if "src=" not in s and "application/json" not in s
    ] == []


def test_each_role_is_told_whom_to_ask(
    collector: Member, leader: Member, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    for member, page, ask in (
        (curator, "club", "Ask the keeper of the club to do it"),
        (leader, "bench", "Ask a curator to do it"),
        (collector, "bench", "Ask the leader of the foray or a curator"),
    ):
        answer = browser_of(member).get(reverse(page))
        assert answer.status_code == 403 and ask in answer.content.decode(), member
