"""The demo club: made once per run of this file, small and with plain photos, through the command itself."""

import hashlib
import json
import re
from collections.abc import Callable, Iterator
from io import StringIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test.utils import setup_databases, teardown_databases
from django.utils import timezone

from ledger.bench.models import Determination, Flag, Question
from ledger.club.models import Club
from ledger.demo.plan import plan_demo
from ledger.demo.questionable import HELD
from ledger.demo.story import read_scene
from ledger.finds.models import Change, Find, Photo, Reading, Status
from ledger.measures.models import Measurement
from ledger.people.models import Member, Role
from ledger.phone.models import NumberBlock, VoidNumber
from ledger.phone.numbers import accounted_serials
from ledger.photos.exif import read_facts
from ledger.spores.models import SporeSet
from ledger.taxa.actions import load_reference
from ledger.taxa.models import DocumentedRange, Taxon
from ledger.taxa.queries import reference_of_files
from ledger.traits.reference_files import read_reference
from vouchers.exchange.models import Sending, SentDuplicate, ToldOfName
from vouchers.loans.models import BorrowedItem, Borrowing, Condition, Loan, LoanItem, SeriesYear
from vouchers.loans.queries import loans_out, rows_of
from vouchers.parts.models import Part
from vouchers.permits.models import Permit, PermitUse
from vouchers.preparation import order
from vouchers.preparation.models import DryingRun, PreparationStep
from vouchers.preparation.queries import lying
from vouchers.register.models import RegisterEntry, Voucher
from vouchers.register.verification import verify_register
from vouchers.sampling.models import SamplingLeave
from vouchers.store.models import Move, StorePlace

FINDS = 80
# One worker makes the demo for all tests of this file.
pytestmark = pytest.mark.xdist_group("demo")


def make(folder: Path) -> str:
    """Run the command into the empty tables; returns what it printed."""
    out = StringIO()
    settings.MEDIA_ROOT = folder
    load_reference(read_reference(Path(settings.FIXTURES)))
    call_command("demo", finds=FINDS, plain_photos=True, stdout=out)
    return out.getvalue()


def digest_of_finds() -> str:
    """Everything of the finds that does not depend on the database's own numbering or on photo identities."""
    rows = [
        [
            str(find.pk),
            find.collecting_number,
            str([getattr(find, name) for name in ("found_on", "latitude", "longitude", "host", "status", "note")]),
            [[r.trait, r.values, r.low, r.high, r.states, r.looked] for r in find.readings.order_by("trait", "read_at")],
            [[d.name_typed, d.determiner.full_name, d.basis, str(d.made_at)] for d in find.determinations.all()],
            sorted([f.code, f.sentence, f.settle_reason] for f in find.flags.all()),
            [[c.field, c.new, str(c.changed_at), c.by.full_name] for c in find.changes.exclude(field="photos")],
            [[p.view, p.sha256] for p in find.photos.order_by("sha256")],
            str(getattr(find, "voucher", "")),
        ]
        for find in Find.objects.order_by("pk")
    ]  # fmt: skip
    return hashlib.sha256(json.dumps(rows, sort_keys=True, default=str).encode()).hexdigest()


class Undo(Exception):
    """Leaves the transaction and takes everything back."""


