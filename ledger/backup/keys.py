"""The key of the backups: from the settings, and what a place remembers of it."""

import base64
import json
import os
import secrets
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from ledger.backup.errors import BackupError, Damaged, Unusable, WrongKey
from ledger.backup.places import Place
from ledger.backup.sealing import SALT_BYTES, Costs, Key

REMEMBERED = "place.json"
_LARGEST_KEY_FILE = 1 << 16


def key_of_settings() -> Key | None:
    """The key that is set, None for none. WrongKey and Unusable with a sentence for one that cannot be used."""
    file, typed = settings.BACKUP_KEY_FILE, settings.BACKUP_PASSPHRASE
    if not file:
        return Key(typed.encode()) if typed else None
    try:
        with Path(file).open("rb") as opened:
            secret = opened.read(_LARGEST_KEY_FILE + 1).strip()
    except OSError as problem:
        raise Unusable(
            f"The key file {file} cannot be read: {problem.strerror}. Nothing was done; put it back, "
            "or leave LEDGER_BACKUP_KEY_FILE out for backups that anybody can read."
        ) from problem
    if len(secret) > _LARGEST_KEY_FILE:
        raise WrongKey(f"{file} is too large for a key file. Nothing was done; name a file of at most 64 kB.")
    return Key(secret)


def make_key_file(path: Path) -> None:
    """Write a new key, readable by its owner only. Never over another file: that may be the only copy of a key."""
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        raise BackupError(
            f"{path} is there already and was left as it is. Name a file that is not."
        ) from None
    except OSError as problem:
        raise Unusable(f"{path} cannot be written: {problem.strerror}.") from problem
    with os.fdopen(handle, "wb") as file:
        file.write(base64.b64encode(secrets.token_bytes(32)) + b"\n")


@dataclass(frozen=True, slots=True)
class Remembered:
    """What a place knows of its key: no secret, but what tells a wrong one, and the salt that names originals."""

    salt: bytes
    check: str  # empty: backups here are not sealed
    costs: Costs


def salt_for(place: Place, key: Key | None, *, another: bool) -> bytes:
    """The salt of this place, made at the first backup. WrongKey where the key is not that of the backups before,
    unless it is `another` on purpose: a key mistyped once would seal backups that nobody can open."""
    known = _read(place)
    if known is not None and not another:
        if key is None and not known.check:
            return b""
        if key is not None and known.check:
            # The costs of that time, so that originals keep their names.
            key.costs = known.costs
            if key.check(known.salt, known.costs) == known.check:
                return known.salt
        raise WrongKey(_changed(place, key, known))
    salt = secrets.token_bytes(SALT_BYTES) if key else b""
    said = {
        "salt": salt.hex(),
        "check": key.check(salt, key.costs) if key else "",
        "costs": [key.costs.n, key.costs.r, key.costs.p] if key else [],
    }
    place.put(REMEMBERED, json.dumps(said).encode())
    return salt


def _read(place: Place) -> Remembered | None:
    try:
        with place.open(REMEMBERED) as file:
            said = json.loads(file.read(10_000))
            costs = Costs(*map(int, said["costs"])) if said["check"] else Costs()
            known = Remembered(bytes.fromhex(said["salt"]), str(said["check"]), costs)
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError):
        known = None
    if known is None or not known.costs.bearable:
        raise Damaged(
            f"{REMEMBERED} in {place.words} is damaged. Nothing was written. With --another-key it is made anew; "
            "every original is then sent once more. Backups made before can be restored as they are."
        )
    return known


def _changed(place: Place, key: Key | None, known: Remembered) -> str:
    if key is None:
        wrong = f"Backups in {place.words} are sealed, and no key is set"
    elif known.check:
        wrong = f"The key that is set is not the one of the backups in {place.words}"
    else:
        wrong = f"Backups in {place.words} were not sealed so far, and a key is set"
    return (
        f"{wrong}. Nothing was written. Set the key as it was, or say --another-key if this is on purpose: "
        "originals are then sent anew, and earlier backups go on needing what they were made with."
    )
