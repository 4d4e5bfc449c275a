"""Who is signed in, as a phone is told, where the ledger is young."""

import pytest
from django.test import Client

from ledger.people.models import Member

pytestmark = pytest.mark.django_db


def test_a_ledger_without_a_reference_greets_all_the_same(client: Client, collector: Member) -> None:
    client.force_login(collector)
    told = client.get("/phone/hello").json()
    assert (told["member"], told["reference"]) == (collector.pk, "")


def test_the_missing_reference_is_told_in_words(client: Client, collector: Member) -> None:
    client.force_login(collector)
    answer = client.get("/phone/reference.json")
    assert answer.status_code == 404
    assert "no reference yet" in answer.json()["why"]
