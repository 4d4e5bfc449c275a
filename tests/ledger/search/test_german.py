"""Days and states as German speakers type them, and what the box says back to them."""

from datetime import date

import pytest
from django.utils import translation

from ledger.search.days import read_days
from ledger.search.known import Known, Person
from ledger.search.words import understand

TODAY = date(2026, 11, 26)
KNOWN = Known(
    today=TODAY,
    people=(Person(1, "Ada Thorne", "AT"), Person(2, "Anna Herbst", "AM"), Person(3, "Ute von Berg", "IM")),
)


@pytest.mark.parametrize(
    ("typed", "english"),
    [
        ("vor 2024", "before 2024"),
        ("vor dem 3.10.2026", "before 3.10.2026"),
        ("nach dem 3. Oktober 2026", "after 3 October 2026"),
        ("seit März 2025", "since March 2025"),
        ("bis 2020", "until 2020"),
        ("Oktober", "October"),
        ("Okt. 2026", "Oct 2026"),
        ("im Mai 2025", "May 2025"),
        ("am 3. Dez 2025", "3 Dec 2025"),
        ("am Montag", "Monday"),
        ("Mai bis Juli", "May to July"),
        ("vom 3. bis 5. Oktober 2026", "3 to 5 October 2026"),
        ("zwischen Jänner 2025 und Februar 2026", "between January 2025 and February 2026"),
        ("heute", "today"),
        ("gestern", "yesterday"),
        ("vor 2 Wochen", "2 weeks ago"),
        ("vor 1 Jahr", "1 year ago"),
        ("letzte Woche", "last week"),
        ("letztes Wochenende", "last weekend"),
        ("diesen Monat", "this month"),
        ("letzten Herbst", "last autumn"),
        ("Frühjahr 2025", "spring 2025"),
    ],
)
def test_days_in_german_are_those_of_the_same_words_in_english(typed: str, english: str) -> None:
    when = read_days(typed, TODAY)
    assert when is not None
    assert when == read_days(english, TODAY)


@pytest.mark.parametrize("typed", ["Herbst", "Sommer", "vor Hollin", "im", "am", "nach", "bis morgen"])
def test_what_may_be_a_name_or_is_no_day_is_none(typed: str) -> None:
    assert read_days(typed, TODAY) is None


@pytest.mark.parametrize("typed", ["AM 2024", "IM 2024"])
def test_a_collectors_code_that_is_a_german_word_stays_one(typed: str) -> None:
    assert understand(typed, KNOWN).said == [f"collecting number {typed}"]


def test_a_name_with_a_german_word_in_it_stays_one() -> None:
    assert understand("Anna Herbst", KNOWN).said == ["found by Anna Herbst"]
    assert understand("Ute von Berg", KNOWN).said == ["found by Ute von Berg"]


@pytest.mark.parametrize(
    ("typed", "english"),
    [
        ("angehalten", "held"),
        ("geklärt", "settled"),
        ("zurückgegeben", "sent back"),
        ("meine Funde", "mine"),
        ("ohne Namen", "unnamed"),
        ("ohne Tag", "undated"),
        ("mit Hinweis", "flagged"),
        ("geklärt mit Hinweis seit 2025", "settled flagged since 2025"),
        ("bei Hollin Wood Oktober 2026", "at Hollin Wood October 2026"),
    ],
)
def test_states_and_small_words_in_german_mean_the_same(typed: str, english: str) -> None:
    assert understand(typed, KNOWN).terms == understand(english, KNOWN).terms


def test_what_was_understood_is_said_in_the_readers_language() -> None:
    with translation.override("de"):
        understood = understand("vor 2024 AT 5 held", KNOWN)
        assert [str(phrase) for phrase in understood.phrases] == [
            "gefunden vor dem 1. Januar 2024",
            "Sammelnummer AT 5",
            "angehalten",
        ]
