"""What every test may ask for: the named people, browsers signed in as them, and the reference."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from ledger.people.models import Member
from tests.people import make_person


@pytest.fixture(autouse=True)
def _media(settings: Any, tmp_path: Path) -> None:
    """Photos of a test lie in its own folder."""
    settings.MEDIA_ROOT = tmp_path / "photos"
    settings.VAR = tmp_path


@pytest.fixture
def collector(db: None) -> Member:
    return make_person("collector")


@pytest.fixture
def leader(db: None) -> Member:
    return make_person("leader")


@pytest.fixture
def curator(db: None) -> Member:
    return make_person("curator")


@pytest.fixture
def keeper(db: None) -> Member:
    return make_person("keeper")


@pytest.fixture
def stranger(db: None) -> Member:
    return make_person("stranger")


@pytest.fixture
def nobody() -> Client:
    """A browser that has not signed in."""
    return Client()


@pytest.fixture
def browser_of() -> Callable[[Member], Client]:
    """A browser signed in as the given member."""

    def signed_in(member: Member) -> Client:
        client = Client()
        client.force_login(member, backend="django.contrib.auth.backends.ModelBackend")
        return client

    return signed_in
