"""What every test may ask for: the named people, browsers signed in as them, and the reference."""

import os
import secrets
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from hypothesis import settings as hypothesis_settings

from ledger.people.models import Member
from ledger.taxa import queries
from ledger.taxa.models import ReferenceStamp, Taxon
from ledger.traits.reference import Reference
from tests.people import make_person
from tests.shared_suite import is_run, modules

# A busy machine is no failure; and a landing is judged on the same cases each time, while a developer's own runs go on
# looking for new ones.
hypothesis_settings.register_profile("house", deadline=None)
hypothesis_settings.register_profile("landing", deadline=None, derandomize=True)
hypothesis_settings.load_profile("landing" if os.environ.get("CI") else "house")


# The check never meets the database: a run on PostgreSQL draws others, and fewer of them.
MANY, FEWER = 20_000, 5_000


def pytest_configure() -> None:
    """Each run of the suite draws other specimens; workers are started later and inherit what is set here."""
    draws_all = "CHECK_SEED" in os.environ or connection.vendor == "sqlite"
    os.environ.setdefault("CHECK_SPECIMENS", str(MANY if draws_all else FEWER))
    os.environ.setdefault("CHECK_SEED", str(secrets.randbelow(10**9)))


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """With SUITE=shared each database runs its share (tests/shared_suite.py); without it, everything."""
    if os.environ.get("SUITE") != "shared":
        return

    def names(item: pytest.Item) -> set[str]:
        return {mark.name for mark in item.iter_markers()} | set(getattr(item, "fixturenames", ()))

    vendor = "sqlite" if connection.vendor == "sqlite" else "postgresql"
    asked = modules((item.path, names(item)) for item in items)
    runs = {path: is_run(module, vendor) for path, module in asked.items()}
    config.hook.pytest_deselected(items=[item for item in items if not runs[item.path]])
    items[:] = [item for item in items if runs[item.path]]


def pytest_terminal_summary(terminalreporter: Any) -> None:
    drawn = " ".join(f"{name}={os.environ[name]}" for name in ("CHECK_SEED", "CHECK_SPECIMENS"))
    terminalreporter.write_line(f"Specimens were drawn by {drawn}; set both to draw the same again.")


@pytest.fixture(autouse=True)
def _media(settings: Any, tmp_path: Path) -> None:
    """Photos of a test lie in its own folder."""
    settings.MEDIA_ROOT = tmp_path / "photos"
    settings.VAR = tmp_path


@pytest.fixture(scope="session")
def whole_reference() -> Reference:
    """The reference of fixtures/, compiled once for all tests, without a database."""
    return queries.reference_of_files()


@pytest.fixture
def reference(db: None, whole_reference: Reference) -> Iterator[Reference]:
    """The whole reference as the ledger sees it, at the price of two inserts.

    Taxa are rows, as determinations point at them; ranges and sources are not: the compiled reference is put where
    `current_reference()` keeps it. A test of the rows themselves runs `load_reference`.
    """
    Taxon.objects.bulk_create(
        (
            Taxon(name=name, slug=name.lower().replace(" ", "-"), authority=known.authority)
            for name, known in whole_reference.taxa.items()
        ),
        ignore_conflicts=True,  # a test may have made the one it is about before
    )
    stamp = ReferenceStamp.objects.create()
    queries._compiled[stamp.mark] = whole_reference
    yield whole_reference
    queries._compiled.pop(stamp.mark, None)


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
