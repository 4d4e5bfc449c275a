"""A stocktake from its opening to signing off, and what the next one knows of it."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import uuid4

import pytest

from ledger.people.models import Member
from tests.people import make_person
from tests.vouchers.loans.making import make_loan
from tests.vouchers.store.making import NOW, packets, place
from vouchers.parts.actions import end_part
from vouchers.parts.models import Part
from vouchers.stocktake.actions import (
    StocktakeEnded,
    StocktakeRefused,
    give_up,
    open_stocktake,
    settle,
    sign_off,
    take_sightings,
    type_sightings,
)
from vouchers.stocktake.message import Told
from vouchers.stocktake.models import Settlement, Sighting, Stocktake
from vouchers.stocktake.queries import Shown, last_signed_before, standing
from vouchers.store.absence import Away
from vouchers.store.actions import close_place, move
from vouchers.store.models import Move, StorePlace

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def shelf() -> StorePlace:
    return place("Shelf 1", "shelf")


@pytest.fixture
def box(shelf: StorePlace) -> StorePlace:
    return place("Box 1", parent=shelf)


@pytest.fixture
def other(shelf: StorePlace) -> StorePlace:
    return place("Box 2", parent=shelf)


@pytest.fixture
def parts(box: StorePlace, curator: Member) -> list[Part]:
    return packets(4, by=curator, where=box)


@pytest.fixture
def walk(shelf: StorePlace, parts: list[Part], curator: Member) -> Stocktake:
    return open_stocktake(shelf, by=curator, now=NOW)


def numbers(*serials: int) -> list[str]:
    return [f"HFG 2026-{serial:04d}" for serial in serials]


def see(walk: Stocktake, where: StorePlace, *serials: int, by: Member, at: timedelta = HOUR) -> None:
    type_sightings(walk.pk, where, numbers(*serials), by=by, now=NOW + at)


def differences(walk: Stocktake) -> list[tuple[str, str]]:
    return [(one.kind, one.text) for one in standing(walk).open]


def only(walk: Stocktake) -> Shown:
    (shown,) = standing(walk).open
    return shown


# --- opening ---


def test_a_stocktake_takes_in_all_that_stands_in_the_place(
    walk: Stocktake, shelf: StorePlace, box: StorePlace
) -> None:
    assert walk.scope == sorted([shelf.pk, box.pk])
    assert standing(walk).tally.expected == 4


def test_one_place_is_never_in_two_open_stocktakes(walk: Stocktake, box: StorePlace, curator: Member) -> None:
    with pytest.raises(StocktakeRefused, match="Shelf 1 › Box 1 is in the stocktake of Shelf 1 already"):
        open_stocktake(box, by=curator, now=NOW)
    give_up(walk.pk, why="begun by mistake", now=NOW)
    assert open_stocktake(box, by=curator, now=NOW).is_open


def test_a_closed_place_is_not_walked(curator: Member) -> None:
    gone = place("Box 9")
    close_place(gone.pk, now=NOW)
    with pytest.raises(StocktakeRefused, match="is closed"):
        open_stocktake(gone, by=curator, now=NOW)


# --- what is seen ---


def test_what_is_seen_in_its_place_leaves_no_difference(
    walk: Stocktake, box: StorePlace, curator: Member
) -> None:
    see(walk, box, 1, 2, 3, 4, by=curator)
    assert differences(walk) == []
    assert (standing(walk).tally.in_place, standing(walk).not_walked) == (4, ())


def test_each_kind_of_difference_is_told_once(
    walk: Stocktake, box: StorePlace, other: StorePlace, curator: Member
) -> None:
    see(walk, box, 1, 2, 77, by=curator)
    see(walk, other, 3, by=curator)
    again = Told(uuid4(), "HFG 2026-0001", box.number, NOW + 2 * HOUR, False)
    take_sightings(walk.pk, [again], by=curator, now=NOW + 2 * HOUR)
    type_sightings(walk.pk, box, ["XYZ 2026-0001", "4006381333931", "HFG TRAY 2"], by=curator, now=NOW + HOUR)
    assert differences(walk) == [
        ("missing", "HFG 2026-0004"),
        ("misplaced", "HFG 2026-0003"),
        ("unknown", "4006381333931"),
        ("unknown", "HFG 2026-0077"),
        ("unknown", "HFG TRAY 2"),
        ("unknown", "XYZ 2026-0001"),
        ("twice", "HFG 2026-0001"),
    ]
    said = {one.text: one.said for one in standing(walk).open}
    assert said["HFG 2026-0004"] == "Not seen. On record in Shelf 1 › Box 1."
    assert said["HFG 2026-0003"] == "Seen in Shelf 1 › Box 2. On record in Shelf 1 › Box 1."
    assert said["HFG 2026-0077"].startswith("A number of ours that was never given.")
    assert said["XYZ 2026-0001"].startswith("A code of another collection.")
    assert said["HFG 2026-0001"].startswith("Seen twice: in Shelf 1 › Box 1.")


def test_the_label_of_a_place_is_no_unknown_code_but_that_of_no_place_is(
    walk: Stocktake, box: StorePlace, curator: Member
) -> None:
    see(walk, box, 1, 2, 3, 4, by=curator)
    type_sightings(walk.pk, box, [f"HFG PLACE {box.number}", "HFG PLACE 99"], by=curator, now=NOW + HOUR)
    assert differences(walk) == [("unknown", "HFG PLACE 99")]


def test_what_is_on_loan_or_ended_is_not_missing(
    walk: Stocktake, box: StorePlace, parts: list[Part], curator: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    lent = {parts[0].pk: (Away(NOW - 9 * HOUR, None, "on loan to Kew"),)}
    monkeypatch.setattr("vouchers.stocktake.queries.away_times", lambda parts, since=None: lent)
    end_part(parts[1].pk, why="used up", by=curator, now=NOW + HOUR)
    see(walk, box, 3, 4, by=curator)
    assert differences(walk) == []
    assert standing(walk).tally.words == "3 expected, 2 in place, 1 moved, lent or ended meanwhile"


def test_a_packet_on_loan_is_not_missing_and_is_told_where_it_lies_all_the_same(
    walk: Stocktake, box: StorePlace, parts: list[Part], curator: Member
) -> None:
    make_loan(curator, parts[0], now=NOW - 30 * HOUR, lent_on=date(2026, 11, 1))
    see(walk, box, 2, 3, 4, by=curator)
    assert differences(walk) == []
    see(walk, box, 1, by=curator, at=30 * HOUR)
    assert only(walk).said.startswith("Seen in Shelf 1 › Box 1. On record it is on loan L2026-001 to")
    with pytest.raises(StocktakeRefused, match="Note its return first"):
        settle(walk.pk, only(walk).key, way="record follows", reason="here", by=curator, now=NOW + 31 * HOUR)


def test_what_is_moved_on_record_during_the_walk_is_no_difference(
    walk: Stocktake, box: StorePlace, other: StorePlace, parts: list[Part], curator: Member
) -> None:
    see(walk, box, 1, 2, by=curator)
    move(parts, other, by=curator, now=NOW + 2 * HOUR)
    assert differences(walk) == []


def test_a_number_typed_again_in_the_same_place_is_no_second_packet(
    walk: Stocktake, box: StorePlace, other: StorePlace, curator: Member
) -> None:
    see(walk, box, 1, 2, 3, 4, by=curator)
    taken = type_sightings(walk.pk, box, ["hfg 2026-1", "HFG 2026-0002"], by=curator, now=NOW + 2 * HOUR)
    assert (taken.taken, taken.again) == ((), 2)
    assert differences(walk) == [] and standing(walk).tally.words == "4 expected, 4 in place"
    see(walk, other, 1, by=curator, at=3 * HOUR)
    assert differences(walk) == [("twice", "HFG 2026-0001")]


def test_nothing_that_is_settled_makes_fewer_of_what_was_expected(
    walk: Stocktake, box: StorePlace, other: StorePlace, parts: list[Part], curator: Member
) -> None:
    see(walk, box, 1, by=curator)
    see(walk, other, 2, 3, by=curator)
    assert standing(walk).tally.words == "4 expected, 1 in place, 2 misplaced, 1 not yet seen"
    ways = {"missing": "stays missing", "misplaced": "record follows"}
    for shown in standing(walk).open:
        settle(walk.pk, shown.key, way=ways[shown.kind], reason="looked", by=curator, now=NOW + 2 * HOUR)
    signed = sign_off(walk.pk, words="", by=curator, now=NOW + 3 * HOUR)
    assert (signed.expected, signed.seen) == (4, 1)
    move(parts, other, by=curator, now=NOW + 9 * HOUR)
    end_part(parts[0].pk, why="used up", by=curator, now=NOW + 9 * HOUR)
    assert standing(signed).tally.words == "4 expected, 1 in place, 2 misplaced, 1 missing"


def test_what_was_found_in_another_place_counts_as_misplaced(
    walk: Stocktake, box: StorePlace, curator: Member
) -> None:
    see(walk, box, 1, 2, 3, by=curator)
    settle(
        walk.pk, only(walk).key, way="elsewhere", reason="table", to="Shelf 1", by=curator, now=NOW + 2 * HOUR
    )
    assert standing(walk).tally.words == "4 expected, 3 in place, 1 misplaced"


def test_a_place_where_nothing_was_seen_is_named(walk: Stocktake) -> None:
    assert standing(walk).not_walked == ("Shelf 1 › Box 1",)


def test_the_same_message_twice_changes_nothing(walk: Stocktake, box: StorePlace, curator: Member) -> None:
    told = [Told(uuid4(), number, box.number, NOW + HOUR, False) for number in numbers(1, 2)]
    first = take_sightings(walk.pk, told, by=curator, now=NOW + HOUR)
    again = take_sightings(walk.pk, told[::-1] + told, by=curator, now=NOW + 2 * HOUR)
    assert set(first.taken) == set(again.taken) and not again.refused
    assert Sighting.objects.count() == 2
    assert differences(walk) == [("missing", "HFG 2026-0003"), ("missing", "HFG 2026-0004")]


def test_a_sighting_taken_back_stays_so_whatever_comes_late(
    walk: Stocktake, box: StorePlace, curator: Member
) -> None:
    key = uuid4()
    take_sightings(walk.pk, [Told(key, "HFG 2026-0001", box.number, NOW, True)], by=curator, now=NOW)
    take_sightings(walk.pk, [Told(key, "HFG 2026-0001", box.number, NOW, False)], by=curator, now=NOW)
    assert Sighting.objects.get().taken_back_at is not None
    assert ("missing", "HFG 2026-0001") in differences(walk)


def test_a_clock_set_wrong_is_put_right(walk: Stocktake, box: StorePlace, curator: Member) -> None:
    told = [Told(uuid4(), "HFG 2026-0001", box.number, NOW - 50 * HOUR, False)]
    take_sightings(walk.pk, told, by=curator, now=NOW + 2 * HOUR, sent_at=NOW - 49 * HOUR)
    assert Sighting.objects.get().seen_at == NOW + HOUR


@pytest.mark.parametrize("year", [2000, 8999])
def test_a_clock_set_over_thousands_of_years_says_nothing(
    year: int, walk: Stocktake, box: StorePlace, curator: Member
) -> None:
    told = Told(uuid4(), "HFG 2026-0001", box.number, NOW.replace(year=year), False)
    take_sightings(walk.pk, [told], by=curator, now=NOW, sent_at=NOW.replace(year=10_999 - year))
    assert Sighting.objects.get().seen_at == NOW


def test_what_somebody_else_saw_is_taken_back_by_them_or_a_curator(
    walk: Stocktake, box: StorePlace, leader: Member, keeper: Member, curator: Member
) -> None:
    another = make_person("stranger")
    seen = Told(uuid4(), "HFG 2026-0001", box.number, NOW, False)
    take_sightings(walk.pk, [seen], by=leader, now=NOW)
    back = replace(seen, is_taken_back=True)
    taken = take_sightings(walk.pk, [back], by=another, now=NOW)
    assert taken.taken == () and "Somebody else saw it" in taken.refused[seen.id]
    assert Sighting.objects.get().taken_back_at is None
    assert take_sightings(walk.pk, [back], by=curator, now=NOW).taken == (seen.id,)
    assert Sighting.objects.get().taken_back_at == NOW


def test_a_place_that_is_none_is_refused_and_the_rest_taken(
    walk: Stocktake, box: StorePlace, curator: Member
) -> None:
    good, bad = (
        Told(uuid4(), "HFG 2026-0001", box.number, NOW, False),
        Told(uuid4(), "HFG 2026-0002", 99, NOW, False),
    )
    taken = take_sightings(walk.pk, [good, bad], by=curator, now=NOW)
    assert taken.taken == (good.id,)
    assert taken.refused == {bad.id: "There is no place 99 in the store."}


# --- settling ---


@pytest.mark.parametrize(
    ("way", "reason", "said"),
    [
        ("", "seen by Ada", "how HFG 2026-0004 is settled"),
        ("same", "seen by Ada", "how HFG 2026-0004"),
        ("in place", " ", "reason is missing"),
    ],
)
def test_without_a_way_and_a_reason_nothing_is_settled(
    way: str, reason: str, said: str, walk: Stocktake, box: StorePlace, curator: Member
) -> None:
    see(walk, box, 1, 2, 3, by=curator)
    with pytest.raises(StocktakeRefused, match=said):
        settle(walk.pk, only(walk).key, way=way, reason=reason, by=curator, now=NOW)
    assert not Settlement.objects.exists()


def test_a_missing_packet_found_in_its_place_is_seen(
    walk: Stocktake, box: StorePlace, curator: Member
) -> None:
    see(walk, box, 1, 2, 3, by=curator)
    settle(
        walk.pk, only(walk).key, way="in place", reason="behind the others", by=curator, now=NOW + 2 * HOUR
    )
    now = standing(walk)
    assert (now.open, now.tally.in_place, now.settled[0].reason) == ((), 4, "behind the others")


def test_a_missing_packet_found_elsewhere_moves_there(
    walk: Stocktake, box: StorePlace, other: StorePlace, curator: Member
) -> None:
    see(walk, box, 1, 2, 3, by=curator)
    key = only(walk).key
    with pytest.raises(StocktakeRefused, match=r"no place 99.*stays on the list"):
        settle(walk.pk, key, way="elsewhere", reason="on the table", to="99", by=curator, now=NOW)
    assert not Move.objects.exists()
    settle(walk.pk, key, way="elsewhere", reason="on the table", to="Box 2", by=curator, now=NOW + 2 * HOUR)
    assert Move.objects.get().to_place == other
    assert differences(walk) == []


def test_the_record_follows_a_misplaced_packet(
    walk: Stocktake, box: StorePlace, other: StorePlace, curator: Member
) -> None:
    see(walk, box, 1, 2, 3, by=curator)
    see(walk, other, 4, by=curator)
    settle(
        walk.pk, only(walk).key, way="record follows", reason="filed by name", by=curator, now=NOW + 2 * HOUR
    )
    assert Part.objects.get(voucher__serial=4).place == other
    assert Move.objects.get().why == "Stocktake: filed by name"
    assert differences(walk) == []


def test_a_move_that_is_refused_settles_nothing(
    walk: Stocktake, box: StorePlace, other: StorePlace, parts: list[Part], curator: Member
) -> None:
    end_part(parts[3].pk, why="used up", by=curator, now=NOW)
    see(walk, box, 1, 2, 3, 4, by=curator)
    with pytest.raises(StocktakeRefused, match="ended on 2 November 2026"):
        settle(
            walk.pk, only(walk).key, way="record follows", reason="it is here", by=curator, now=NOW + 2 * HOUR
        )
    assert only(walk).said.endswith("On record it ended on 2 November 2026.")


def test_a_difference_is_settled_once(walk: Stocktake, box: StorePlace, curator: Member) -> None:
    see(walk, box, 1, 2, 3, by=curator)
    key = only(walk).key
    settle(walk.pk, key, way="stays missing", reason="looked all over", by=curator, now=NOW)
    with pytest.raises(StocktakeRefused, match="no longer there"):
        settle(walk.pk, key, way="in place", reason="changed my mind", by=curator, now=NOW)
    assert Settlement.objects.count() == 1


# --- the end, and the next one ---


def test_it_is_signed_off_only_when_all_is_settled(walk: Stocktake, box: StorePlace, curator: Member) -> None:
    see(walk, box, 1, 2, by=curator)
    with pytest.raises(StocktakeRefused, match="2 differences are not settled"):
        sign_off(walk.pk, words="", by=curator, now=NOW)
    for shown in standing(walk).open:
        settle(walk.pk, shown.key, way="stays missing", reason="looked all over", by=curator, now=NOW)
    signed = sign_off(walk.pk, words="Two gone", by=curator, now=NOW + 3 * HOUR)
    assert (signed.signed_at, signed.signed_by, signed.expected, signed.seen) == (
        NOW + 3 * HOUR,
        curator,
        4,
        2,
    )


def test_nothing_seen_is_nothing_to_sign(curator: Member) -> None:
    walk = open_stocktake(place("Box 8"), by=curator, now=NOW)
    with pytest.raises(StocktakeRefused, match="Nothing was seen yet"):
        sign_off(walk.pk, words="", by=curator, now=NOW)


def test_after_signing_off_nothing_is_taken(walk: Stocktake, box: StorePlace, curator: Member) -> None:
    see(walk, box, 1, 2, 3, 4, by=curator)
    sign_off(walk.pk, words="", by=curator, now=NOW + HOUR)
    told = [Told(uuid4(), "HFG 2026-0001", box.number, NOW, False)]
    for step in (
        lambda: take_sightings(walk.pk, told, by=curator, now=NOW),
        lambda: settle(walk.pk, "x", way="same", reason="why", by=curator, now=NOW),
        lambda: sign_off(walk.pk, words="", by=curator, now=NOW),
        lambda: give_up(walk.pk, why="mistake", now=NOW),
    ):
        with pytest.raises(StocktakeEnded, match="signed off on 2 November 2026"):
            step()
    assert Sighting.objects.count() == 4


def test_a_loan_entered_on_the_day_after_signing_off_takes_nothing_from_what_was_signed(
    walk: Stocktake, box: StorePlace, parts: list[Part], curator: Member
) -> None:
    see(walk, box, 1, 2, 3, 4, by=curator)
    signed = sign_off(walk.pk, words="", by=curator, now=NOW + 2 * HOUR)
    make_loan(curator, parts[0], now=NOW + 3 * HOUR)
    counted = standing(signed).tally
    assert (counted.expected, counted.in_place) == (signed.expected, signed.seen) == (4, 4)


def test_what_was_being_written_while_it_was_signed_off_changes_nothing_of_what_was_signed(
    walk: Stocktake, box: StorePlace, parts: list[Part], curator: Member
) -> None:
    see(walk, box, 1, 2, 3, 4, by=curator)
    signed = sign_off(walk.pk, words="", by=curator, now=NOW + 2 * HOUR)
    # Its time was taken before; then it waited for the database.
    move([parts[0]], place("Box 8"), by=curator, now=NOW + HOUR / 2)
    stands = standing(Stocktake.objects.get(pk=walk.pk))
    assert stands.open == ()
    assert (stands.tally.expected, stands.tally.in_place) == (signed.expected, signed.seen) == (4, 4)


def test_the_next_stocktake_knows_the_last(
    walk: Stocktake, shelf: StorePlace, box: StorePlace, parts: list[Part], curator: Member
) -> None:
    see(walk, box, 1, 2, 3, by=curator)
    settle(walk.pk, only(walk).key, way="stays missing", reason="looked all over", by=curator, now=NOW)
    sign_off(walk.pk, words="", by=curator, now=NOW + HOUR)
    year = timedelta(days=365)
    following = open_stocktake(shelf, by=curator, now=NOW + year)
    assert last_signed_before(following) == walk
    see(following, box, 1, 2, by=curator, at=year + HOUR)
    last = {one.text: one.last for one in standing(following).open}
    assert last == {
        "HFG 2026-0003": "Last seen there on 2 November 2026.",
        "HFG 2026-0004": "Missing already at the stocktake signed on 2 November 2026.",
    }
