"""What tests of the ledger's rooms may ask for besides."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles import finders

from tests.static_folder import Write


@pytest.fixture
def write(tmp_path: Path, settings: Any) -> Iterator[Write]:
    """Write a file into a static folder that is the test's own."""
    folder = tmp_path / "static"
    settings.STATICFILES_DIRS = [folder]
    finders.get_finder.cache_clear()

    def written(name: str, text: str) -> None:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)

    yield written
    finders.get_finder.cache_clear()
