"""Differences and what is known from before, as sentences. Pure."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

from ledger.days import day_text
from vouchers.stocktake.compare import LEAVING_DAY, MISPLACED, MISSING, TWICE, Finding, Kept

UNKNOWN_WORDS = {
    "another collection": "A code of another collection.",
    "never given": "A number of ours that was never given.",
    "no such place": "The label of a place that is not in this store.",
    "a tray": "The tag of a drying tray, not a specimen.",
    "no code of ours": "No code of this collection.",
}


@dataclass(frozen=True, slots=True)
class LastSeen:
    """`on`, `place`: when and where last, on a walk or by a move; `missed_on`: the last signed stocktake that missed it."""

    on: date | None
    place: int | None
    is_walk: bool
    missed_on: date | None = None

    def missed(self, on: date) -> "LastSeen":
        return replace(self, missed_on=on)

    def sentence(
        self, way: Callable[[int | None], str], recorded: int | None = None, *, on_a_walk: bool = False
    ) -> str:
        """`way` gives a place's words, which are left out where it is the one on record.

        `on_a_walk`: told on a later stocktake, which misses it again.
        """
        told = []
        if self.on is not None:
            done = "Last seen" if self.is_walk else "Last put"
            if self.place is None:
                done, where = "Taken out of the store", ""
            elif self.place == recorded:
                where = " there"
            else:
                where = f" in {way(self.place)}"
            told.append(f"{done}{where} on {day_text(self.on)}.")
        if self.missed_on is not None and (self.on is None or self.missed_on >= self.on):
            again = "Missing already" if on_a_walk else "Looked for and not found"
            told.append(f"{again} at the stocktake signed on {day_text(self.missed_on)}.")
        return " ".join(told)


def said(finding: Finding, way: Callable[[int | None], str], kept: Kept | None = None) -> str:
    """What differs. `way` gives a place's words; `kept` is the part, where it is lent or has ended."""
    where = " and in ".join(way(place) for place in finding.places)
    if finding.kind == MISSING:
        return f"Not seen. On record in {way(finding.recorded)}."
    if finding.kind == TWICE:
        on_record = f" On record in {way(finding.recorded)}." if finding.recorded is not None else ""
        return f"Seen {_times(finding.times)}: in {where}.{on_record}"
    if finding.kind == MISPLACED:
        told = f"Seen in {where}."
        if finding.why == "no place":
            return f"{told} It has no place on record."
        if finding.why == "ended" and kept is not None and kept.ended_at is not None:
            return f"{told} On record it ended on {day_text(kept.ended_at.date())}."
        if finding.why == "on loan" and kept is not None and finding.at is not None:
            away = kept.away_at(finding.at - LEAVING_DAY)
            return f"{told} On record it is {away.words if away else 'away'}."
        return f"{told} On record in {way(finding.recorded)}."
    return f"{UNKNOWN_WORDS.get(finding.why, finding.why)} Seen in {where}."


def _times(count: int) -> str:
    return "twice" if count == 2 else f"{count} times"
