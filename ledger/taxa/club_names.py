"""Names that the club has for a taxon, in its languages: enter one, end one, and those that come with the ledger."""

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.db import IntegrityError, transaction

from ledger.people.models import Member
from ledger.taxa.actions import mark_changed
from ledger.taxa.models import ClubName, Taxon
from ledger.words import say

FILE = "local_names.csv"


class NameRefused(ValueError):
    """Nothing was entered; the text says why."""


@dataclass(frozen=True, slots=True)
class LocalName:
    """A row of `fixtures/local_names.csv`."""

    taxon: str
    language: str
    name: str
    source: str


@transaction.atomic
def add(taxon: Taxon, *, name: str, language: str, source: str, by: Member, now: datetime) -> ClubName:
    """Enter a name. Raises NameRefused where the taxon has it in that language already."""
    try:
        with transaction.atomic():
            row = ClubName.objects.create(
                taxon=taxon, name=name, language=language, source=source, added_by=by, added_at=now
            )
    except IntegrityError as problem:
        raise NameRefused(say("{name} is there already. Nothing was entered twice.", name=name)) from problem
    mark_changed()
    return row


@transaction.atomic
def end(row: ClubName, *, by: Member, now: datetime) -> None:
    """Use a name no longer: it is shown nowhere, and whoever types it still finds the taxon."""
    ClubName.objects.filter(pk=row.pk, ended_at__isnull=True).update(ended_at=now, ended_by=by)
    mark_changed()


def read(folder: Path) -> list[LocalName]:
    """The names that come with the ledger; none where the folder has no such file."""
    file = folder / FILE
    if not file.exists():
        return []
    with file.open(encoding="utf-8", newline="") as rows:
        return [LocalName(**row) for row in csv.DictReader(rows)]


@transaction.atomic
def load(names: Iterable[LocalName], *, now: datetime) -> int:
    """Enter what the club has not had yet; what it ended stays ended. Returns how many are new."""
    had = set(ClubName.objects.values_list("taxon__name", "language", "name"))
    taxa = {taxon.name: taxon for taxon in Taxon.objects.all()}
    new = [
        ClubName(taxon=taxa[one.taxon], name=one.name, language=one.language, source=one.source, added_at=now)
        for one in names
        if one.taxon in taxa and (one.taxon, one.language, one.name) not in had
    ]
    ClubName.objects.bulk_create(new)
    if new:
        mark_changed()
    return len(new)
