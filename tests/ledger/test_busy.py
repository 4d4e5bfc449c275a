"""A database that gives up waiting is no failure of the program."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import OperationalError
from django.test import Client
from django.urls import reverse

from ledger.people.models import Member
from tests.factories import FindFactory
from vouchers.register import actions
from vouchers.register.models import Voucher


def pressed(desk: Client, monkeypatch: pytest.MonkeyPatch, problem: Exception) -> Any:
    """The answer to an accession that ends with that problem."""

    def fails(*_: object, **__: object) -> None:
        raise problem

    desk.raise_request_exception = False
    monkeypatch.setattr(actions, "accession", fails)
    return desk.post(reverse("accession", args=[FindFactory().pk]))


def test_a_database_that_gave_up_waiting_is_told_as_busy_and_asks_to_press_again(
    curator: Member, browser_of: Callable[[Member], Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    answer = pressed(browser_of(curator), monkeypatch, OperationalError("database is locked"))
    assert answer.status_code == 503
    assert "The ledger is busy" in answer.content.decode()
    assert int(answer["Retry-After"]) > 0
    assert not Voucher.objects.exists()


def test_a_failure_of_the_program_is_told_as_one(
    curator: Member, browser_of: Callable[[Member], Client], monkeypatch: pytest.MonkeyPatch
) -> None:
    answer = pressed(browser_of(curator), monkeypatch, RuntimeError("a bug"))
    assert answer.status_code == 500
    assert "The ledger stumbled" in answer.content.decode()
