"""Differences and what is known from before, as sentences. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from ledger.days import day_text
from ledger.words import Said, later, say, together
from vouchers.stocktake.compare import LEAVING_DAY, MISPLACED, MISSING, TWICE, Finding, Kept

UNKNOWN_WORDS = {
    "another collection": later("A code of another collection."),
    "never given": later("A number of ours that was never given."),
    "no such place": later("The label of a place that is not in this store."),
    "a tray": later("The tag of a drying tray, not a specimen."),
    "no code of ours": later("No code of this collection."),
}

# What stands for the code where it has no sign that can be read; the rows hold its English words.
NO_TEXT = later("a code without a text")


def code_shown(text: str) -> str:
    """A code as it is read on the page."""
    return NO_TEXT if text == NO_TEXT.english else text


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
    ) -> Said:
        """`way` gives a place's words, which are left out where it is the one on record.

        `on_a_walk`: told on a later stocktake, which misses it again.
        """
        told: list[str] = []
        if self.on is not None:
            told.append(self._last(self.on, way, recorded))
        if self.missed_on is not None and (self.on is None or self.missed_on >= self.on):
            day = day_text(self.missed_on)
            told.append(
                say("Missing already at the stocktake signed on {day}.", day=day)
                if on_a_walk
                else say("Looked for and not found at the stocktake signed on {day}.", day=day)
            )
        return together(told)

    def _last(self, on: date, way: Callable[[int | None], str], recorded: int | None) -> Said:
        day = day_text(on)
        if self.place is None:
            return say("Taken out of the store on {day}.", day=day)
        if self.place == recorded:
            return say("Last seen there on {day}." if self.is_walk else "Last put there on {day}.", day=day)
        return say(
            "Last seen in {place} on {day}." if self.is_walk else "Last put in {place} on {day}.",
            place=way(self.place),
            day=day,
        )


def said(finding: Finding, way: Callable[[int | None], str], kept: Kept | None = None) -> Said:
    """What differs. `way` gives a place's words; `kept` is the part, where it is lent or has ended."""
    if finding.kind == MISSING:
        return say("Not seen. On record in {place}.", place=way(finding.recorded))
    places = [way(place) for place in finding.places]
    if finding.kind == TWICE:
        return _twice(finding, places, way)
    seen = say("Seen in {places}.", places=_and_in(places))
    if finding.kind == MISPLACED:
        return together([seen, _on_record(finding, way, kept)])
    return together([say(UNKNOWN_WORDS.get(finding.why, finding.why)), seen])


def _twice(finding: Finding, places: Sequence[str], way: Callable[[int | None], str]) -> Said:
    seen = (
        say("Seen twice: in {places}.", places=_and_in(places))
        if finding.times == 2
        else say("Seen {n} times: in {places}.", n=finding.times, places=_and_in(places))
    )
    if finding.recorded is None:
        return seen
    return together([seen, say("On record in {place}.", place=way(finding.recorded))])


def _on_record(finding: Finding, way: Callable[[int | None], str], kept: Kept | None) -> Said:
    """Where a part is on record that was seen elsewhere."""
    if finding.why == "no place":
        return say("It has no place on record.")
    if finding.why == "ended" and kept is not None and kept.ended_at is not None:
        return say("On record it ended on {day}.", day=day_text(kept.ended_at.date()))
    if finding.why == "on loan" and kept is not None and finding.at is not None:
        away = kept.away_at(finding.at - LEAVING_DAY)
        return say("On record it is {away}.", away=away.words) if away else say("On record it is away.")
    return say("On record in {place}.", place=way(finding.recorded))


def _and_in(places: Sequence[str]) -> str:
    """One place after the other: Box 1 and in Box 2."""
    told, *more = places
    for place in more:
        told = say("{places} and in {place}", places=told, place=place)
    return told
