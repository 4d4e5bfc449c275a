"""Measured spores as rows: kept raw, made readings that the check uses, amended and withdrawn with everything on record."""

import uuid
from html.parser import HTMLParser

import pytest

from ledger.finds import actions as finds
from ledger.finds.models import Find, Reading
from ledger.people.models import Member
from ledger.spores.actions import SporesRefused, keep_spores, use_spores, withdraw_spores
from ledger.spores.models import SporeSet
from tests.ledger.finds.making import TWELVE, entry, numbers
from tests.ledger.spores.making import TEN, spores

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def find(collector: Member) -> Find:
    return finds.log_find(entry(*TWELVE), by=collector)


def current(find: Find, trait: str) -> Reading | None:
    return find.readings.filter(trait=trait, ended_at__isnull=True).first()


def test_raw_pairs_are_kept_and_become_the_two_readings_in_the_same_order(
    find: Find, collector: Member
) -> None:
    row = keep_spores(find.pk, spores(resolution_um=0.5), by=collector)
    length, width = current(find, "spore_length"), current(find, "spore_width")
    assert row.spores == list(TEN) and row.is_reading
    assert list(zip(length.values, width.values, strict=True)) == list(TEN)
    assert (length.unit, length.resolution, length.read_by) == ("um", 0.5, collector)


def test_the_find_is_checked_with_them_and_its_version_moves_on(find: Find, collector: Member) -> None:
    keep_spores(find.pk, spores(*((14.0, 6.0),) * 10), by=collector)
    again = Find.objects.get(pk=find.pk)
    assert again.version == find.version + 1 and again.status == "held"
    assert {"spore_length", "spore_width"} <= {
        flag.subject for flag in find.flags.filter(code="trait_outside")
    }


def test_the_slip_of_ten_is_flagged_and_the_values_are_left_as_they_are(
    find: Find, collector: Member
) -> None:
    tenfold = tuple((10 * length, 10 * width) for length, width in TEN)
    row = keep_spores(find.pk, spores(*tenfold), by=collector)
    assert {flag.subject for flag in find.flags.filter(code="unit_slip")} == {"spore_length", "spore_width"}
    assert row.spores == list(tenfold) and current(find, "spore_length").values == [one for one, _ in tenfold]


def test_the_history_says_what_was_and_what_is(find: Find, collector: Member) -> None:
    keep_spores(find.pk, spores(magnification=1000, um_per_division=0.98, fruit_bodies=2), by=collector)
    lines = {line.field: line.new for line in find.changes.all()}
    assert lines["spores"].startswith("[10/2/1] 5.5–7.0 × 2.0–2.5 µm")
    assert "in water, of a spore print, at ×1000, 0.98 µm a division" in lines["spores"]
    assert lines["reading spore_length"] == "5.5–7.0 µm, mean 6.20 µm (n = 10), spores measured one by one"


def test_amended_the_set_before_ends_and_stays_with_its_readings(
    find: Find, collector: Member, curator: Member
) -> None:
    first = keep_spores(find.pk, spores(), by=collector)
    second = keep_spores(find.pk, spores((6.0, 2.0), (6.5, 2.0)), by=curator, replaces=first.pk)
    first.refresh_from_db()
    assert (first.ended_by, second.replaces, first.spores) == (curator, first, list(TEN))
    assert find.readings.filter(trait="spore_length").count() == 2
    assert current(find, "spore_length") == second.length_reading
    old = find.changes.filter(field="spores").last()
    assert "n = 10" in old.old and "n = 2" in old.new


def test_amending_without_a_difference_writes_nothing(find: Find, collector: Member) -> None:
    first = keep_spores(find.pk, spores(typed="as first typed"), by=collector)
    again = keep_spores(find.pk, spores(typed="typed otherwise"), by=collector, replaces=first.pk)
    assert again == first and find.changes.filter(field="spores").count() == 1


