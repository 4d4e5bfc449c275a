"""What was seen against the record: every planted error is found, and nothing else."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from vouchers.stocktake.compare import (
    MISPLACED,
    MISSING,
    TWICE,
    UNKNOWN,
    Comparison,
    Kept,
    Seen,
    compare,
    kept_of,
    tally,
)
from vouchers.stocktake.compare import told as record_told
from vouchers.store.absence import Away

OPENED = datetime(2026, 11, 2, 9, tzinfo=UTC)
BEFORE, LATER = OPENED - timedelta(days=400), OPENED + timedelta(hours=1)
BOX, OTHER, FAR = 1, 2, 9  # FAR is no part of the walk
SCOPE = frozenset({BOX, OTHER})
ADA, SAM = 11, 12


def kept(number: str = "TFG 2026-0001", place: int | None = BOX, **given: Any) -> Kept:
    return Kept(number, place, BEFORE, **given)


def seen(number: str | None = "TFG 2026-0001", place: int = BOX, *, minutes: int = 60, **given: Any) -> Seen:
    facts: dict[str, Any] = {"text": number or "4006381333931", "by": ADA} | given
    return Seen(number=number, place=place, at=OPENED + timedelta(minutes=minutes), **facts)


def held(record: list[Kept], sightings: list[Seen]) -> Comparison:
    return compare(record, sightings, SCOPE, OPENED)


def told(record: list[Kept], sightings: list[Seen]) -> list[tuple[str, str, str]]:
    return [(one.kind, one.text, one.why) for one in held(record, sightings).findings]


def test_what_is_seen_in_its_place_is_no_difference() -> None:
    result = held([kept()], [seen()])
    assert result.findings == ()
    assert result.expected == result.found == {"TFG 2026-0001"}


def test_what_is_not_seen_is_missing() -> None:
    assert told([kept()], []) == [(MISSING, "TFG 2026-0001", "")]


def test_what_was_moved_lent_or_ended_since_the_opening_is_expected_and_not_missing() -> None:
    record = [
        kept("TFG 2026-0001", moves=((LATER, FAR),)),
        kept("TFG 2026-0002", ended_at=LATER),
        kept("TFG 2026-0003", away=(Away(LATER, None, "on loan to Kew"),)),
    ]
    result = held(record, [])
    assert len(result.expected) == 3 and result.findings == ()
    assert tally(result, {}).words == "3 expected, 0 in place, 3 moved, lent or ended meanwhile"


def test_what_is_on_record_outside_the_walk_is_not_missing() -> None:
    assert told([kept(place=FAR), kept("TFG 2026-0002", None)], []) == []


def test_what_is_on_loan_is_not_missing() -> None:
    assert told([kept(away=(Away(BEFORE, None, "on loan to Kew"),))], []) == []


def test_what_came_back_from_a_loan_during_the_walk_is_not_missing() -> None:
    assert told([kept(away=(Away(BEFORE, LATER, "on loan to Kew"),))], []) == []


def test_what_came_back_from_a_loan_before_is_missed() -> None:
    back = Away(BEFORE, OPENED - timedelta(days=3), "on loan to Kew")
    assert told([kept(away=(back,))], []) == [(MISSING, "TFG 2026-0001", "")]


def test_what_has_ended_is_not_missing() -> None:
    assert told([kept(ended_at=BEFORE)], []) == []


def test_what_was_made_after_the_opening_is_not_missing() -> None:
    assert told([Kept("TFG 2026-0001", BOX, LATER)], []) == []


def test_what_is_on_loan_and_seen_is_told() -> None:
    lent = kept(away=(Away(BEFORE, None, "on loan to Kew"),))
    assert told([lent], [seen()]) == [(MISPLACED, "TFG 2026-0001", "on loan")]


def test_what_was_lent_after_it_was_seen_is_no_difference() -> None:
    assert told([kept(away=(Away(OPENED + timedelta(hours=2), None, "on loan to Kew"),))], [seen()]) == []


def test_what_was_seen_on_the_day_it_left_is_no_difference() -> None:
    left = Away(OPENED.replace(hour=0), None, "on loan to Kew")
    assert told([kept(away=(left,))], [seen()]) == []


def test_what_was_lent_on_the_day_of_the_opening_after_it_stays_expected() -> None:
    """A loan is dated by its day, which began before the stocktake did."""
    entered = Away(OPENED.replace(hour=0), None, "on loan to Kew", entered_at=LATER)
    result = held([kept(away=(entered,)), kept("TFG 2026-0002", away=(entered,))], [seen(minutes=20)])
    counted = tally(result, {})
    assert (result.findings, counted.expected, counted.in_place, counted.meanwhile) == ((), 2, 1, 1)
    known = Away(OPENED.replace(hour=0), None, "on loan to Kew", entered_at=OPENED)
    assert held([kept(away=(known,))], []).expected == frozenset()


def test_a_signed_record_remembers_when_a_loan_was_entered_and_reads_those_that_did_not() -> None:
    entered = Away(BEFORE, None, "", entered_at=LATER)
    (again,) = kept_of(json.loads(json.dumps(record_told([kept(away=(entered,))]))))
    assert again.away == (entered,)
    (older,) = kept_of([["TFG 2026-0001", BOX, BEFORE.isoformat(), [], None, [[BEFORE.isoformat(), None]]]])
    assert older.away == (Away(BEFORE, None, ""),)


def test_what_has_ended_and_is_seen_is_told() -> None:
    assert told([kept(ended_at=BEFORE)], [seen()]) == [(MISPLACED, "TFG 2026-0001", "ended")]


def test_what_lies_elsewhere_is_misplaced() -> None:
    (finding,) = held([kept(place=FAR)], [seen()]).findings
    assert (finding.kind, finding.why, finding.recorded, finding.places) == (
        MISPLACED,
        "elsewhere",
        FAR,
        (BOX,),
    )


def test_what_has_no_place_on_record_is_misplaced() -> None:
    assert told([kept(place=None)], [seen()]) == [(MISPLACED, "TFG 2026-0001", "no place")]


def test_what_is_misplaced_is_not_missing_as_well() -> None:
    assert told([kept()], [seen(place=OTHER)]) == [(MISPLACED, "TFG 2026-0001", "elsewhere")]


def test_what_was_moved_on_record_after_it_was_seen_is_no_difference() -> None:
    assert told([kept(moves=((OPENED + timedelta(hours=2), FAR),))], [seen()]) == []


def test_what_was_moved_on_record_before_it_was_seen_is_looked_for_in_its_new_place() -> None:
    moved = kept(moves=((OPENED + timedelta(minutes=10), OTHER),))
    assert told([moved], [seen(place=OTHER)]) == []
    assert told([moved], [seen(place=BOX)]) == [(MISPLACED, "TFG 2026-0001", "elsewhere")]


def test_what_was_moved_since_the_opening_is_not_missing_since_somebody_had_it_in_hand() -> None:
    assert told([kept(moves=((LATER, OTHER),))], []) == []


def test_seen_in_two_places_is_seen_twice_and_nothing_else() -> None:
    (finding,) = held([kept()], [seen(), seen(place=OTHER, minutes=70)]).findings
    assert (finding.kind, finding.places, finding.times) == (TWICE, (BOX, OTHER), 2)


def test_seen_by_one_person_twice_in_one_place_is_seen_twice() -> None:
    assert told([kept()], [seen(), seen(minutes=70)]) == [(TWICE, "TFG 2026-0001", "")]


def test_seen_by_two_people_in_one_place_is_one_packet() -> None:
    assert told([kept()], [seen(), seen(minutes=70, by=SAM)]) == []


def test_seen_in_both_places_while_the_record_followed_it_is_no_difference() -> None:
    moved = kept(moves=((OPENED + timedelta(minutes=65), OTHER),))
    assert told([moved], [seen(), seen(place=OTHER, minutes=70)]) == []


def test_an_unknown_code_is_told_once_however_often_it_was_seen() -> None:
    (finding,) = held(
        [], [seen(None, why="no code of ours"), seen(None, OTHER, minutes=61, why="no code of ours")]
    ).findings
    assert (finding.kind, finding.why, finding.places, finding.times) == (
        UNKNOWN,
        "no code of ours",
        (BOX, OTHER),
        2,
    )


def test_a_difference_that_changed_has_another_key() -> None:
    once = held([kept()], [seen(), seen(minutes=70)]).findings[0].key
    thrice = held([kept()], [seen(), seen(minutes=70), seen(minutes=80)]).findings[0].key
    assert once != thrice
    there = held([kept(place=FAR)], [seen()]).findings[0].key
    elsewhere = held([kept(place=FAR)], [seen(place=OTHER)]).findings[0].key
    assert there != elsewhere


KINDS = (
    "fine",
    "missing",
    "misplaced",
    "no place",
    "twice here",
    "twice elsewhere",
    "lent",
    "ended",
    "moved away",
)


@given(st.lists(st.sampled_from(KINDS), max_size=60), st.integers(0, 5), st.randoms(use_true_random=False))
def test_every_planted_error_is_found_and_no_other(planted: list[str], strange: int, order: Any) -> None:
    record: list[Kept] = []
    sightings: list[Seen] = []
    wanted: set[tuple[str, str]] = set()
    for n, kind in enumerate(planted, start=1):
        number = f"TFG 2026-{n:04d}"
        home, wrong = (BOX, OTHER) if n % 2 else (OTHER, BOX)
        given: dict[str, Any] = {}
        if kind == "lent":
            given["away"] = (Away(BEFORE, None, "on loan"),)
        if kind == "ended":
            given["ended_at"] = BEFORE
        if kind == "moved away":
            given["moves"] = ((OPENED + timedelta(minutes=5), FAR),)
        record.append(kept(number, None if kind == "no place" else home, **given))
        if kind in ("fine", "no place", "twice here", "twice elsewhere"):
            sightings.append(seen(number, home, minutes=n))
        if kind == "misplaced":
            sightings.append(seen(number, wrong, minutes=n))
        if kind.startswith("twice"):
            sightings.append(seen(number, home if kind == "twice here" else wrong, minutes=n + 500))
        if kind in ("missing", "misplaced"):
            wanted.add((kind, number))
        elif kind == "no place":
            wanted.add((MISPLACED, number))
        elif kind.startswith("twice"):
            wanted.add((TWICE, number))
    for n in range(strange):
        sightings.append(seen(None, text=f"XYZ 2026-{n:04d}", why="another collection"))
        wanted.add((UNKNOWN, f"XYZ 2026-{n:04d}"))
    order.shuffle(record)
    order.shuffle(sightings)
    result = held(record, sightings)
    assert {(one.kind, one.text) for one in result.findings} == wanted
    assert len(result.findings) == len(wanted)
    assert len({one.key for one in result.findings}) == len(wanted)
    assert sum(result.by_kind.values()) == len(wanted)


@given(
    st.lists(
        st.tuples(st.integers(1, 6), st.sampled_from([BOX, OTHER, FAR]), st.integers(0, 300)), max_size=25
    )
)
def test_each_part_gives_one_finding_at_most(walked: list[tuple[int, int, int]]) -> None:
    record = [kept(f"TFG 2026-{n:04d}", (BOX, OTHER, FAR, None)[n % 4]) for n in range(1, 7)]
    sightings = [seen(f"TFG 2026-{n:04d}", place, minutes=at) for n, place, at in walked]
    texts = [one.text for one in held(record, sightings).findings]
    assert len(texts) == len(set(texts))


def test_what_left_a_day_before_it_was_seen_is_told_and_a_minute_less_is_not() -> None:
    at = OPENED + timedelta(minutes=60)
    gone = kept(away=(Away(at - timedelta(days=1), None, "on loan to Kew"),))
    leaving = kept(away=(Away(at - timedelta(days=1) + timedelta(minutes=1), None, "on loan to Kew"),))
    assert told([gone], [seen()]) == [(MISPLACED, "TFG 2026-0001", "on loan")]
    assert told([leaving], [seen()]) == []


def test_what_came_back_the_moment_it_was_looked_for_is_here() -> None:
    since = OPENED - timedelta(days=30)
    lent = kept(away=(Away(since, OPENED, "on loan to Kew"),))
    assert (lent.away_at(since), lent.away_at(OPENED)) == (lent.away[0], None)
    assert lent.away_at(OPENED - timedelta(seconds=1)) is not None


def test_what_came_back_at_the_opening_was_in_hand_and_is_not_missed() -> None:
    result = held([kept(away=(Away(BEFORE, OPENED, "on loan to Kew"),))], [])
    assert (result.findings, result.expected) == ((), {"TFG 2026-0001"})


def test_what_was_made_at_the_opening_is_expected() -> None:
    assert held([Kept("TFG 2026-0001", BOX, OPENED)], []).expected == {"TFG 2026-0001"}


def test_what_ended_at_the_opening_is_not_expected() -> None:
    assert held([kept(ended_at=OPENED)], []).expected == frozenset()


def test_what_ended_the_moment_it_was_seen_is_told() -> None:
    assert told([kept(ended_at=LATER)], [seen()]) == [(MISPLACED, "TFG 2026-0001", "ended")]


def test_what_was_moved_the_moment_it_was_seen_is_in_its_new_place() -> None:
    assert told([kept(moves=((LATER, OTHER),))], [seen(place=OTHER)]) == []


@given(
    st.lists(
        st.builds(
            kept,
            number=st.sampled_from(["TFG 2026-0001", "TFG 2026-0002 S1"]),
            place=st.none() | st.integers(1, 9),
            moves=st.lists(st.tuples(st.just(LATER), st.none() | st.integers(1, 9)), max_size=3).map(tuple),
            ended_at=st.none() | st.just(LATER),
            away=st.lists(
                st.builds(Away, st.just(BEFORE), st.none() | st.just(LATER), st.just("")), max_size=2
            ).map(tuple),
        ),
        max_size=4,
    )
)
def test_a_record_that_was_signed_reads_back_from_json_as_it_was(record: list[Kept]) -> None:
    assert kept_of(json.loads(json.dumps(record_told(record)))) == record
