"""The store: a tree without circles, moves that are whole or none, places that close only when empty."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given
from hypothesis import strategies as st

from ledger.people.models import Member
from tests.vouchers.store.making import NOW, packets, place
from vouchers.parts.actions import end_part
from vouchers.parts.models import Part
from vouchers.store.absence import Away
from vouchers.store.actions import (
    StoreRefused,
    change_place,
    close_place,
    make_places,
    move,
    move_place,
    open_place_again,
)
from vouchers.store.kinds import MAY_STAND_IN, way_up, within
from vouchers.store.models import Move, PlaceKind, PlaceMove, StorePlace
from vouchers.store.moving import WrongCodes, move_codes

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf() -> StorePlace:
    return place("Shelf 1", "shelf", place("Cabinet", "cabinet"))


# --- places ---


def test_every_kind_of_place_says_where_it_may_stand() -> None:
    assert set(MAY_STAND_IN) == set(PlaceKind.values)


def test_places_made_at_once_are_numbered_by_name_and_by_code(shelf: StorePlace) -> None:
    made = make_places("box", "Box", shelf, capacity=40, count=3)
    assert [one.name for one in made] == ["Box 1", "Box 2", "Box 3"]
    assert [one.number for one in made] == [3, 4, 5]
    assert {one.capacity for one in made} == {40}


@pytest.mark.parametrize(
    ("kind", "name", "count", "said"),
    [
        ("crate", "Crate", 1, "no kind of place"),
        ("box", " ​", 1, "has no name"),
        ("box", "Box", 0, "at once are refused"),
        ("box", "Box", 61, "at once are refused"),
        ("room", "Room", 1, "A room does not stand in a shelf"),
        ("cabinet", "Cabinet", 1, "A cabinet does not stand in a shelf"),
    ],
)
def test_a_place_that_cannot_be_is_refused(
    kind: str, name: str, count: int, said: str, shelf: StorePlace
) -> None:
    with pytest.raises(StoreRefused, match=said):
        make_places(kind, name, shelf, count=count)
    assert StorePlace.objects.count() == 2


def test_two_places_of_one_name_do_not_stand_side_by_side(shelf: StorePlace) -> None:
    make_places("box", "Box 2", shelf)
    with pytest.raises(StoreRefused, match="There is a Box 2 in Shelf 1 already"):
        make_places("box", "Box", shelf, count=3)
    assert shelf.inside.count() == 1
    assert make_places("box", "Box 2", None)[0].parent is None


def test_a_box_moves_with_all_in_it(shelf: StorePlace, curator: Member) -> None:
    box = place("Box 1", parent=place("Shelf 2", "shelf"))
    inner = place("Tray", "tray", box)
    (part,) = packets(1, by=curator, where=inner)
    move_place(box.pk, shelf, by=curator, now=NOW, why="flooded")
    parents = dict(StorePlace.objects.values_list("pk", "parent"))
    assert way_up(inner.pk, parents) == (shelf.parent_id, shelf.pk, box.pk, inner.pk)
    part.refresh_from_db()
    assert part.place_id == inner.pk
    assert PlaceMove.objects.get().why == "flooded"


def test_a_place_never_goes_into_itself_or_its_own_inside(curator: Member) -> None:
    outer = place("Box A")
    inner = place("Box C", parent=place("Box B", parent=outer))
    with pytest.raises(StoreRefused, match="cannot be put into itself"):
        move_place(outer.pk, outer, by=curator, now=NOW)
    with pytest.raises(StoreRefused, match="Box C stands in Box A itself"):
        move_place(outer.pk, inner, by=curator, now=NOW)
    assert not PlaceMove.objects.exists()
    outer.refresh_from_db()
    assert outer.parent is None


def test_the_database_itself_holds_no_place_in_itself() -> None:
    box = place("Box")
    with pytest.raises(IntegrityError), transaction.atomic():
        StorePlace.objects.filter(pk=box.pk).update(parent=box)


def test_a_closed_place_takes_nothing(shelf: StorePlace, curator: Member) -> None:
    box = place("Box", parent=shelf)
    (part,) = packets(1, by=curator)
    close_place(box.pk, now=NOW)
    for step in (
        lambda: move([part], box, by=curator, now=NOW),
        lambda: move_place(place("Box 9").pk, box, by=curator, now=NOW),
        lambda: make_places("box", "Box", box),
        lambda: close_place(box.pk, now=NOW),
    ):
        with pytest.raises(StoreRefused, match="was closed on 2 November 2026"):
            step()
    assert not Move.objects.exists()
    open_place_again(box.pk)
    assert move([part], box, by=curator, now=NOW).moved


def test_a_place_closes_only_when_empty(shelf: StorePlace, curator: Member) -> None:
    box = place("Box", parent=shelf)
    (part,) = packets(1, by=curator, where=box)
    with pytest.raises(StoreRefused, match="still holds 1 place"):
        close_place(shelf.pk, now=NOW)
    with pytest.raises(StoreRefused, match="still holds 1 packet"):
        close_place(box.pk, now=NOW)
    end_part(part.pk, why="used up", by=curator, now=NOW)
    close_place(box.pk, now=NOW)
    close_place(shelf.pk, now=NOW)
    with pytest.raises(StoreRefused, match="Box stays closed"):
        open_place_again(box.pk)


def test_a_place_keeps_its_number_under_another_name(shelf: StorePlace) -> None:
    changed = change_place(shelf.pk, name="Upper shelf", capacity=3)
    assert (changed.number, changed.name, changed.capacity) == (shelf.number, "Upper shelf", 3)


@given(st.lists(st.integers(0, 12), min_size=1, max_size=12))
def test_what_is_inside_a_place_leads_back_up_to_it(drawn: list[int]) -> None:
    # Each place stands in one before it, or in none.
    parents = {n: (above if above < n else None) for n, above in enumerate(drawn)}
    for start in parents:
        inside = within(start, parents)
        assert inside == {one for one in parents if start in way_up(one, parents)}


# --- moves ---


def test_moved_parts_have_one_place_and_a_row_each(shelf: StorePlace, curator: Member) -> None:
    box = place("Box", parent=shelf)
    parts = packets(3, by=curator, where=shelf)
    done = move(parts, box, by=curator, now=NOW, why="renamed")
    assert len(done.moved) == 3 and done.told == ()
    assert set(Part.objects.values_list("place", flat=True)) == {box.pk}
    assert set(Move.objects.values_list("from_place", "to_place", "why")) == {(shelf.pk, box.pk, "renamed")}


def test_what_lies_there_already_is_told_and_makes_no_row(shelf: StorePlace, curator: Member) -> None:
    parts = packets(2, by=curator, where=shelf)
    done = move(parts, shelf, by=curator, now=NOW)
    assert (len(done.moved), len(done.there_before)) == (0, 2)
    assert not Move.objects.exists()


def test_over_full_is_said_and_not_refused(shelf: StorePlace, curator: Member) -> None:
    box = place("Box 7", parent=shelf, capacity=2)
    done = move(packets(3, by=curator), box, by=curator, now=NOW)
    assert done.told == ("Box 7 is over-full: it is for 2 and has 3 on record now.",)
    assert box.parts.count() == 3


def test_one_ended_part_stops_the_whole_move(shelf: StorePlace, curator: Member) -> None:
    parts = packets(2, by=curator)
    end_part(parts[1].pk, why="given to Kew", by=curator, now=NOW)
    with pytest.raises(StoreRefused, match="HFG 2026-0002 ended on 2 November 2026"):
        move(parts, shelf, by=curator, now=NOW)
    assert not Part.objects.filter(place=shelf).exists()


def test_what_is_away_is_not_moved(
    shelf: StorePlace, curator: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    (part,) = packets(1, by=curator)
    lent = {part.pk: (Away(NOW - timedelta(days=3), None, "on loan to Kew"),)}
    monkeypatch.setattr("vouchers.store.away.away_times", lambda parts, since=None: lent)
    with pytest.raises(StoreRefused, match="is away: on loan to Kew"):
        move([part], shelf, by=curator, now=NOW)


def test_a_list_of_codes_moves_packets_and_boxes_at_once(shelf: StorePlace, curator: Member) -> None:
    box = place("Box 5")
    packets(2, by=curator)
    codes = ["HFG 2026-0001", "hfg2026/2", f"HFG PLACE {box.number}", "HFG 2026-0001"]
    told = move_codes(f"place {shelf.number}", codes, by=curator, now=NOW)
    assert told == ["Into Shelf 1: 2 packets and other parts and 1 place with all in them."]
    box.refresh_from_db()
    assert box.parent == shelf
    assert Part.objects.filter(place=shelf).count() == 2


def test_one_bad_code_moves_nothing_and_each_is_named(shelf: StorePlace, curator: Member) -> None:
    packets(1, by=curator)
    codes = [
        "HFG 2026-0001",
        "HFG 2026-0099",
        "HFG 2026-0001 S4",
        "XYZ 2026-0001",
        "4006381333931",
        "HFG PLACE 88",
        "HFG TRAY 2",
    ]
    with pytest.raises(WrongCodes) as caught:
        move_codes(str(shelf.number), codes, by=curator, now=NOW)
    said = caught.value.sentences
    assert len(said) == 6
    for words in ("HFG 2026-0099", "S4", "XYZ", "4006381333931", "88", "TRAY 2"):
        assert any(words in sentence for sentence in said), words
    assert not Move.objects.exists()


def test_a_box_that_cannot_go_there_leaves_the_packets_too(curator: Member) -> None:
    box = place("Box 5")
    packets(1, by=curator)
    with pytest.raises(StoreRefused, match="into itself"):
        move_codes(str(box.number), ["HFG 2026-0001", f"HFG PLACE {box.number}"], by=curator, now=NOW)
    assert not Move.objects.exists()
    assert Part.objects.get().place is None


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "No place was given"),
        ("99", "There is no place 99"),
        ("HFG 2026-0001", "is a specimen, not a place"),
        ("Box", "Several places are called Box"),
        ("Attic", "is no place of this store"),
    ],
)
def test_a_place_that_is_none_is_told(typed: str, said: str, shelf: StorePlace, curator: Member) -> None:
    place("Box", parent=shelf)
    place("Box")
    packets(1, by=curator)
    with pytest.raises(StoreRefused, match=said):
        move_codes(typed, ["HFG 2026-0001"], by=curator, now=NOW)
    assert not Move.objects.exists()