def test_another_set_becomes_the_readings_and_the_first_can_be_taken_again(
    find: Find, collector: Member
) -> None:
    first = keep_spores(find.pk, spores(), by=collector)
    second = keep_spores(find.pk, spores((6.0, 2.0), mount="koh"), by=collector)
    first.refresh_from_db()
    assert second.is_reading and not first.is_reading and first.ended_at is None
    assert use_spores(first.pk, by=collector).is_reading
    assert current(find, "spore_width").values == [width for _, width in TEN]


def test_a_set_beside_the_readings_is_amended_without_touching_them(find: Find, collector: Member) -> None:
    first = keep_spores(find.pk, spores(), by=collector)
    keep_spores(find.pk, spores((6.0, 2.0), mount="koh"), by=collector)
    keep_spores(find.pk, spores((7.0, 3.0)), by=collector, replaces=first.pk)
    assert current(find, "spore_length").values == [6.0]


def test_withdrawn_its_readings_end_and_all_stays_on_record(find: Find, collector: Member) -> None:
    row = withdraw_spores(keep_spores(find.pk, spores(), by=collector).pk, by=collector)
    assert row.ended_at is not None and current(find, "spore_length") is None
    assert find.readings.filter(trait="spore_width").count() == 1
    assert find.changes.filter(field="spores", new="").exists()


def test_a_reading_typed_by_hand_since_then_survives_the_withdrawal(find: Find, collector: Member) -> None:
    row = keep_spores(find.pk, spores(), by=collector)
    version = Find.objects.get(pk=find.pk).version
    by_hand = numbers("spore_length", 6.0, unit="um")
    finds.amend_find(find.pk, entry(*TWELVE, by_hand), by=collector, version=version)
    withdraw_spores(row.pk, by=collector)
    assert current(find, "spore_length").values == [6.0]


def test_sent_twice_it_is_kept_once(find: Find, collector: Member) -> None:
    set_id = uuid.uuid4()
    made = [keep_spores(find.pk, spores(), by=collector, set_id=set_id) for _ in range(2)]
    assert made[0] == made[1] and SporeSet.objects.count() == 1


def test_an_identity_of_somebody_else_is_refused(find: Find, collector: Member, curator: Member) -> None:
    set_id = keep_spores(find.pk, spores(), by=collector).pk
    with pytest.raises(SporesRefused, match="Nothing was stored"):
        keep_spores(find.pk, spores(), by=curator, set_id=set_id)


def test_a_set_that_has_ended_is_neither_amended_nor_used_nor_withdrawn(
    find: Find, collector: Member
) -> None:
    row = withdraw_spores(keep_spores(find.pk, spores(), by=collector).pk, by=collector)
    for act in (
        lambda: keep_spores(find.pk, spores((6.0, 2.0)), by=collector, replaces=row.pk),
        lambda: use_spores(row.pk, by=collector),
        lambda: withdraw_spores(row.pk, by=collector),
    ):
        with pytest.raises(SporesRefused, match="amended or withdrawn"):
            act()


def test_a_find_amended_by_the_log_form_keeps_many_spores_as_they_are(
    find: Find, collector: Member, browser_of
) -> None:  # type: ignore[no-untyped-def]
    """The log form shows every value in a box of its own and sends all of them back."""
    many = tuple((5.5 + 0.01 * (step % 60), 2.0 + 0.01 * (step % 40)) for step in range(150))
    many = tuple((round(length, 2), round(width, 2)) for length, width in many)
    row = keep_spores(find.pk, spores(*many, resolution_um=0.1), by=collector)
    browser = browser_of(collector)
    address = f"/finds/{find.pk}/amend/"

    class Boxes(HTMLParser):
        values: list[str] = []

        def handle_starttag(self, tag, attrs):  # type: ignore[no-untyped-def]
            given = dict(attrs)
            if tag == "input" and given.get("name") == "r-spore_length-values" and given.get("value"):
                self.values.append(given["value"])

    parser = Boxes()
    parser.feed(browser.get(address).content.decode())
    assert [float(value) for value in parser.values] == [length for length, _ in many]
    row.refresh_from_db()
    assert row.is_reading
