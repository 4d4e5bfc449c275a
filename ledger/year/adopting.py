"""A range made of the club's own measurements, adopted by a curator: a documented range with the club as its source."""

from datetime import datetime

from django.db import transaction

from ledger.finds.flagging import Rechecked
from ledger.moments import short_day_of
from ledger.people.models import Member
from ledger.spores.statistics import LEAST_FOR_PERCENTILES
from ledger.taxa import club_ranges
from ledger.taxa.models import DocumentedRange, Taxon
from ledger.traits import ranges
from ledger.words import english_of, say
from ledger.year.measured_page import MeasuredPage

CITATION = "The club’s own measurements, 5 % to 95 %"


class NotAdopted(ValueError):
    """Nothing was entered; the text says why and what to do."""


@transaction.atomic
def adopt(taxon: Taxon, trait: str, *, seen: str, by: Member, now: datetime) -> Rechecked:
    """Enter the range of settled finds as it was `seen`, in place of an earlier one of the same trait, and recheck.

    What the curator has settled stays settled. Raises NotAdopted.
    """
    line = MeasuredPage(taxon, settled_only=True).line(trait)
    if line is None or line.proposed is None:
        raise NotAdopted(
            say(
                "There are fewer than {least} values of settled finds, too few for a range. Nothing was entered; measure "
                "more.",
                least=LEAST_FOR_PERCENTILES,
            )
        )
    if line.mark != seen:
        raise NotAdopted(
            say(
                "The measurements have changed since you looked: they are {own} now, n = {n}. Nothing was entered; look at "
                "them and adopt them again.",
                own=line.own,
                n=line.found.n,
            )
        )
    source = club_ranges.source_named(CITATION)
    for row in DocumentedRange.objects.filter(
        taxon=taxon, trait=trait, source=source, entered_by__isnull=False, ended_at__isnull=True
    ):
        club_ranges.end(row, reason="Measured anew: a later range takes its place.", by=by, now=now)
    bounds, measured = line.proposed, line.measured
    value = ranges.DocumentedRange(
        taxon=taxon.name,
        trait=trait,
        low_extreme=bounds.low_extreme,
        low=bounds.low,
        high=bounds.high,
        high_extreme=bounds.high_extreme,
        unit=line.trait.unit,
        condition=measured.condition,
        note=(
            f"n = {line.found.n} values of {measured.finds} settled find{'' if measured.finds == 1 else 's'}, to "
            f"{english_of(short_day_of(now))}; extremes in parentheses; linear interpolation, type 7."
        ),
    )
    return club_ranges.enter(value, citation=CITATION, by=by, now=now)
