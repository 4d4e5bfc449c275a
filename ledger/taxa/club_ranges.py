"""A range of the club's own, entered or ended from its page: the finds of the taxon are held against it at once."""

from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet
from django.utils.text import slugify

from ledger.finds.flagging import Rechecked, recheck_finds_of
from ledger.people.models import Member
from ledger.taxa import actions
from ledger.taxa.models import DocumentedRange, Source, Taxon
from ledger.traits import ranges
from ledger.words import Said, say, say_n, together


@transaction.atomic
def enter(value: ranges.DocumentedRange, *, citation: str = "", by: Member, now: datetime) -> Rechecked:
    """Enter it and recheck the finds named so.

    `citation` names a source of the club's that is not in the ledger yet; else `value.source_id` stands, or the club's
    own practice.
    """
    row = actions.enter_range(value, by=by, now=now, source=source_named(citation) if citation else None)
    return recheck_finds_of(row.taxon, now=now)


@transaction.atomic
def end(row: DocumentedRange, *, reason: str, by: Member, now: datetime) -> Rechecked:
    """End it with its reason and recheck the finds."""
    actions.end_range(row, reason=reason, by=by, now=now)
    return recheck_finds_of(row.taxon, now=now)


def rechecked_words(taxon: Taxon, found: Rechecked) -> Said:
    """What became of the finds of the taxon, in words."""
    told: list[str] = []
    if found.changed:
        told.append(
            say_n(
                "The finds named {taxon} were checked again; {n} find gained or lost a flag.",
                "The finds named {taxon} were checked again; {n} finds gained or lost a flag.",
                found.changed,
                taxon=taxon.name,
            )
        )
    else:
        told.append(
            say("The finds named {taxon} were checked again; none gained or lost a flag.", taxon=taxon.name)
        )
    if found.settled:
        told.append(
            say_n(
                "{n} find of them stays settled with a flag that is new: search the finds for “settled flagged {taxon}”.",
                "{n} finds of them stay settled with a flag that is new: search the finds for “settled flagged {taxon}”.",
                found.settled,
                taxon=taxon.name,
            )
        )
    return together(told)


def source_named(citation: str) -> Source:
    """The club's source with that citation, made where there is none."""
    known = club_sources().filter(citation__iexact=citation).first()
    if known is not None:
        return known
    stem = code = f"{actions.CLUB_SOURCE}{slugify(citation)[:60] or 'source'}"
    number = 1
    while Source.objects.filter(pk=code).exists():
        number += 1
        code = f"{stem}-{number}"
    return Source.objects.create(id=code, citation=citation, kind="club")


def club_sources() -> QuerySet[Source]:
    """Sources of the club's own, by citation."""
    return Source.objects.filter(pk__startswith=actions.CLUB_SOURCE).order_by("citation")
