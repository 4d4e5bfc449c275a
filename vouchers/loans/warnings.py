"""What should be read before parts are lent. The curator decides; nothing of it is a refusal."""

from collections.abc import Iterable
from datetime import datetime

from ledger.days import day_text
from ledger.words import say
from vouchers.parts.models import Part
from vouchers.preparation.frozen import not_frozen
from vouchers.store.missing import missing_since


def warnings_of(parts: Iterable[Part], now: datetime) -> list[str]:
    """A sentence for each part that was looked for and not found, and for each without freezing on record."""
    parts = list(parts)
    missing = missing_since(part.pk for part in parts)
    told: list[str] = [
        say(
            "{number} is missing since {day}: it was looked for and not found. Is it this packet that goes?",
            number=part.number,
            day=day_text(missing[part.pk]),
        )
        for part in parts
        if part.pk in missing
    ]
    return told + [
        say(
            "{number} is not frozen on record. Freeze it first, or enter the freezing under Preparation; else the form of "
            "the loan says so.",
            number=part.number,
        )
        for part in not_frozen(parts, now)
    ]
