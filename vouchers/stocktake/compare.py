"""What was seen on a walk, held against the record: missing, misplaced, unknown, seen twice. Pure.

The record is taken as it was when a part was seen, so that a packet moved while the walk goes on is no difference. A move
on record after the opening is as good as a sighting: somebody had the part in hand. What was on loan at any time of the
walk, or has ended, is not missing. What is expected is frozen at the opening: nothing that is done since makes it fewer.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from ledger.words import Said, say, together
from vouchers.store.absence import Away

MISSING, MISPLACED, UNKNOWN, TWICE = "missing", "misplaced", "unknown", "twice"
KINDS = (MISSING, MISPLACED, UNKNOWN, TWICE)
# Loans are entered by the day: what was seen on the day it left was here.
LEAVING_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Kept:
    """A part as the record has it. `place`: where it was at the opening; `moves`: since then, in their order.

    `made_at`: when it was taken on record; one made after the opening is not missed. `ended_at` is in the ledger's own time:
    its day is told.
    """

    number: str
    place: int | None
    made_at: datetime
    moves: tuple[tuple[datetime, int | None], ...] = ()
    ended_at: datetime | None = None
    away: tuple[Away, ...] = ()

    def place_at(self, time: datetime) -> int | None:
        place = self.place
        for at, to in self.moves:
            if at <= time:
                place = to
        return place

    def away_at(self, time: datetime) -> Away | None:
        return next(
            (one for one in self.away if one.since <= time and (one.until is None or time < one.until)), None
        )

    def was_known_away_at(self, time: datetime) -> bool:
        """Whether the record had it away then: a loan is dated by the day, and may be entered later than it began."""
        return any(
            max(one.since, one.entered_at or one.since) <= time and (one.until is None or time < one.until)
            for one in self.away
        )

    def is_away_since(self, opened: datetime) -> bool:
        return any(one.until is None or one.until >= opened for one in self.away)


def told(record: Iterable[Kept]) -> list[list[Any]]:
    """The record as JSON has it, for `kept_of`; without the words of where a part is away."""
    return [
        [
            one.number,
            one.place,
            one.made_at.isoformat(),
            [[at.isoformat(), to] for at, to in one.moves],
            one.ended_at and one.ended_at.isoformat(),
            [
                [time and time.isoformat() for time in (away.since, away.until, away.entered_at)]
                for away in one.away
            ],
        ]
        for one in record
    ]


def kept_of(told: Iterable[Sequence[Any]]) -> list[Kept]:
    """What `told` made."""
    time = datetime.fromisoformat
    return [
        Kept(
            number=number,
            place=place,
            made_at=time(made_at),
            moves=tuple((time(at), to) for at, to in moves),
            ended_at=time(ended_at) if ended_at else None,
            away=tuple(_away_of(*times) for times in away),
        )
        for number, place, made_at, moves, ended_at, away in told
    ]


def _away_of(since: str, until: str | None, entered_at: str | None = None) -> Away:
    """The third time is wanting in records that were signed before it was kept."""
    time = datetime.fromisoformat
    return Away(time(since), time(until) if until else None, "", time(entered_at) if entered_at else None)


@dataclass(frozen=True, slots=True)
class Seen:
    """A code seen. `number`: the part it names, None where it names none; `why`: then, what is wrong with it.

    `place` is where it was seen, `by` who saw it: two people who read one packet in the same place are no second packet.
    """

    text: str
    number: str | None
    place: int
    at: datetime
    by: int
    why: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One difference. `recorded`: the place on record, `places`: where it was seen; `why`: what else to know.

    For a misplaced part `why` is "elsewhere", "no place", "on loan" or "ended", for an unknown code that of `Seen`.
    """

    kind: str
    text: str
    why: str = ""
    recorded: int | None = None
    places: tuple[int, ...] = ()
    times: int = 0
    at: datetime | None = None  # seen last

    @property
    def key(self) -> str:
        """Names this difference: seen once more, or elsewhere, it is another one, to be settled anew."""
        if self.kind == MISPLACED:
            return f"{self.kind}:{self.text}:{self.places[0]}:{self.why}"
        return f"{self.kind}:{self.text}:{self.times}"


