"""Wrong passwords: a name rests, and so does an address that tries name after name."""

import pytest
from django.test import Client

from ledger.people.models import Member
from tests.people import PASSWORD

pytestmark = pytest.mark.django_db


def tried(name: str, password: str = "not this one", address: str = "10.0.0.1") -> int:
    sent = {"username": name, "password": password}
    return Client().post("/sign-in/", sent, REMOTE_ADDR=address).status_code


def test_a_name_rests_after_ten_wrong_passwords_from_one_address(collector: Member) -> None:
    assert [tried("collector") for _ in range(10)] == [200] * 9 + [429]
    assert tried("collector", PASSWORD) == 429
    assert tried("collector", PASSWORD, "10.0.0.2") == 302


def test_an_address_that_tries_name_after_name_rests(collector: Member) -> None:
    answers = [tried(f"name{number // 5}") for number in range(100)]
    assert (answers[-2:], tried("collector", PASSWORD)) == ([200, 429], 429)
    assert tried("collector", PASSWORD, "10.0.0.2") == 302


def test_who_signs_in_between_others_mistakes_is_let_in(collector: Member, stranger: Member) -> None:
    for _ in range(9):
        tried("stranger")
    assert tried("collector", PASSWORD) == 302
    assert tried("stranger", PASSWORD) == 302
