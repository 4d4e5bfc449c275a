"""The order of preparation: what cannot have happened, what is asked first, where a specimen lies."""

from datetime import UTC, datetime, timedelta

import pytest

from vouchers.preparation import order
from vouchers.preparation.order import OrderError, Step, after, asked_before, next_kinds, replay

START = datetime(2026, 10, 3, 18, 0, tzinfo=UTC)


def steps(*kinds: str) -> list[Step]:
    """Steps an hour apart, in this order."""
    return [Step(kind, START + timedelta(hours=n), n) for n, kind in enumerate(kinds)]


WHOLE = (
    order.MEASURED,
    order.PRINT,
    order.TISSUE,
    order.INTO_DRIER,
    order.LONGER,
    order.OUT_OF_DRIER,
    order.INTO_FREEZER,
    order.OUT_OF_FREEZER,
    order.PACKET,
)


def test_the_customary_order_leads_to_the_packet():
    state = replay(steps(*WHOLE))
    assert state.where == order.IN_PACKET
    assert state.dried_at == START + timedelta(hours=5)
    assert state.frozen_at == START + timedelta(hours=7)


def test_a_packet_can_be_frozen_again_after_a_loan():
    state = replay(steps(*WHOLE, order.INTO_FREEZER, order.OUT_OF_FREEZER, order.PACKET))
    assert state.frozen_at == START + timedelta(hours=10)


@pytest.mark.parametrize(
    ("before", "kind", "said"),
    [
        ((), order.OUT_OF_DRIER, "not in the drier then, but at hand"),
        ((), order.LONGER, "not in the drier"),
        ((), order.OUT_OF_FREEZER, "not in the freezer"),
        ((order.INTO_DRIER,), order.INTO_DRIER, "in the drier already since 3 October 2026, 18:00"),
        ((order.INTO_DRIER,), order.INTO_FREEZER, "Take it out first"),
        ((order.INTO_DRIER,), order.PACKET, "in the drier since 3 October 2026, 18:00. Take it out first"),
        ((order.INTO_DRIER, order.OUT_OF_DRIER), order.PRINT, "fresh no longer"),
        ((order.INTO_DRIER, order.OUT_OF_DRIER), order.MEASURED, "give the day and hour when it was done"),
        ((order.INTO_FREEZER,), order.INTO_DRIER, "in the freezer since"),
        ((order.PACKET,), order.PACKET, "in its packet already"),
        ((order.PACKET,), order.MEASURED, "it is in its packet"),
        ((), order.WITHDRAWN, "no step"),
        ((), "boiled", "'boiled' is no step"),
    ],
)
def test_what_cannot_have_happened_is_refused(before: tuple[str, ...], kind: str, said: str):
    with pytest.raises(OrderError, match=said):
        after(replay(steps(*before)), Step(kind, START + timedelta(days=1)))


def test_a_print_entered_late_counts_where_it_was_taken_before_drying():
    late = Step(order.PRINT, START - timedelta(hours=2), number=99)
    assert replay([*steps(order.INTO_DRIER), late]).print_taken


def test_two_steps_of_one_moment_follow_the_order_of_writing():
    moment = [Step(order.OUT_OF_DRIER, START, 2), Step(order.INTO_DRIER, START, 1)]
    assert replay(moment).dried_at == START


def test_fresh_only_steps_are_asked_before_the_drier_and_never_again_afterwards():
    fresh = replay(())
    missed = ("cap_width", order.SPORE_PRINT)
    assert asked_before(order.INTO_DRIER, fresh, missed) == missed
    assert asked_before(order.INTO_FREEZER, fresh, ()) == (order.DRYING,)
    dried = replay(steps(order.INTO_DRIER, order.OUT_OF_DRIER))
    assert asked_before(order.INTO_DRIER, dried, missed) == ()


def test_what_was_left_out_with_a_reason_is_not_asked_again():
    said = Step(order.LEFT_OUT, START, 1, ("cap_width", order.DRYING, order.FREEZING))
    state = replay([said])
    assert asked_before(order.INTO_DRIER, state, ("cap_width", "zonation")) == ("zonation",)
    assert asked_before(order.PACKET, state, ()) == ()


def test_a_packet_asks_for_what_came_before_it():
    assert asked_before(order.PACKET, replay(()), ()) == (order.DRYING, order.FREEZING)
    dried = replay(steps(order.INTO_DRIER, order.OUT_OF_DRIER))
    assert asked_before(order.PACKET, dried, ()) == (order.FREEZING,)


@pytest.mark.parametrize("many", range(len(WHOLE) + 1))
def test_every_step_that_is_offered_can_be_taken(many: int):
    state = replay(steps(*WHOLE[:many]))
    for kind in next_kinds(state):
        after(state, Step(kind, START + timedelta(days=1)))


def test_drying_began_when_it_first_went_in():
    state = replay(steps(order.INTO_DRIER, order.OUT_OF_DRIER, order.INTO_DRIER))
    assert (state.drying_began_at, state.since) == (START, START + timedelta(hours=2))


def test_from_a_packet_the_freezer_is_offered_first_and_nothing_fresh():
    assert next_kinds(replay(steps(*WHOLE))) == (order.INTO_FREEZER, order.INTO_DRIER, order.TISSUE)


@pytest.mark.parametrize(
    ("done", "offered"),
    [
        ((order.INTO_DRIER,), (order.OUT_OF_DRIER, order.LONGER)),
        ((order.INTO_FREEZER,), (order.OUT_OF_FREEZER,)),
        (
            (order.INTO_DRIER, order.OUT_OF_DRIER),
            (order.INTO_FREEZER, order.PACKET, order.INTO_DRIER, order.TISSUE),
        ),
    ],
)
def test_what_comes_next_by_custom_is_offered_first(done: tuple[str, ...], offered: tuple[str, ...]):
    assert next_kinds(replay(steps(*done))) == offered
