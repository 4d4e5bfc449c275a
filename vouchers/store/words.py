"""Numbers with their words. Pure."""

from ledger.words import Said, say_n


def parts_word(count: int) -> Said:
    return say_n("{n:,} packet or other part", "{n:,} packets and other parts", count)


def places_word(count: int) -> Said:
    return say_n("{n:,} place", "{n:,} places", count)
