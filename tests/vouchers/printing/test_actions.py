"""Which labels are printed, which are refused by name, and at what price."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pypdfium2
import pytest
from django.utils import translation

from ledger.club.models import Club
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import (
    DeterminationFactory,
    FindFactory,
    FlagFactory,
    ReadingFactory,
    TaxonFactory,
    name_find,
)
from tests.vouchers.labels.making import text_of
from tests.vouchers.permits.making import make_permit
from vouchers.parts.actions import make_part
from vouchers.permits.wording import KEPT_BACK, NO_PERMISSION
from vouchers.printing import items
from vouchers.printing.actions import Run, keep_print, print_items
from vouchers.printing.compare import digest
from vouchers.printing.models import PrintedLabel
from vouchers.register.actions import accession
from vouchers.register.queries import for_labels
from vouchers.sampling.models import SamplingLeave
from vouchers.sampling.purposes import PURPOSES
from vouchers.store.actions import make_places

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


CLUB = Club(name="Hollin Fungus Group")


def print_vouchers(numbers: list[int], *sheets: str, by: Member, again: list[str] | None = None) -> Run:
    """Print the vouchers on the sheets and keep the print."""
    chosen = items.of_vouchers(for_labels(numbers), sheets or ("labels-96x92",), club=CLUB, member=by)
    run = print_items(chosen, paper="a4", now=NOW, again=again)
    keep_print(run, by=by, now=NOW)
    return run


@pytest.fixture
def print_finds(curator: Member) -> Callable[..., Run]:
    """Accession the finds and print them on a sheet."""

    def printed(*finds: Find, sheet: str = "labels-96x92") -> Run:
        stops = {find.pk: {flag.pk for flag in find.flags.all()} for find in finds}
        numbers = [accession(key, by=curator, now=NOW, despite=stops[key]).pk for key in stops]
        return print_vouchers(numbers, sheet, by=curator)

    return printed


def renamed(first: str = "Stereum", then: str = "Stereum hirsutum", **given: Any) -> Find:
    find: Find = FindFactory(**given)
    DeterminationFactory(find=find, taxon=None, name_typed=first, made_at=NOW - timedelta(days=9))
    name_find(find, None, name_typed=then, made_at=NOW, determined_on=date(2026, 11, 2))
    return find


@pytest.mark.parametrize("sheet", ["labels-96x92", "slips"])
def test_a_find_with_an_open_stop_is_refused_and_the_others_are_printed(
    sheet: str, print_finds: Callable[..., Run]
) -> None:
    barred, free = renamed(), renamed()
    FlagFactory(find=barred, code="date_future", severity="stop", sentence="The find is dated 2 May 2031.")
    printed = print_finds(barred, free, sheet=sheet)
    (refusal,) = printed.refused
    assert refusal.accession_number == "BL 2026-0001" and "dated 2 May 2031" in refusal.sentence
    assert "BL 2026-0002" in text_of(printed) and "BL 2026-0001" not in text_of(printed)


def test_a_find_with_open_doubts_is_printed(print_finds: Callable[..., Run]) -> None:
    find = renamed()
    FlagFactory(find=find, code="place_missing")
    printed = print_finds(find)
    assert not printed.refused and "BL 2026-0001" in text_of(printed)


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: FindFactory(), "never named"),
        (lambda: name_find(FindFactory(), TaxonFactory()).find, "determined once"),
        (lambda: renamed(then=""), "takes the name back"),
    ],
)
def test_a_packet_without_a_later_name_has_no_slip(
    make: Callable[[], Find], sentence: str, print_finds: Callable[..., Run]
) -> None:
    printed = print_finds(make(), sheet="slips")
    assert printed.pdf is None
    assert [sentence in refusal.sentence for refusal in printed.refused] == [True]


def test_a_later_determination_has_its_slip(print_finds: Callable[..., Run]) -> None:
    printed = print_finds(renamed(), sheet="slips")
    assert not printed.refused and "Stereum hirsutum" in text_of(printed)


def test_refusals_come_in_the_order_of_the_vouchers(print_finds: Callable[..., Run]) -> None:
    too_long = FindFactory(
        trees_nearby="oak and ash " * 16,
        locality="by the gate " * 25,
        smell="of pears " * 13,
        permission="leave of the owner " * 10,
    )
    stopped = FlagFactory(code="date_future", severity="stop").find
    printed = print_finds(stopped, too_long, FindFactory())
    assert [refusal.line for refusal in printed.refused] == ["Flags", "Place"]
    assert "BL 2026-0003" in text_of(printed)


@pytest.mark.parametrize("count", [2, 6])
def test_labels_cost_five_queries_however_many(
    count: int, curator: Member, django_assert_num_queries: Any
) -> None:
    numbers = []
    for _ in range(count):
        find = renamed()
        ReadingFactory(find=find)
        FlagFactory(find=find, code="place_missing")
        numbers.append(accession(find.pk, by=curator, now=NOW).pk)
    with django_assert_num_queries(5):
        chosen = items.of_vouchers(for_labels(numbers), ["labels-96x92"], club=CLUB, member=curator)
        print_items(chosen, paper="a4", now=NOW)


def test_each_later_determination_has_a_slip_of_its_own(print_finds: Callable[..., Run]) -> None:
    find = renamed()
    name_find(find, None, name_typed="Stereum gausapatum", made_at=NOW + timedelta(days=1))
    printed = print_finds(find, sheet="slips")
    assert [dict(one.lines)["Name"] for one in printed.printed] == ["Stereum hirsutum", "Stereum gausapatum"]


def test_a_label_printed_again_says_which_lines_differ(
    curator: Member, print_finds: Callable[..., Run]
) -> None:
    find = renamed()
    print_finds(find)
    name_find(find, None, name_typed="Stereum gausapatum", made_at=NOW + timedelta(days=1))
    (again,) = print_vouchers([find.voucher.pk], "packet", by=curator).printed_before
    assert again.last is not None and again.last.printed_by == curator
    assert ("Name", "Stereum hirsutum", "Stereum gausapatum") in [
        (line.word, line.was, line.now) for line in again.changed
    ]


def test_the_same_label_on_another_sheet_differs_in_nothing(
    curator: Member, print_finds: Callable[..., Run]
) -> None:
    find = renamed()
    print_finds(find, sheet="labels-96x92")
    (again,) = print_vouchers([find.voucher.pk], "packet", by=curator).printed_before
    assert again.changed == ()


def test_what_is_not_ticked_is_not_printed_again_and_what_is_new_goes_along(
    curator: Member, print_finds: Callable[..., Run]
) -> None:
    first = renamed()
    print_finds(first)
    fresh = accession(FindFactory().pk, by=curator, now=NOW)
    run = print_vouchers([first.voucher.pk, fresh.pk], by=curator, again=[])
    assert [one.item.number for one in run.printed] == ["BL 2026-0002"]


def test_every_print_is_a_row_with_its_lines_and_its_digest(print_finds: Callable[..., Run]) -> None:
    run = print_finds(FindFactory())
    row = PrintedLabel.objects.get()
    assert (row.kind, row.number, row.sheet, row.paper) == ("packet", "BL 2026-0001", "labels-96x92", "a4")
    assert row.lines == [list(line) for line in run.printed[0].lines]
    assert row.digest == digest("packet", row.lines)


def test_a_refused_label_leaves_no_row(print_finds: Callable[..., Run]) -> None:
    print_finds(FlagFactory(code="date_future", severity="stop").find)
    assert not PrintedLabel.objects.exists()


def test_a_leader_who_may_not_know_the_place_does_not_read_it_from_an_earlier_print(
    curator: Member, leader: Member, print_finds: Callable[..., Run]
) -> None:
    find = FindFactory(own_blur_step_deg=0.1, locality="Split Oak Dingle")
    print_finds(find)
    (again,) = print_vouchers([find.voucher.pk], by=leader).printed_before
    assert again.changed
    assert "Dingle" not in str([(line.was, line.now) for line in again.changed])


def test_a_duplicate_of_a_sensitive_find_leaves_with_its_cell_only(curator: Member) -> None:
    find = FindFactory(own_blur_step_deg=0.1, locality="Split Oak Dingle")
    voucher = accession(find.pk, by=curator, now=NOW)
    make_part(voucher.pk, "duplicate", by=curator, now=NOW)
    (one,) = print_vouchers([voucher.pk], "duplicates", by=curator).printed
    said = dict(one.lines)
    assert said["Number"] == said["Code"] == "BL 2026-0001 D1" and said["Head"].startswith("Duplicate · ")
    assert "Dingle" not in str(one.lines) and "a finer place is held" in said["At"]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, NO_PERMISSION),
        ({"permission": "asked at the lodge"}, "asked at the lodge"),
        ({"permission": "asked at the lodge", "own_blur_step_deg": 0.1}, KEPT_BACK),
    ],
)
def test_the_label_of_a_duplicate_says_what_is_on_record_of_leave_or_that_nothing_is(
    given: dict[str, Any], said: str, curator: Member
) -> None:
    voucher = accession(FindFactory(**given).pk, by=curator, now=NOW)
    make_part(voucher.pk, "duplicate", by=curator, now=NOW)
    (one,) = print_vouchers([voucher.pk], "duplicates", by=curator).printed
    assert dict(one.lines)["Permission"] == said


def test_the_label_of_a_duplicate_names_the_permit_it_was_taken_under(curator: Member) -> None:
    find = FindFactory()
    make_permit(curator, finds=[find])
    voucher = accession(find.pk, by=curator, now=NOW)
    make_part(voucher.pk, "duplicate", by=curator, now=NOW)
    (one,) = print_vouchers([voucher.pk], "duplicates", by=curator).printed
    assert dict(one.lines)["Permission"].startswith("Hollin Estate, HE 12/2026")


def test_every_part_with_a_suffix_has_a_small_label(curator: Member) -> None:
    voucher = accession(FindFactory().pk, by=curator, now=NOW)
    for kind in ("tissue tube", "slide", "duplicate"):
        make_part(voucher.pk, kind, by=curator, now=NOW)
    run = print_vouchers([voucher.pk], "tubes", by=curator)
    assert [dict(one.lines)["Code"] for one in run.printed] == ["BL 2026-0001 T1", "BL 2026-0001 S1"]


def test_a_voucher_without_such_a_part_is_told_with_what_to_do(curator: Member) -> None:
    voucher = accession(FindFactory().pk, by=curator, now=NOW)
    run = print_vouchers([voucher.pk], "tubes", "duplicates", "annotations", by=curator)
    assert [refusal.line for refusal in run.refused] == ["Part", "Part", "Cut"]
    assert all("BL 2026-0001 has no" in refusal.sentence for refusal in run.refused)


def test_what_was_cut_has_an_annotation_slip(curator: Member) -> None:
    voucher = accession(FindFactory().pk, by=curator, now=NOW)
    SamplingLeave.objects.create(
        year=2026,
        serial=1,
        part=voucher.parts.get(),
        person="L. Crabbe",
        asked_on=NOW.date(),
        purpose=next(iter(PURPOSES)),
        purpose_words="ITS of one hymenium",
        what="4 mm",
        decision="granted",
        cut_on=date(2026, 11, 9),
        cut_by="Carys Bowen",
        cut_what="inner flesh, 4 × 4 mm",
        made_by=curator,
        made_at=NOW,
    )
    (one,) = print_vouchers([voucher.pk], "annotations", by=curator).printed
    said = dict(one.lines)
    assert said["Cut"] == "inner flesh, 4 × 4 mm" and said["By"] == "Carys Bowen, 9 Nov 2026"
    assert "ITS of one hymenium; asked by L. Crabbe" in said["For"] and said["Leave"]


def test_a_deaccessioned_voucher_gets_no_label(curator: Member) -> None:
    voucher = accession(FindFactory().pk, by=curator, now=NOW)
    type(voucher).objects.filter(pk=voucher.pk).update(deaccessioned_at=NOW)
    (refusal,) = print_vouchers([voucher.pk], "tags", by=curator).refused
    assert "deaccessioned on 2 Nov 2026" in refusal.sentence


def test_kinds_of_labels_come_in_one_file(curator: Member) -> None:
    voucher = accession(renamed().pk, by=curator, now=NOW)
    run = print_vouchers([voucher.pk], "labels-96x92", "boxes", "slips", "tags", by=curator)
    assert len(run.printed) == 4 and len(pypdfium2.PdfDocument(run.pdf)) == 4


def test_places_and_trays_have_labels_with_their_codes(curator: Member) -> None:
    (room,) = make_places("room", "Herbarium room", None)
    (box,) = make_places("box", "Box 1", room, capacity=40)
    club = Club(name="Hollin Fungus Group", accession_prefix="BL")
    made = items.of_places([box], {box.pk: "Herbarium room"}, club=club) + items.of_trays([5], club=club)
    run = print_items(made, paper="a4", now=NOW)
    place, tray = (dict(one.lines) for one in run.printed)
    assert (place["Code"], place["Name"], place["In"]) == (
        f"BL PLACE {box.number}",
        "Box 1",
        "Herbarium room",
    )
    assert (tray["Code"], tray["Name"]) == ("BL TRAY 5", "Tray 5")


def test_a_label_is_in_the_language_of_the_club_whoever_prints_it(
    print_finds: Callable[..., Run], settings: Any
) -> None:
    settings.LANGUAGE_CODE = "de"
    run = print_finds(FindFactory(trees_nearby="old oaks"))
    assert "Bei old oaks" in text_of(run) and "Near" in dict(run.printed[0].lines)
    with translation.override("en-gb"):
        (reason,) = print_finds(FindFactory(), sheet="slips").reasons
    assert "has no slip: it was never named" in reason


def test_a_reason_that_holds_for_several_is_told_once(print_finds: Callable[..., Run]) -> None:
    (reason,) = print_finds(FindFactory(), FindFactory(), sheet="slips").reasons
    assert reason.startswith("Each of BL 2026-0001, BL 2026-0002 has no slip: ")
