"""What open flags mean for a label."""

import pytest

from ledger.finds import tables
from ledger.people.models import Member
from tests.factories import FindFactory, FlagFactory
from vouchers.printing.open_flags import DOUBTS_ON, OpenFlags, open_flags, stop_refusal

# Doubts on names, hosts, wood and photos: the label prints none of these as a fact of its own, or leaves it off.
NOT_OF_THE_LABEL = frozenset(
    {
        "host_outside_guessed", "host_group_differs", "standing_doubtful", "behind_look_alike", "nothing_decisive",
        "photos_missing", "view_underside_missing", "view_cap_missing", "number_in_frame_differs", "decay_class_unknown",
        "decay_scale_wrong_wood",
    }
)  # fmt: skip


def test_every_doubt_of_the_table_is_placed() -> None:
    doubts = {kind.code for kind in tables.flag_table().kinds.values() if kind.severity == "doubt"}
    assert doubts == set(DOUBTS_ON) | NOT_OF_THE_LABEL


def test_a_find_without_flags_has_no_mark(curator: Member) -> None:
    assert open_flags(FindFactory(), curator) == OpenFlags()


def test_doubts_are_told_by_what_they_are_on(curator: Member) -> None:
    find = FindFactory()
    for code in ("trait_outside", "number_void", "place_missing", "photos_missing"):
        FlagFactory(find=find, code=code)
    flags = open_flags(find, curator)
    assert (flags.mark, flags.doubts) == ("doubt", ("place", "measures", "collecting number"))
    assert flags.words == "open doubt on place and measures and collecting number: prints as recorded"


@pytest.mark.parametrize("closed", ["settled_at", "withdrawn_at"])
def test_a_flag_that_is_no_longer_open_does_not_count(closed: str, curator: Member) -> None:
    flag = FlagFactory(code="date_future", severity="stop")
    setattr(flag, closed, flag.raised_at)
    flag.save()
    assert open_flags(flag.find, curator) == OpenFlags()


def test_a_stop_bars_the_label_with_its_sentence_and_what_to_do(curator: Member) -> None:
    flag = FlagFactory(code="number_repeated", severity="stop", sentence="AT 3 stands on other finds too.")
    refusal = stop_refusal(open_flags(flag.find, curator), "TFG 2026-0001")
    assert refusal == (
        "TFG 2026-0001 was not printed: a stop flag is open on it. AT 3 stands on other finds too. "
        "Decide on it at the bench, then print."
    )


def test_the_severity_is_that_of_the_table(curator: Member) -> None:
    flag = FlagFactory(code="number_repeated", severity="note")
    assert open_flags(flag.find, curator).mark == "stop"


def test_a_sentence_that_tells_a_kept_back_place_is_told_by_its_label(leader: Member) -> None:
    flag = FlagFactory(
        find__own_blur_step_deg=0.1, code="place_out_of_range", severity="stop", sentence="Latitude 91.5."
    )
    assert open_flags(flag.find, leader).stops == ("Not a place on Earth.",)