@dataclass(frozen=True, slots=True)
class Comparison:
    """`expected`: parts that should be in the places walked; `found`: those of them that were seen where they belong."""

    findings: tuple[Finding, ...]
    expected: frozenset[str]
    found: frozenset[str]
    by_kind: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of the parts that were expected; each counts once, so that the numbers add up to `expected`.

    `unseen`: neither seen nor settled yet; `meanwhile`: moved, lent or ended since the opening, and not missed.
    """

    expected: int
    in_place: int
    misplaced: int
    twice: int
    missing: int
    unseen: int
    meanwhile: int

    @property
    def words(self) -> Said:
        """5 expected, 2 in place, 2 misplaced, 1 missing."""
        told = [say("{n} expected", n=self.expected), say("{n} in place", n=self.in_place)]
        told += [say("{n} misplaced", n=self.misplaced)] if self.misplaced else []
        told += [say("{n} seen twice", n=self.twice)] if self.twice else []
        told += [say("{n} missing", n=self.missing)] if self.missing else []
        told += [say("{n} not yet seen", n=self.unseen)] if self.unseen else []
        if self.meanwhile:
            told.append(say("{n} moved, lent or ended meanwhile", n=self.meanwhile))
        return together(tuple(told), ", ")


def tally(result: Comparison, settled_missing: Mapping[str, bool]) -> Tally:
    """Count the expected parts. `settled_missing`: those that were settled as missing -> whether they were found after all,
    in another place; what was found in its own has a sighting."""
    kinds = {finding.text: finding.kind for finding in result.findings if finding.text in result.expected}
    missed = {text for text, kind in kinds.items() if kind == MISSING}
    settled = {text for text, is_found in settled_missing.items() if not is_found}
    elsewhere = (result.expected - result.found - kinds.keys()) & {
        text for text, is_found in settled_missing.items() if is_found
    }
    counted = [*kinds.values()]
    misplaced, twice = counted.count(MISPLACED) + len(elsewhere), counted.count(TWICE)
    rest = len(result.expected) - len(result.found) - misplaced - twice - len(missed)
    return Tally(
        expected=len(result.expected),
        in_place=len(result.found),
        misplaced=misplaced,
        twice=twice,
        missing=len(missed & settled),
        unseen=len(missed - settled),
        meanwhile=rest,
    )


def compare(
    record: Iterable[Kept], seen: Iterable[Seen], scope: frozenset[int], opened: datetime
) -> Comparison:
    """Hold *seen* against *record* within the places of *scope*.

    `record` holds every part that was in those places at or after the opening, and every part that was seen. Each part and
    each unknown code gives one finding at most. A part that is seen in two places, or by the same person twice in one, is
    seen twice, and nothing else.
    """
    known = {kept.number: kept for kept in record}
    by_number: dict[str, list[Seen]] = {}
    strange: dict[str, list[Seen]] = {}
    for one in sorted(seen, key=lambda one: (one.at, one.text)):
        if one.number in known:
            by_number.setdefault(known[one.number].number, []).append(one)
        else:
            strange.setdefault(one.text, []).append(one)
    findings: list[Finding] = []
    expected, found = set(), set()
    for number, kept in sorted(known.items()):
        sightings = by_number.get(number, [])
        if _is_expected(kept, scope, opened):
            expected.add(number)
            if not sightings and not _was_in_hand(kept, opened):
                findings.append(Finding(MISSING, number, recorded=kept.place))
        if not sightings:
            continue
        one = _twice(kept, sightings) or _misplaced(kept, sightings)
        if one is None:
            found.add(number)
        else:
            findings.append(one)
    findings += [_unknown(text, sightings) for text, sightings in sorted(strange.items())]
    findings.sort(key=lambda finding: KINDS.index(finding.kind))
    by_kind = {kind: sum(finding.kind == kind for finding in findings) for kind in KINDS}
    return Comparison(tuple(findings), frozenset(expected), frozenset(expected & found), by_kind)


def _is_expected(kept: Kept, scope: frozenset[int], opened: datetime) -> bool:
    return (
        kept.place in scope
        and kept.made_at <= opened
        and (kept.ended_at is None or kept.ended_at > opened)
        and not kept.was_known_away_at(opened)
    )


def _was_in_hand(kept: Kept, opened: datetime) -> bool:
    """Whether it was moved, lent, returned or ended since: it is not missed."""
    return bool(kept.moves) or kept.ended_at is not None or kept.is_away_since(opened)


def _twice(kept: Kept, sightings: Sequence[Seen]) -> Finding | None:
    seen_by = [(one.place, one.by) for one in sightings]
    is_in_one_place = len({one.place for one in sightings}) == 1
    # The record moved it in between, and it was seen in both places, each time rightly.
    is_followed = all(kept.place_at(one.at) == one.place for one in sightings)
    if len(set(seen_by)) == len(seen_by) and (is_in_one_place or is_followed):
        return None
    last = sightings[-1]
    where = tuple(dict.fromkeys(one.place for one in sightings))
    return Finding(
        TWICE, kept.number, recorded=kept.place_at(last.at), places=where, times=len(sightings), at=last.at
    )


def _misplaced(kept: Kept, sightings: Sequence[Seen]) -> Finding | None:
    last = sightings[-1]
    recorded = kept.place_at(last.at)
    why = ""
    if kept.ended_at is not None and kept.ended_at <= last.at:
        why = "ended"
    elif kept.away_at(last.at - LEAVING_DAY):
        why = "on loan"
    elif recorded is None:
        why = "no place"
    elif recorded != last.place:
        why = "elsewhere"
    if not why:
        return None
    return Finding(MISPLACED, kept.number, why, recorded=recorded, places=(last.place,), times=1, at=last.at)


def _unknown(text: str, sightings: Sequence[Seen]) -> Finding:
    places = tuple(dict.fromkeys(one.place for one in sightings))
    return Finding(UNKNOWN, text, sightings[-1].why, places=places, times=len(sightings), at=sightings[-1].at)
