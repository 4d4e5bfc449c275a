"""Flags are kept in English and said in the language of whoever reads them."""

from collections.abc import Iterator

import pytest

from ledger.bench.models import Flag
from ledger.finds import actions
from ledger.finds.flagging import recheck
from ledger.finds.models import Find
from ledger.people.models import Member
from tests.factories import FlagFactory
from tests.ledger.finds.making import TWELVE, entry, numbers
from tests.speaking import in_brackets

pytestmark = pytest.mark.django_db


@pytest.fixture
def find(reference: object, collector: Member) -> Iterator[Find]:
    """Logged by somebody who reads another language, with readings that raise flags."""
    with in_brackets():
        yield actions.log_find(entry(*TWELVE, numbers("cap_width", 900.0)), by=collector)


def _told(find: Find) -> list[tuple[str, object, str]]:
    return [
        (flag.sentence, flag.numbers, flag.fingerprint) for flag in find.flags.order_by("code", "subject")
    ]


def test_a_flag_is_kept_as_it_is_in_english_whoever_logged_the_find(find: Find) -> None:
    told = _told(find)
    assert told and "⟦" not in str(told)


def test_a_flag_is_read_in_the_reader_s_language(find: Find) -> None:
    flags = list(Flag.objects.filter(find=find))
    assert [flag.in_words.english for flag in flags] == [flag.sentence for flag in flags]
    assert all(flag.in_words.startswith("⟦") for flag in flags)


def test_the_words_within_a_flag_are_in_that_language_too(find: Find) -> None:
    flag = find.flags.filter(subject="cap_width").first()
    assert flag is not None and "⟦Cap width, along the wood⟧" in flag.in_words


def test_checked_by_somebody_of_another_language_nothing_is_raised_anew(find: Find) -> None:
    before = _told(find)
    assert (recheck(find), _told(find)) == ((), before)


def test_a_flag_of_before_is_shown_as_it_was_written() -> None:
    flag = FlagFactory(sentence="The cap is too wide.", said={})
    with in_brackets():
        assert flag.in_words == "The cap is too wide."
