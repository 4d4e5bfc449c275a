"""The register is proved, and whoever alters a row behind the ledger's back is betrayed by its entry."""

import io
import json
from datetime import UTC, datetime

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from ledger.people.models import Member
from tests.factories import FindFactory
from vouchers.parts.actions import end_part, make_part
from vouchers.register.actions import accession, deaccession
from vouchers.register.models import RegisterEntry, RegisterHead, Voucher

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


@pytest.fixture
def register(curator: Member) -> list[Voucher]:
    """Seven entries: four accessions, a slide made and ended, a deaccession."""
    vouchers = [accession(FindFactory().pk, by=curator, now=NOW) for _ in range(3)]
    slide = make_part(vouchers[0].pk, "slide", note="tubes in Melzer", by=curator, now=NOW)
    end_part(slide.pk, why="the cover glass broke", by=curator, now=NOW)
    words = "Eaten by beetles in the drawer by the window."
    deaccession(vouchers[1].pk, reason="spoiled", words=words, by=curator, now=NOW)
    return [*vouchers, accession(FindFactory().pk, by=curator, now=NOW)]


def run(*given: str) -> str:
    out = io.StringIO()
    call_command("verify_register", *given, stdout=out)
    return out.getvalue()


def refused(*given: str) -> CommandError:
    with pytest.raises(CommandError) as caught:
        run(*given)
    return caught.value


def sql(statement: str, *values: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def test_an_untouched_register_is_whole(register: list[Voucher]) -> None:
    assert run().startswith("The register is whole: 7 entries, 4 vouchers.")


def test_an_empty_register_is_whole(db: None) -> None:
    assert "0 entries, 0 vouchers" in run()


def test_one_altered_byte_names_the_entry(register: list[Voucher]) -> None:
    body = RegisterEntry.objects.get(pk=4).body.replace("Melzer", "Melzir")
    sql("update vouchers_registerentry set body = %s where number = 4", body)
    refusal = refused()
    assert "Entry 4 (BL 2026-0001) is bad." in str(refusal)
    assert refusal.returncode == 1


@pytest.mark.parametrize("number", range(1, 8))
def test_a_removed_row_is_named(register: list[Voucher], number: int) -> None:
    sql("delete from vouchers_registerentry where number = %s", number)
    assert f"Entry {number} is bad. It is missing" in str(refused())


def test_two_rows_swapped_name_the_first(register: list[Voucher]) -> None:
    for old, new in ((3, 99), (6, 3), (99, 6)):
        sql("update vouchers_registerentry set number = %s where number = %s", new, old)
    assert "Entry 3 (BL 2026-0002) is bad. It holds what was written as entry 6." in str(refused())


def test_a_last_row_removed_is_missed_even_where_the_head_was_set_back(register: list[Voucher]) -> None:
    sql("delete from vouchers_registerentry where number = 7")
    sql("update vouchers_registerhead set count = 6, digest = %s", RegisterEntry.objects.get(pk=6).digest)
    assert "Entry 7 (BL 2026-0004) is bad. It is missing: the voucher is there" in str(refused())


def test_a_deaccession_undone_behind_its_back_names_that_entry(register: list[Voucher]) -> None:
    sql("update vouchers_voucher set deaccessioned_at = null where serial = 2")
    assert "Entry 6 (BL 2026-0002) is bad." in str(refused())


def test_a_voucher_given_to_another_find_is_named(register: list[Voucher]) -> None:
    sql("update vouchers_voucher set find_id = %s where serial = 3", _as_stored(FindFactory().pk))
    assert "Entry 3 (BL 2026-0003) is bad. The voucher is of another find" in str(refused())


def test_a_part_that_no_entry_tells_of_is_named(register: list[Voucher], curator: Member) -> None:
    register[2].parts.create(kind="slide", suffix="S1", made_at=NOW, made_by=curator)
    assert "The part BL 2026-0003 S1 is there, and no entry tells of it." in str(refused())


def test_a_counter_set_forward_leaves_a_gap_that_is_named(register: list[Voucher]) -> None:
    sql("update vouchers_registeryear set last_serial = 5")
    assert "number 5 of BL 2026 was given; no entry tells." in str(refused())


def test_a_register_that_grew_agrees_with_the_book_printed_before(
    register: list[Voucher], curator: Member
) -> None:
    head = RegisterHead.objects.get()
    accession(FindFactory().pk, by=curator, now=NOW)
    assert "whole" in run("--printed", "7", head.digest[:8].upper(), head.digest[8:20])


def test_a_register_made_anew_does_not_agree_with_the_printed_book(register: list[Voucher]) -> None:
    assert "Entry 7 is bad. Its digest is not that of the printed book" in str(
        refused("--printed", "7", "0" * 64)
    )


def test_an_entry_of_the_printed_book_that_is_gone_is_named(register: list[Voucher]) -> None:
    assert "Entry 9 is bad. It stands in the printed book" in str(refused("--printed", "9", "0" * 64))


@pytest.mark.parametrize(
    "typed", [["7"], ["0", "12345678"], ["seven", "12345678"], ["7", "1234567"], ["7", "xyz" * 9]]
)
def test_a_paper_that_cannot_be_read_is_refused(register: list[Voucher], typed: list[str]) -> None:
    refusal = refused("--printed", *typed)
    assert refusal.returncode == 2
    assert "Nothing was verified" in str(refusal)


def test_a_machine_reads_it_as_json(register: list[Voucher]) -> None:
    answer = json.loads(run("--json"))
    assert (answer["whole"], answer["entries"], answer["first_bad"]) == (True, 7, None)
    assert answer["head"] == {"entry": 7, "digest": RegisterHead.objects.get().digest}


def test_a_machine_reads_of_the_first_bad_entry(register: list[Voucher]) -> None:
    sql("update vouchers_registerentry set kind = 'split' where number = 5")
    out = io.StringIO()
    with pytest.raises(CommandError):
        call_command("verify_register", "--json", stdout=out)
    bad = json.loads(out.getvalue())["first_bad"]
    assert (bad["entry"], bad["accession_number"]) == (5, "BL 2026-0001")


def _as_stored(value: object) -> object:
    return str(value).replace("-", "") if connection.vendor == "sqlite" else value
