from datetime import date

import pytest

from tests.factories import ForayFactory

pytestmark = pytest.mark.django_db


def test_the_latest_foray_stands_first_and_one_of_the_same_day_by_its_name(collector, leader, browser_of):
    for name, held_on in (
        ("Oak day", date(2026, 3, 1)),
        ("Birch day", date(2026, 10, 2)),
        ("Alder day", date(2026, 10, 2)),
        ("Old day", date(2024, 12, 31)),
    ):
        ForayFactory(leader=leader, name=name, held_on=held_on)
    page = browser_of(collector).get("/forays/").content.decode()
    order = sorted(("Oak day", "Birch day", "Alder day", "Old day"), key=page.index)
    assert order == ["Alder day", "Birch day", "Oak day", "Old day"]
