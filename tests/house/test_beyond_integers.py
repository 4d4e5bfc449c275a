"""A whole number that no column holds is no row: every address and every form says so, and none ends in an error."""

from collections.abc import Callable, Iterator
from importlib import import_module
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django import forms
from django.db import models
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver

from ledger.people.models import Member
from ledger.row_fields import RowsField
from tests.vouchers.store.making import place

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

BEYOND = ("2147483648", "9223372036854775808", "9" * 40, "9" * 5000)
SOMETHING = {"uuid": str(UUID(int=7)), "str": "x", "slug": "x", "path": "x"}


def addresses(number: str) -> Iterator[str]:
    """Every address of the ledger that holds a whole number, with that one in it."""
    for route in _routes(get_resolver(), ""):
        if "<int:" not in route:
            continue
        while "<" in route:
            before, rest = route.split("<", 1)
            kind, after = rest.split(":", 1)[0], rest.split(">", 1)[1]
            route = before + (number if kind == "int" else SOMETHING[kind]) + after
        yield "/" + route


def _routes(part: URLResolver, above: str) -> Iterator[str]:
    for one in part.url_patterns:
        route = above + str(one.pattern)
        if isinstance(one, URLPattern):
            yield route
        else:
            yield from _routes(one, route)


@pytest.mark.parametrize("number", BEYOND)
def test_an_address_with_a_number_that_no_row_has_is_answered(
    number: str, keeper: Member, browser_of: Callable[[Member], Client]
) -> None:
    browser = browser_of(keeper)
    wrong = {}
    for address in addresses(number):
        for method in (browser.get, browser.post):
            status = method(address).status_code
            if status >= 500:
                wrong[address[:80], method.__name__] = status
    assert wrong == {}


FORMS: list[tuple[str, dict[str, Any]]] = [
    ("/labels/places/", {"places": "N", "paper": "a4"}),
    ("/labels/places/", {"first_tray": "N", "last_tray": "N", "paper": "a4"}),
    ("/labels/", {"vouchers": "N", "sheet": "packet", "paper": "a4"}),
    ("/slips/", {"finder": "N", "sheets": "N", "paper": "a4"}),
    ("/finds/log/", {"foray": "N", "serial": "N", "utc_offset_minutes": "N", "version": "N", "do": "keep"}),
    ("/finds/log/", {"fruit_bodies": "N", "locality": "here", "do": "keep"}),
    ("/store/new/", {"kind": "box", "name": "Box", "capacity": "N", "count": "N"}),
    ("/store/new/", {"kind": "box", "name": "Box", "parent": "N", "count": "1"}),
    ("/store/move/", {"to": "PLACE N", "codes": "BL 2026-N"}),
    ("/preparation/drier/", {"run": "N", "finds": "N", "first_tray": "N", "drier": "blue"}),
    ("/exchange/told/", {"told": "N"}),
    ("/stocktake/", {"place": "PLACE N"}),
]  # fmt: skip


@pytest.mark.parametrize("number", BEYOND)
@pytest.mark.parametrize(("address", "typed"), FORMS)
def test_a_form_with_a_number_that_no_row_has_is_refused(
    address: str,
    typed: dict[str, str],
    number: str,
    keeper: Member,
    browser_of: Callable[[Member], Client],
) -> None:
    place("Box 1")
    sent = {name: value.replace("N", number) for name, value in typed.items()}
    assert browser_of(keeper).post(address, sent).status_code in (200, 403, 404, 422)


@pytest.mark.parametrize("number", BEYOND)
@pytest.mark.parametrize(
    "address",
    ["/finds/?page=", "/vouchers/?page=", "/store/?page=", "/store/?q=PLACE ", "/vouchers/?q=BL 2026-", "/store/new/?in=",
     "/finds/log/?foray=", "/preparation/drier/?foray=", "/preparation/drier/?q=AT ", "/labels/places/?place=",
     "/store/move/?to=", "/loans/new/?code=BL 2026-", "/stocktake/?place=", "/n/?number=AT "],
)  # fmt: skip
def test_a_search_with_a_number_that_no_row_has_finds_nothing(
    address: str, number: str, keeper: Member, browser_of: Callable[[Member], Client]
) -> None:
    assert browser_of(keeper).get(address + number).status_code in (200, 404)


def test_ticked_rows_with_whole_numbers_as_keys_come_by_the_field_of_the_house() -> None:
    import_all_forms()
    wrong = [
        f"{form.__module__}.{form.__name__}.{name}"
        for form in _below(forms.BaseForm)
        for name, field in getattr(form, "base_fields", {}).items()
        if isinstance(field, forms.ModelMultipleChoiceField)
        and not isinstance(field.queryset.model._meta.pk, models.UUIDField)
        and not isinstance(field, RowsField)
    ]
    assert wrong == []


def import_all_forms() -> None:
    root = Path(__file__).resolve().parents[2]
    for app in ("ledger", "vouchers"):
        for path in (root / app).rglob("forms*.py"):
            import_module(".".join(path.relative_to(root).with_suffix("").parts))


def _below(above: type) -> Iterator[type]:
    for one in above.__subclasses__():
        if one.__module__.startswith(("ledger.", "vouchers.")):
            yield one
        yield from _below(one)
