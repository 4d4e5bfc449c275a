"""Models and migrations agree, and every table has a door in its app's contents page."""

import pytest
from django.apps import apps
from django.core.management import call_command

import ledger.models
import vouchers.models


@pytest.mark.django_db
def test_no_model_has_changed_without_a_migration() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


@pytest.mark.parametrize(("label", "page"), [("ledger", ledger.models), ("vouchers", vouchers.models)])
def test_every_table_stands_on_its_contents_page(label: str, page: object) -> None:
    names = {model.__name__ for model in apps.get_app_config(label).get_models()}
    assert names == set(page.__all__)  # type: ignore[attr-defined]
