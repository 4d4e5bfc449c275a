"""Days on pages: in the ledger's own time and in the reader's language."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from django.template import engines
from django.utils import timezone, translation

from ledger.days import short_day_text

EVENING = datetime(2026, 10, 3, 18, 0, tzinfo=UTC)


def shown(form: str, value: object) -> str:
    page = engines["django"].from_string('{{ value|date:"' + form + '" }}')
    return str(page.render({"value": value}))


@pytest.mark.parametrize(
    ("language", "said"), [("en-gb", "4 Oct 2026, 05:00"), ("de", "4. Okt. 2026, 05:00")]
)
def test_a_moment_is_told_in_the_ledgers_own_time(language: str, said: str) -> None:
    with timezone.override(ZoneInfo("Australia/Sydney")), translation.override(language):
        assert shown("j M Y, H:i", EVENING) == said


@pytest.mark.parametrize("month", range(1, 13))
@pytest.mark.parametrize("language", ["en-gb", "de"])
def test_a_page_and_a_sentence_shorten_a_month_alike(language: str, month: int) -> None:
    day = date(2026, month, 3)
    with translation.override(language):
        assert shown("j M Y", day) == short_day_text(day)


def test_where_there_is_no_day_there_is_nothing() -> None:
    with translation.override("de"):
        assert shown("j M Y", None) == ""
