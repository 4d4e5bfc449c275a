"""What a settled difference says: its row holds English, the page the reader's language."""

from datetime import date

import pytest
from django.utils import translation

from ledger.days import day_text
from vouchers.stocktake.said import said_again

TOLD = {
    "Not seen. On record in Cupboard › Box 2.": "Nicht gesehen. Verzeichnet in Cupboard › Box 2.",
    "Seen in Box 1 and in Box 2. On record in Box 3.": "Gesehen in Box 1 und in Box 2. Verzeichnet in Box 3.",
    "No code of this collection. Seen in Box 2.": "Kein Code dieser Sammlung. Gesehen in Box 2.",
    "Seen in Box 1. On record it is on loan L2026-001 to A Herbarium, due 26 October 2026.": (
        "Gesehen in Box 1. Verzeichnet ist: verliehen an A Herbarium (Leihe L2026-001), fällig am 26. Oktober 2026."
    ),
    "Put by in words of another day.": "Put by in words of another day.",
}


@pytest.mark.parametrize("english", TOLD)
def test_a_settled_difference_is_told_in_the_readers_language(english: str) -> None:
    with translation.override("de"):
        assert said_again(english) == TOLD[english]
    with translation.override("en-gb"):
        assert said_again(english) == english


def test_a_day_comes_back_as_the_same_day() -> None:
    ended = f"Seen in Box 1. On record it ended on {day_text(date(2025, 10, 3))}."
    with translation.override("de"):
        assert said_again(ended).endswith("3. Oktober 2025.")
