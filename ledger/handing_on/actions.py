"""The only writers of this room: who agreed to be named, and the record of what was handed on. One transaction each."""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing
from datetime import datetime, timedelta
from hashlib import sha256
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ledger.handing_on.choices import Choices
from ledger.handing_on.models import AgreedName, Handing
from ledger.handing_on.streams import Made, stream
from ledger.people.models import Member
from ledger.words import later

_TELL_EVERY = timedelta(seconds=1)
# Stored in English.
BROKEN_OFF = later(
    "It was broken off before its end. What has come of it is no whole file; download it again."
)


@transaction.atomic
def note_agreed(names: Mapping[str, str] | Iterable[str], *, by: Member, now: datetime) -> int:
    """Note that people outside the club agreed to be named; with public identifiers where *names* maps to them.
    Returns how many are new. A name that is noted already stays, and takes an identifier where it had none."""
    told = dict(names) if isinstance(names, Mapping) else dict.fromkeys(names, "")
    told = {name.strip(): public_id for name, public_id in told.items() if name.strip()}
    known = {row.name: row for row in AgreedName.objects.filter(ended_at__isnull=True, name__in=list(told))}
    for name, row in known.items():
        if told[name] and not row.public_id:
            row.public_id = told[name]
            row.save(update_fields=["public_id"])
    made = [
        AgreedName(name=name, public_id=public_id, noted_by=by, noted_at=now)
        for name, public_id in told.items()
        if name not in known
    ]
    AgreedName.objects.bulk_create(made)
    return len(made)


@transaction.atomic
def end_agreed(key: int, *, now: datetime) -> AgreedName:
    """Take a word back: the name stands in nothing that is made from now on. Twice is as good as once."""
    row = AgreedName.objects.select_for_update().get(pk=key)
    if row.ended_at is None:
        row.ended_at = now
        row.save(update_fields=["ended_at"])
    return row


@transaction.atomic
def ask(choices: Choices, *, by: Member, now: datetime) -> Handing:
    """Put on record that a file is wanted, and of how many finds."""
    return Handing.objects.create(
        kind=choices.kind, choices=choices.as_json(), asked_by=by, asked_at=now, total=choices.finds().count()
    )


def handed_on(handing: Handing, *, now: datetime) -> Iterator[bytes]:
    """The file itself, made while it is sent; each second it is noted how far it has come. Begun again it begins anew."""
    choices = Choices.from_json(handing.kind, handing.choices)
    made, digest, size, told = Made(), sha256(), 0, now
    _note(handing.pk, begun_at=now, finished_at=None, done=0, byte_size=0, sha256="", trouble="")
    finished = False
    try:
        with closing(stream(choices, now=now, made=made)) as pieces:
            for piece in pieces:
                digest.update(piece)
                size += len(piece)
                if timezone.now() - told > _TELL_EVERY:
                    told = timezone.now()
                    _note(handing.pk, done=made.done, byte_size=size)
                if piece:
                    yield piece
        finished = True
    finally:
        # Whoever closes the download leaves here too.
        end = (
            {"finished_at": timezone.now(), "sha256": digest.hexdigest()}
            if finished
            else {"trouble": BROKEN_OFF}
        )
        _note(handing.pk, done=made.done, byte_size=size, **end)


def _note(key: UUID, **values: object) -> None:
    Handing.objects.filter(pk=key).update(**values)
