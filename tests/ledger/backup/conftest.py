"""Where backups of the tests lie, and a key that is cheap to make."""

from pathlib import Path
from typing import Any

import pytest

from ledger.backup import sealing


@pytest.fixture
def place(settings: Any, tmp_path: Path) -> Path:
    """The folder that LEDGER_BACKUPS names; not there yet."""
    settings.BACKUPS = str(tmp_path / "backups")
    settings.BACKUP_PASSPHRASE = settings.BACKUP_KEY_FILE = ""
    return tmp_path / "backups"


@pytest.fixture
def cheap_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keys are slow on purpose; that is a test of its own."""
    monkeypatch.setattr(sealing.Costs, "__init__", _cheap)


def _cheap(self: sealing.Costs, n: int = 8, r: int = 1, p: int = 1) -> None:
    for name, value in (("n", n), ("r", r), ("p", p)):
        object.__setattr__(self, name, value)
