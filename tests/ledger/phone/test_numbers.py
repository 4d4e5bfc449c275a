"""Blocks of collecting numbers: no two overlap, and what comes back unused is void."""

import json
import os
import subprocess
import sys
import uuid
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from django.db import connection, transaction
from django.test import Client

from ledger.finds.forms import FindForm
from ledger.people.models import Member
from ledger.phone.models import NumberBlock, VoidNumber
from ledger.phone.numbers import NumbersRefused, accounted_serials, reserve_block, return_block, take_serial
from tests.factories import FindFactory
from tests.people import make_person

ROOT = Path(__file__).resolve().parents[3]


def test_a_block_follows_on_the_one_before(collector: Member) -> None:
    first = reserve_block(collector, holder="phone", by=collector, many=20)
    second = reserve_block(collector, holder="paper", by=collector, many=4)
    assert (first.first, first.last, second.first, second.last) == (1, 20, 21, 24)


def test_the_next_number_handed_out_lies_behind_the_block(collector: Member) -> None:
    reserve_block(collector, holder="phone", by=collector, many=20)
    collector.refresh_from_db()
    assert collector.next_serial == 21


def test_a_request_sent_twice_gets_one_block(collector: Member) -> None:
    asked = uuid.uuid4()
    blocks = [
        reserve_block(collector, holder="phone", by=collector, many=20, request_id=asked) for _ in range(2)
    ]
    collector.refresh_from_db()
    assert blocks[0] == blocks[1]
    assert (NumberBlock.objects.count(), collector.next_serial) == (1, 21)


def test_a_request_under_somebody_elses_identity_is_refused(collector: Member, stranger: Member) -> None:
    block = reserve_block(collector, holder="phone", by=collector, many=20)
    with pytest.raises(NumbersRefused, match="somebody else"):
        reserve_block(stranger, holder="phone", by=stranger, many=20, request_id=block.pk)


@pytest.mark.parametrize("many", [0, -3, 201])
def test_no_numbers_or_too_many_are_refused(collector: Member, many: int) -> None:
    with pytest.raises(NumbersRefused):
        reserve_block(collector, holder="phone", by=collector, many=many)


def test_the_end_of_the_row_is_refused_before_the_database_refuses_it(collector: Member) -> None:
    Member.objects.filter(pk=collector.pk).update(next_serial=2_147_483_640)
    with pytest.raises(NumbersRefused, match="at its end"):
        reserve_block(collector, holder="phone", by=collector, many=20)


def test_no_number_is_handed_out_that_the_form_would_refuse(collector: Member) -> None:
    Member.objects.filter(pk=collector.pk).update(next_serial=1_999_999_990)
    block = reserve_block(collector, holder="phone", by=collector, many=9)
    assert FindForm.base_fields["serial"].clean(str(block.last)) == block.last
    with pytest.raises(NumbersRefused, match="at its end"):
        reserve_block(collector, holder="phone", by=collector, many=9)


def test_unused_numbers_of_a_returned_block_are_void(collector: Member) -> None:
    block = reserve_block(collector, holder="phone", by=collector, many=5)
    FindFactory(finder=collector, collecting_code=collector.collector_code, collecting_serial=2)
    return_block(block, by=collector, used=[4])
    assert [void.serial for void in VoidNumber.objects.all()] == [1, 3, 5]


def test_a_block_returned_twice_stays_as_it_was(collector: Member) -> None:
    block = reserve_block(collector, holder="phone", by=collector, many=3)
    return_block(block, by=collector, used=[1])
    return_block(block, by=collector, used=[])
    assert [void.serial for void in VoidNumber.objects.all()] == [2, 3]


def test_somebody_elses_block_is_not_taken_back(collector: Member, stranger: Member) -> None:
    block = reserve_block(collector, holder="phone", by=collector, many=3)
    with pytest.raises(NumbersRefused, match="somebody else"):
        return_block(block, by=stranger)


def test_numbers_of_a_block_leave_no_gap(collector: Member) -> None:
    reserve_block(collector, holder="paper", by=collector, many=4)
    assert accounted_serials(collector.collector_code, 2, 9) == {3, 4}


def test_nobody_uses_up_the_row_of_another(collector: Member, stranger: Member) -> None:
    for _ in range(3):
        reserve_block(collector, holder="phone", by=stranger, many=20)
    with pytest.raises(NumbersRefused, match="60 are the most"):
        reserve_block(collector, holder="phone", by=stranger, many=1)
    assert reserve_block(collector, holder="phone", by=collector, many=20).first == 61


