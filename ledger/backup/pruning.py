"""Tidying a place: backups that need not stay, and then originals that none of those left names."""

import json
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass

from ledger.backup.container import Reader
from ledger.backup.errors import BackupError
from ledger.backup.making import SEALED, backups_at
from ledger.backup.originals import FOLDER, Names
from ledger.backup.places import Place
from ledger.backup.retention import Keep, staying
from ledger.backup.rows import unpacked
from ledger.backup.sealing import Key, Unsealer


@dataclass(frozen=True, slots=True)
class Tidied:
    """Names of backups taken away, how many originals, and why originals were left where they might have gone."""

    backups: list[str]
    originals: int
    left: str = ""


def tidy(place: Place, key: Key | None, keep: Keep) -> Tidied:
    """Take away what `keep` does not ask for. An original goes only where every backup left could be asked for it."""
    there = backups_at(place)
    stay = staying((moment for moment, _, _ in there), keep)
    gone = [name for moment, name, _ in there if moment not in stay]
    for name in gone:
        place.remove(name)
    if not gone:
        return Tidied([], 0)
    with Names() as needed:
        try:
            for moment, name, _ in there:
                if moment in stay:
                    needed.add((stored, 1) for stored in needs(place, name, key))
        except BackupError as problem:
            return Tidied(
                gone, 0, f"Originals were all left, since one backup cannot be asked what it needs. {problem}"
            )
        with Names() as lying:
            lying.add(place.sizes(FOLDER))
            free = [name for name in lying.names() if needed.number(name) is None]
        for name in free:
            place.remove(name)
    return Tidied(gone, len(free))


def needs(place: Place, name: str, key: Key | None) -> Iterator[str]:
    """The originals at the place that a backup names, from its beginning only."""
    with closing(place.open(name)) as file:
        reader = Reader(Unsealer(file, key) if name.endswith(SEALED) else file, name)
        for member in reader.members():
            if member.name.startswith("rows/"):
                return
            if member.name.startswith("originals/"):
                for line in unpacked(member.name, member.data):
                    told = json.loads(line)
                    if "stored" in told:
                        yield told["stored"]
