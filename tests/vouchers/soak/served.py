"""The ledger as gunicorn serves it, but that its workers are killed at statements drawn for them.

`SOAK` in the environment names a folder: `asked.json` in it says which database, and has a fate for each worker in their
order. A worker takes the next one; where it meets it, `met-<number>` is written just before its end.
"""

import json
import os
import threading
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db.backends.signals import connection_created

from tests.vouchers.soak.fate import Fate

FOLDER = Path(os.environ["SOAK"])
_ASKED = json.loads((FOLDER / "asked.json").read_text())
settings.DATABASES["default"]["NAME"] = _ASKED["database"]
# Styles and scripts as in tests: nothing was collected.
settings.STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
settings.WHITENOISE_USE_FINDERS = True

from ledger import wsgi  # noqa: E402  # after the settings

_fates: dict[int, Fate] = {}
_claiming = threading.Lock()
HURRY, SOON = FOLDER / "hurry", 300


def _fate() -> Fate:
    """The fate of this worker, claimed with its first request; its threads have one together."""
    with _claiming:
        if os.getpid() not in _fates:
            _fates[os.getpid()] = _claimed()
        return _fates[os.getpid()]


def _claimed() -> Fate:
    for number, drawn in enumerate(_ASKED["fates"]):
        try:
            (FOLDER / f"fate-{number}").touch(exist_ok=False)
        except FileExistsError:
            continue
        return Fate(drawn["dies_at"], before=drawn["before"], last_word=(FOLDER / f"met-{number}").touch)
    return Fate(None, before=True)


def _watch(connection: Any, **_: Any) -> None:
    _fate().watch(connection)


connection_created.connect(_watch)


def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
    if HURRY.exists():
        _fate().hasten(SOON)
    return wsgi.application(environ, start_response)