@pytest.mark.django_db(transaction=True)
def test_blocks_asked_for_at_one_moment_never_overlap() -> None:
    """Four processes of eight threads; 96 blocks of 1 to 20 numbers."""
    member = make_person("collector")
    wanted = [1 + number % 20 for number in range(96)]
    bursts = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.ledger.phone.number_burst"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
        )
        for _ in range(4)
    ]
    for start, burst in enumerate(bursts):
        assert burst.stdin is not None
        asked = {
            "database": str(connection.settings_dict["NAME"]),
            "member": member.pk,
            "threads": 8,
            "wanted": wanted[start::4],
        }
        burst.stdin.write(json.dumps(asked))
        burst.stdin.close()
        burst.stdin = None
    answers = [burst.communicate(timeout=300) for burst in bursts]
    assert [burst.returncode for burst in bursts] == [0] * 4, [error for _, error in answers]
    given = [range(first, last + 1) for out, _ in answers for first, last in json.loads(out)]
    assert sorted(serial for block in given for serial in block) == list(range(1, sum(wanted) + 1))


def test_a_request_sent_again_at_the_day_s_limit_still_gets_its_block(
    collector: Member, stranger: Member
) -> None:
    asked = [uuid.uuid4() for _ in range(3)]
    blocks = [_of_another(collector, stranger, request) for request in asked]
    assert _of_another(collector, stranger, asked[2]) == blocks[2]


def test_a_request_sent_again_at_the_end_of_the_row_still_gets_its_block(collector: Member) -> None:
    Member.objects.filter(pk=collector.pk).update(next_serial=1_999_999_990)
    asked = uuid.uuid4()
    blocks = [
        reserve_block(collector, holder="phone", by=collector, many=9, request_id=asked) for _ in range(2)
    ]
    assert blocks[0] == blocks[1]


def test_numbers_of_a_finder_who_is_gone_are_refused_in_words(collector: Member, stranger: Member) -> None:
    gone = Member(pk=stranger.pk + 1000, full_name="Nobody", collector_code="NB")
    with pytest.raises(NumbersRefused, match="no member any longer"):
        reserve_block(gone, holder="phone", by=collector, many=20)


def _of_another(member: Member, by: Member, request_id: uuid.UUID) -> NumberBlock:
    return reserve_block(member, holder="phone", by=by, many=20, request_id=request_id)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("of_another", [False, True])
def test_one_request_sent_many_times_at_one_moment_gets_one_block(
    of_another: bool, browser_of: Callable[[Member], Client]
) -> None:
    by, finder = make_person("stranger"), make_person("collector")
    asked = {"request": str(uuid.uuid4()), "member": finder.pk if of_another else None, "wanted": 20}
    browsers = [browser_of(by) for _ in range(8)]

    def send(browser: Client) -> tuple[int, str]:
        try:
            answer = browser.post("/phone/numbers", asked, content_type="application/json")
            return answer.status_code, answer.content.decode()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(browsers)) as pool:
        answers = [answer for _ in range(4) for answer in pool.map(send, browsers)]
    assert {status for status, _ in answers} == {200}, answers
    assert len(set(answers)) == 1
    assert NumberBlock.objects.count() == 1


def test_a_number_that_somebody_else_types_does_not_move_the_finder_s_row(
    collector: Member, stranger: Member
) -> None:
    reserve_block(collector, holder="phone", by=collector, many=2)
    with transaction.atomic():
        assert take_serial(collector, 9_000, by=stranger) == 9_000
    assert Member.objects.get(pk=collector.pk).next_serial == 3


def test_the_row_passes_over_numbers_that_finds_have(collector: Member) -> None:
    for serial in (1, 2, 5):
        FindFactory(finder=collector, collecting_serial=serial)
    assert take_serial(collector, None, by=collector) == 3
    block = reserve_block(collector, holder="phone", by=collector, many=4)
    assert (block.first, block.last) == (6, 9)
    assert take_serial(collector, None, by=collector) == 10


def test_the_row_passes_over_more_numbers_than_are_looked_through_at_once(
    collector: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("ledger.phone.numbers._LOOKED_THROUGH", 3)
    for serial in range(1, 12):
        FindFactory(finder=collector, collecting_serial=serial)
    assert take_serial(collector, None, by=collector) == 12


@pytest.mark.parametrize("serial", [10_012, 2_000_000_000])
def test_a_number_far_ahead_of_the_own_row_is_asked_back(collector: Member, serial: int) -> None:
    Member.objects.filter(pk=collector.pk).update(next_serial=11)
    with (
        pytest.raises(NumbersRefused, match=r"far ahead .* next collecting number, AT 11"),
        transaction.atomic(),
    ):
        take_serial(collector, serial, by=collector)
    assert Member.objects.get(pk=collector.pk).next_serial == 11


def test_a_row_kept_on_paper_for_a_lifetime_goes_on_with_its_first_number(collector: Member) -> None:
    with transaction.atomic():
        take_serial(collector, 34_567, by=collector)
    assert take_serial(collector, None, by=collector) == 34_568


def test_no_number_beyond_the_end_of_the_row_is_given_to_a_find(collector: Member) -> None:
    Member.objects.filter(pk=collector.pk).update(next_serial=1_999_999_999)
    assert take_serial(collector, None, by=collector) == 1_999_999_999
    with pytest.raises(NumbersRefused, match="at its end"):
        take_serial(collector, None, by=collector)
