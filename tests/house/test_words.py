"""The catalogues of the other languages are whole, and what is read of them is what the parts give."""

import json
import re
from functools import lru_cache
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.utils import translation

from ledger.translations import compiled, report
from ledger.translations.found import Message, all_messages
from ledger.translations.parts import Entry, read_parts

ROOT = Path(settings.ROOT)
LANGUAGES = settings.TRANSLATED_INTO
KINDS = (report.MISSING, report.STALE, report.DOUBLED, report.FUZZY, report.DIFFERS)
# No screen says or implies that a fungus may be eaten or does one good.
EATING_AND_HEALING = re.compile(
    r"essbar|eßbar|speisepilz|genieß|schmackhaft|köstlich|lecker|wohlschmeck|kochen|gekocht|braten|gebraten|rezept|küche|mahlzeit|"
    r"heilpilz|heilkraft|heilsam|heilwirk|heilmittel|vitalpilz|arznei|medizin|gesundheitsf|bekömmlich|verträglich|\bimmun|\btee\b",
    re.IGNORECASE,
)


@lru_cache(maxsize=1)
def _messages() -> tuple[Message, ...]:
    return tuple(all_messages(ROOT))


@lru_cache(maxsize=8)
def _entries(language: str) -> tuple[Entry, ...]:
    return tuple(read_parts(_folder(language)))


def _folder(language: str) -> Path:
    return ROOT / "ledger" / "locale" / language


def _problems(language: str) -> list[report.Problem]:
    return [
        *report.problems_of(_messages(), _entries(language)),
        *report.doubles_of(_folder(language)),
    ]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_sentence_is(language: str, kind: str) -> None:
    """Each told: `manage.py words` tells the same, with the place."""
    assert [(one.text, one.where) for one in _problems(language) if one.kind == kind] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_python_reads_is_what_the_parts_give(language: str) -> None:
    """Stale: run manage.py words --compile."""
    assert compiled.mo_file(_folder(language)).read_bytes() == compiled.mo_bytes(_entries(language), language)


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_the_browser_reads_is_what_the_parts_give(language: str) -> None:
    """Stale: run manage.py words --compile."""
    wanted = {message.key for message in _messages() if message.script}
    text = compiled.script_file(ROOT, language).read_text(encoding="utf-8")
    assert text == compiled.script_text(_entries(language), wanted)
    assert json.loads(text.removeprefix("globalThis.ledgerWords = ").removesuffix(";\n"))


def test_english_is_said_as_it_stands() -> None:
    with translation.override("en-gb"):
        texts = {message.text for message in _messages() if message.text}
        assert [text for text in texts if translation.gettext(text) != text] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_is_what_the_catalogue_of_the_language_answers(language: str) -> None:
    entry = next(one for one in _entries(language) if not one.plural and not one.is_missing)
    with translation.override(language):
        assert translation.gettext(entry.text) == entry.said[0]


def test_no_german_sentence_says_that_anything_may_be_eaten_or_heals() -> None:
    spoken = [
        (entry.text, said)
        for entry in _entries("de")
        for said in entry.said
        if EATING_AND_HEALING.search(said)
    ]
    assert spoken == []


def test_a_german_sentence_speaks_of_eating_only_where_the_english_one_does() -> None:
    more = [
        (entry.text, said)
        for entry in _entries("de")
        for said in entry.said
        if re.search(r"\b(essen|isst|gegessen|verzehr\w*)\b", said, re.IGNORECASE)
        and not re.search(r"\b(eat|eating|eaten|eats)\b", entry.text, re.IGNORECASE)
    ]
    assert more == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_an_attribute_of_a_page_is_not_ended_by_a_quotation_mark(language: str) -> None:
    """Templates put the text of a translation in without escaping it, in attributes too."""
    in_templates = {message.text for message in _messages() if message.place.startswith("templates/")}
    wrong = [
        (entry.text, said)
        for entry in _entries(language)
        for said in entry.said
        if entry.text in in_templates and said.count('"') != entry.text.count('"')
    ]
    assert wrong == []


def test_a_part_there_is_not_is_refused_and_the_parts_are_named() -> None:
    with pytest.raises(CommandError, match=r"no part 'finders'.*base, bench") as refused:
        call_command("words", "--area", "finders")
    assert refused.value.returncode == 2
