"""Whatever is written down is English, in whatever language it was said on the screen of whoever wrote it."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import models

from ledger.taxa.actions import load_reference
from ledger.traits.reference_files import read_reference
from tests.speaking import in_brackets

# What a sentence is made of, to be said again: its patterns are English, its values may be words of any kind.
SAID = {"said"}


def _texts() -> Iterator[tuple[str, str, Any]]:
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            is_text = isinstance(field, models.CharField | models.TextField)
            if is_text or (isinstance(field, models.JSONField) and field.name not in SAID):
                for value in model._default_manager.values_list(field.attname, flat=True):
                    yield model.__name__, field.name, value


@pytest.mark.django_db
def test_a_club_written_down_in_another_language_stands_in_english(tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path
    load_reference(read_reference(Path(settings.FIXTURES)))
    with in_brackets():
        call_command("demo", finds=30, plain_photos=True, verbosity=0)
    wrong = {
        (model, field, text[:200])
        for model, field, value in _texts()
        if "⟦"
        in (text := value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str))
    }
    assert wrong == set()
