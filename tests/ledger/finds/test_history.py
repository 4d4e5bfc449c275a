"""A line of the history: its row holds English, the page the language of its reader, whoever wrote it."""

from datetime import date, time
from typing import Any

import pytest
from django.utils import timezone, translation

from ledger.finds.entries import ReadingEntry, reading_text
from ledger.finds.history import record_change, told_of_form
from ledger.finds.models import Change, Find
from ledger.people.models import Member
from ledger.taxa.queries import vocabulary
from ledger.words import english_of, later
from tests.factories import FindFactory

pytestmark = pytest.mark.django_db


def entry(trait: str, **given: Any) -> ReadingEntry:
    return ReadingEntry(trait=trait, **given)


MANY = tuple(9.0 + step / 10 for step in range(21))
READ = [
    (entry("cap_surface", states=("crusted",), state="fresh"), "crusted, fresh", "krustig, frisch"),
    (
        entry("underside", states=("smooth", "pores")),
        "pores, smooth",
        "Poren, glatt",
    ),
    (
        entry("pores_per_mm", low=4.0, high=5.0, n=3, unit="1/mm", state="fresh"),
        "4–5 per mm (n = 3), fresh",
        "4–5 je mm (n = 3), frisch",
    ),
    (entry("cap_width", values=(58.0, 61.0), unit="mm"), "58, 61 mm", "58, 61 mm"),
    (
        entry("spore_length", values=MANY, unit="um"),
        "9–11 µm, mean 10.00 (n = 21)",
        "9–11 µm, Mittel 10.00 (n = 21)",
    ),
    (entry("cap_width", looked="cannot say"), "cannot say", "nicht zu erkennen"),
]


@pytest.mark.parametrize("language", ["en-gb", "de"])
@pytest.mark.parametrize(("reading", "english", "german"), READ)
def test_a_reading_is_on_record_in_english_and_told_in_the_readers_language(
    reading: ReadingEntry, english: str, german: str, language: str, collector: Member
) -> None:
    with translation.override(language):
        text = reading_text(reading, vocabulary().traits[reading.trait])
        line = recorded(f"reading {reading.trait}", text, collector)
    assert line.new == english
    assert shown(line) == (english, german)


@pytest.mark.parametrize(
    ("field", "value", "english", "german"),
    [
        ("kept", True, "yes", "ja"),
        ("keyed_at_table", False, "no", "nein"),
        ("specimen_state", "fresh", "fresh", "frisch"),
        ("host", "fresh", "fresh", "fresh"),  # typed by somebody, not chosen
        ("note", later("yes"), "yes", "ja"),
        ("latitude", 51.2345, "51.2345", "51.2345"),
        ("found_at_time", time(9, 5), "09:05", "09:05"),
        ("found_on", date(2026, 10, 3), "2026-10-03", "2026-10-03"),
        ("fruit_bodies", 0, "0", "0"),
        ("fruit_bodies", None, "", ""),
        ("note", "", "", ""),
    ],
)
def test_a_value_is_told_in_the_readers_language_where_its_words_are_ours(
    field: str, value: object, english: str, german: str, collector: Member
) -> None:
    with translation.override("de"):
        line = recorded(field, value, collector)
    assert line.new == english
    assert shown(line) == (english, german)


def test_a_row_without_what_it_is_made_of_is_told_as_it_stands(collector: Member) -> None:
    line = Change(find=FindFactory(finder=collector), field="kept", old="no", new="yes", by=collector)
    assert shown(line) == ("yes", "yes")


def test_what_a_form_says_is_told_as_the_history_tells_it(collector: Member) -> None:
    with translation.override("de"):
        told = told_of_form({"kept": True}, "Trametes", [READ[0][0]])
        assert told == {"kept": "ja", "name": "Trametes", "reading cap_surface": "krustig, frisch"}
    assert {field: english_of(text) for field, text in told.items()} == {
        "kept": "yes",
        "name": "Trametes",
        "reading cap_surface": "crusted, fresh",
    }


def test_each_state_has_its_word_in_the_history_in_english_as_its_code_is_written() -> None:
    unlike = [
        (trait.code, state.code)
        for trait in vocabulary().traits.values()
        for state in trait.states
        if english_of(reading_text(entry(trait.code, states=(state.code,)), trait)) != state.code
    ]
    assert unlike == [("margin_colour", "as cap")]  # on record it is "as the cap"


def recorded(field: str, new: object, by: Member) -> Change:
    find: Find = FindFactory(finder=by)
    record_change(find, field=field, old=None, new=new, by=by, now=timezone.now())
    return find.changes.get(field=field)


def shown(line: Change) -> tuple[str, str]:
    with translation.override("en-gb"):
        english = str(line.new_shown)
    with translation.override("de"):
        return english, str(line.new_shown)