@pytest.fixture(scope="module")
def photos(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo-photos")


# Read while the tests are collected: the ledger's own database, in which no test may write.
OWN_DATABASE = connection.settings_dict["NAME"]


@pytest.fixture(scope="module")
def database_of_tests(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """The database of the tests, also where the tests that were chosen ask for it by `told` alone, as by `-k`."""
    if connection.settings_dict["NAME"] != OWN_DATABASE:
        yield
        return
    with django_db_blocker.unblock():
        made = setup_databases(verbosity=0, interactive=False)
    yield
    with django_db_blocker.unblock():
        teardown_databases(made, verbosity=0)


@pytest.fixture(scope="module")
def told(database_of_tests: None, django_db_blocker: Any, photos: Path) -> Iterator[str]:
    """The demo in the database for all tests of this file, and what the command printed."""
    before = settings.MEDIA_ROOT
    with django_db_blocker.unblock():
        try:
            with transaction.atomic():
                yield make(photos)
                raise Undo
        except Undo:
            settings.MEDIA_ROOT = before


@pytest.fixture
def demo(told: str, django_db_blocker: Any, photos: Path, settings: Any) -> str:
    settings.MEDIA_ROOT = photos
    return told


def codes_of_the_table() -> set[str]:
    table = json.loads((Path(settings.FIXTURES) / "flags.json").read_text(encoding="utf-8"))
    return {kind["code"] for kind in table["flags"]}


def open_flags() -> Any:
    return Flag.objects.filter(settled_at__isnull=True, withdrawn_at__isnull=True)


def test_as_many_finds_as_asked_for_are_made_and_told(demo: str) -> None:
    assert Find.objects.count() == FINDS
    assert f"{FINDS} finds, {len(HELD)} held, {FINDS // 5} vouchers" in demo
    assert f"{FINDS} of {FINDS} finds" in demo


def test_exactly_sixteen_finds_are_held(demo: str) -> None:
    assert len(HELD) == 16
    assert Find.objects.filter(status=Status.HELD).count() == 16


def test_the_held_finds_show_every_code_of_the_table(demo: str) -> None:
    shown = set(open_flags().filter(find__status=Status.HELD).values_list("code", flat=True))
    assert codes_of_the_table() - shown == set()


def test_a_cap_is_measured_by_two_people_who_agree_and_its_finder_s_is_the_reading(demo: str) -> None:
    by_finder, by_curator = Measurement.objects.filter(trait="cap_width").order_by("taken_at")
    assert by_finder.photo.find.finder == by_finder.taken_by != by_curator.taken_by
    assert by_finder.value != by_curator.value
    assert abs(by_finder.value - by_curator.value) < 2 * (by_finder.u**2 + by_curator.u**2) ** 0.5
    assert abs(by_finder.value - 80.0) < 2 * by_finder.u + 0.5
    assert by_finder.reading is not None and by_finder.reading.ended_at is None
    assert by_curator.reading is None


def test_every_held_find_has_a_reason_to_be_held(demo: str) -> None:
    for find in Find.objects.filter(status=Status.HELD):
        assert open_flags().filter(find=find).exclude(severity="note").exists(), find


def test_no_find_but_the_held_ones_has_an_open_doubt_or_stop(demo: str) -> None:
    rest = open_flags().exclude(find__status__in=[Status.HELD, Status.SENT_BACK]).exclude(severity="note")
    assert list(rest.values_list("find__collecting_code", "find__collecting_serial", "code")) == []


def test_one_find_breaks_the_house_rule_a_curator_entered(demo: str) -> None:
    rule = DocumentedRange.objects.get(entered_by__isnull=False)
    assert (rule.taxon.name, rule.trait, rule.high, rule.binding) == (
        "Trametes versicolor",
        "cap_width",
        80,
        True,
    )
    assert rule.entered_by.is_curator
    assert Flag.objects.filter(code="house_rule").values("find").distinct().count() == 1


def test_accession_numbers_run_without_a_gap_in_each_year(demo: str) -> None:
    for year in set(Voucher.objects.values_list("year", flat=True)):
        serials = sorted(Voucher.objects.filter(year=year).values_list("serial", flat=True))
        assert serials == list(range(1, len(serials) + 1))


def test_accession_numbers_follow_the_days_on_which_they_were_given(demo: str) -> None:
    given = list(Voucher.objects.order_by("accessioned_at").values_list("year", "serial"))
    assert given == sorted(given)


def test_the_register_is_whole_and_tells_of_parts_made_and_ended(demo: str) -> None:
    verified = verify_register()
    assert verified.trouble is None and verified.vouchers == Voucher.objects.count()
    kinds = set(RegisterEntry.objects.values_list("kind", flat=True))
    assert {"accession", "part made", "part ended"} <= kinds


def test_only_kept_material_is_accessioned(demo: str) -> None:
    assert not Voucher.objects.filter(find__kept=False).exists()


def test_every_photo_is_kept_whole_with_metadata_that_can_be_read(demo: str) -> None:
    for photo in Photo.objects.all():
        data = photo.original.read()
        photo.original.close()
        assert hashlib.sha256(data).hexdigest() == photo.sha256
        assert read_facts(data).warnings == ()
        assert photo.warnings == []


def test_photos_say_the_time_with_and_without_the_zone(demo: str) -> None:
    timed = Photo.objects.filter(taken_at__isnull=False)
    assert timed.filter(utc_offset_minutes__isnull=True).exists()
    assert timed.filter(utc_offset_minutes=0).exists()
    assert timed.filter(utc_offset_minutes=60).exists()


def test_one_photo_was_taken_41_km_away_and_one_by_a_camera_whose_clock_is_wrong(demo: str) -> None:
    far = Flag.objects.filter(code="photo_place_differs", find__collecting_code="ML")
    assert [round(flag.numbers["distance_m"], -3) for flag in far] == [41_000]
    assert list(
        Flag.objects.filter(code="photo_date_differs").values_list("find__collecting_code", flat=True)
    ) == ["YD"]


def test_photos_agree_with_their_find_unless_it_is_held(demo: str) -> None:
    rest = Flag.objects.filter(code__startswith="photo_").exclude(find__status=Status.HELD)
    assert list(rest) == []


def test_every_role_is_held_by_somebody_with_the_demo_password(demo: str) -> None:
    members = list(Member.objects.all())
    assert len(members) == 12
    assert {member.role for member in members} == set(Role.values)
    assert all(member.check_password(read_scene().password) for member in members)


def test_the_demo_password_would_pass_at_sign_up(demo: str) -> None:
    from django.contrib.auth.password_validation import validate_password

    for member in Member.objects.all():
        validate_password(read_scene().password, member)


def test_collecting_numbers_have_only_the_one_repeat_and_the_one_gap(demo: str) -> None:
    gaps, repeats = [], []
    for code in set(Find.objects.values_list("collecting_code", flat=True)):
        serials = sorted(
            Find.objects.filter(collecting_code=code).values_list("collecting_serial", flat=True)
        )
        repeats += [(code, serial) for serial in set(serials) if serials.count(serial) > 1]
        gaps += [
            code
            for earlier, later in pairwise(serials)
            if later - earlier > 1 + len(accounted_serials(code, earlier, later))
        ]
    assert (len(repeats), len(gaps)) == (1, 1)


def test_sensitive_taxa_are_marked_and_have_finds(demo: str) -> None:
    marked = Taxon.objects.filter(blur_step_deg__isnull=False)
    assert marked.count() == 3
    for taxon in marked:
        assert Find.objects.filter(current_determination__taxon=taxon).exists(), taxon


def test_names_come_with_doubt_as_genus_and_with_history(demo: str) -> None:
    assert Determination.objects.filter(qualifier="cf.").exists()
    assert Find.objects.filter(determinations__isnull=False).exists()
    renamed = [find for find in Find.objects.all() if find.determinations.count() > 1]
    assert renamed
    assert all(find.current_determination.determiner.is_curator for find in renamed)


def test_every_determination_with_a_known_species_is_tied_to_it(demo: str) -> None:
    untied = Determination.objects.filter(taxon__isnull=True).exclude(name_typed="")
    assert all(name.endswith(" sp.") for name in untied.values_list("name_typed", flat=True))


def test_questions_are_asked_and_some_are_answered(demo: str) -> None:
    assert Question.objects.filter(answered_at__isnull=False).exists()
    assert Find.objects.filter(status=Status.SENT_BACK).count() == (
        Question.objects.filter(answered_at__isnull=True).count()
    )


def test_nothing_happens_before_it_can(demo: str) -> None:
    for find in Find.objects.prefetch_related("changes"):
        times = [change.changed_at for change in find.changes.all()]
        assert times == sorted(times)
        assert times[0] == find.logged_at


def test_no_word_of_the_demo_reads_as_eating(demo: str) -> None:
    eating = re.compile(
        r"\b(eat|eaten|edible|ate|taste|tasty|cook|fried?|dish|delicious|recipe|tea|medicin|remed|cure|health)",
        re.IGNORECASE,
    )
    words = [
        *Find.objects.values_list("smell", "note", "locality"),
        *Question.objects.values_list("text", "answer"),
        *Change.objects.values_list("old", "new"),
        *Determination.objects.values_list("note", "basis"),
        *Reading.objects.values_list("typed"),
        *[(person,) for person in (Path(settings.FIXTURES) / "demo" / "club.json").read_text().splitlines()],
    ]
    assert [text for row in words for text in row if text and eating.search(text)] == []


def test_a_second_run_says_so_and_changes_nothing(demo: str) -> None:
    before, out = digest_of_finds(), StringIO()
    call_command("demo", stdout=out)
    assert "there already" in out.getvalue()
    assert digest_of_finds() == before


def test_who_names_one_of_each_role(demo: str) -> None:
    out = StringIO()
    call_command("demo", who=True, address="http://127.0.0.1:8123/", stdout=out)
    said = out.getvalue()
    assert "http://127.0.0.1:8123/\n" in said
    assert all(
        re.search(rf"{role} +\S+ \S+ +\S+ +{read_scene().password}", said)
        for role in ("keeper", "curator", "leader", "member")
    )


def test_the_same_seed_gives_the_same_finds_again(
    demo: str, photos: Path, tmp_path: Path, settings: Any
) -> None:
    first = digest_of_finds()
    with pytest.raises(Undo), transaction.atomic():
        empty_the_ledger()
        make(tmp_path / "again")
        assert digest_of_finds() == first
        raise Undo


def empty_the_ledger() -> None:
    """Take away all rows, in an order in which nothing is named any more."""
    from django.db.models import QuerySet

    from vouchers.register.models import RegisterHead, RegisterYear

    Find.objects.update(current_determination=None)
    StorePlace.objects.update(parent=None)
    # Rows that refuse it themselves.
    QuerySet.delete(RegisterEntry.objects.all())
    QuerySet.delete(PreparationStep.objects.all())
    for model in (
        ToldOfName,
        SentDuplicate,
        Sending,
        SamplingLeave,
        Condition,
        LoanItem,
        Loan,
        BorrowedItem,
        Borrowing,
        SeriesYear,
        Move,
        Part,
        StorePlace,
        PermitUse,
        Permit,
        DryingRun,
        RegisterHead,
        Voucher,
        RegisterYear,
        Measurement,
        Photo,
        Find,
        VoidNumber,
        NumberBlock,
        DocumentedRange,
    ):
        model.objects.all().delete()
    from ledger.forays.models import Foray
    from ledger.people.models import Invitation

    for other in (Foray, Invitation, Member, Club):
        other.objects.all().delete()
    Taxon.objects.update(blur_step_deg=None)


def test_a_ledger_of_another_club_is_refused(db: None, collector: Member) -> None:
    Club.objects.create(name="Hollin Fungus Group")
    with pytest.raises(CommandError, match=r"Hollin Fungus Group \(1 members, 0 finds\).*LEDGER_VAR"):
        call_command("demo")
    assert Member.objects.count() == 1


def test_too_few_finds_are_refused(db: None) -> None:
    with pytest.raises(CommandError, match="Ask for 30 or more"):
        call_command("demo", finds=12)


def test_without_a_reference_the_command_says_what_to_run(db: None) -> None:
    with pytest.raises(CommandError, match="load_reference"):
        call_command("demo")


def test_who_without_a_demo_says_what_to_type(db: None) -> None:
    with pytest.raises(CommandError, match=r"manage.py demo"):
        call_command("demo", who=True)


@pytest.fixture(scope="module")
def whole_plan() -> Any:
    return plan_demo(read_scene(), reference_of_files(), 300)


def test_three_hundred_finds_over_two_years_end_in_november_2026(whole_plan: Any) -> None:
    days = [find.logged_at.date() for find in whole_plan.finds]
    assert len(days) == 300
    assert (days[-1] - days[0]).days > 690
    assert (days[-1].year, days[-1].month) == (2026, 11)


def test_sixty_vouchers_are_planned(whole_plan: Any) -> None:
    assert sum(find.fate.voucher for find in whole_plan.finds) == 60


def test_the_pores_drawn_are_the_pores_counted(whole_plan: Any) -> None:
    checked = 0
    for find in whole_plan.finds:
        counted = find.readings.get("pores_per_mm")
        for photo in find.photos:
            if photo.view == "underside" and counted is not None:
                mean = (
                    sum(counted.values) / len(counted.values)
                    if counted.values
                    else (counted.low + counted.high) / 2
                )
                assert photo.spec.per_mm == pytest.approx(mean)
                checked += 1
    assert checked > 80


def test_most_finds_show_cap_and_underside(whole_plan: Any) -> None:
    both = sum({"cap", "underside"} <= {photo.view for photo in find.photos} for find in whole_plan.finds)
    assert both >= 280


def test_errors_of_phones_are_those_of_phones_under_trees(whole_plan: Any) -> None:
    # Practice of the trade: some 5 to 12 m RMS under leaves; held finds have errors that are wrong on purpose.
    errors = [
        find.record["uncertainty_m"]
        for find in whole_plan.finds
        if find.record["position_source"] in ("phone", "photo") and not find.fate.held
    ]
    assert min(errors) >= 4
    assert max(errors) <= 30


def test_brackets_are_found_in_their_months(whole_plan: Any) -> None:
    scene: Callable[[], Any] = read_scene
    for find in whole_plan.finds:
        if not find.fate.held:
            assert find.record["found_on"].month in scene().kinds[find.taxon].months


def test_no_two_drawings_are_the_same(whole_plan: Any) -> None:
    drawn = [(photo.spec, photo.seed) for find in whole_plan.finds for photo in find.photos]
    assert len(set(drawn)) == len(drawn)


def test_loans_out_and_in_an_exchange_and_a_leave_are_there_to_be_looked_at(demo: str) -> None:
    today = timezone.localdate()
    assert [row.due.state for row in rows_of(loans_out(), today)] == ["overdue", "running"]
    assert LoanItem.objects.filter(returned_at__isnull=False).count() == 1
    assert BorrowedItem.objects.here().count() == 2
    assert SentDuplicate.objects.count() == 1
    assert sorted(SamplingLeave.objects.values_list("decision", flat=True)) == ["", "granted"]


def test_the_store_the_drier_and_the_permits_have_something_in_them(demo: str) -> None:
    there = Part.objects.there()
    assert there.filter(place__isnull=False).count() > there.filter(place__isnull=True).count() > 0
    assert len(lying(order.INTO_DRIER)) == 5
    assert len(lying(order.INTO_FREEZER)) == 2
    assert PreparationStep.objects.filter(kind=order.PACKET).count() == 6
    assert PermitUse.objects.in_force().exists()


def test_a_find_has_spores_measured_one_by_one_and_its_readings_are_made_of_them(demo: str) -> None:
    row = SporeSet.objects.get()
    assert len(row.pairs) == 30 and row.is_reading
    assert not row.find.flags.filter(
        subject__in=("spore_length", "spore_width"), withdrawn_at__isnull=True
    ).exists()
