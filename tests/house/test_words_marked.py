"""What a person reads is marked to be said in another language."""

from pathlib import Path

import pytest

from tests.house.unmarked_code import by_file
from tests.house.unmarked_templates import ROOT, templates, unmarked_in


@pytest.mark.parametrize("file", templates(), ids=lambda file: file.relative_to(ROOT).as_posix())
def test_a_template_has_no_words_beside_what_is_marked(file: Path) -> None:
    assert list(unmarked_in(file.read_text(encoding="utf-8"))) == []


def test_a_module_or_script_has_no_more_sentences_beside_what_is_marked_than_stand_there_on_purpose() -> None:
    lines = (ROOT / "tests/house/unmarked_on_purpose.txt").read_text(encoding="utf-8").splitlines()
    on_purpose = {place: int(n) for n, place in (line.split() for line in lines if line and line[0] != "#")}
    found = by_file()
    assert {place: found[place] for place in found if len(found[place]) != on_purpose.get(place, 0)} == {}
    assert on_purpose.keys() <= found.keys()


@pytest.mark.parametrize(
    "source",
    [
        "<p>Finds</p>",
        '<p aria-label="Finds"></p>',
        "{% if n %}none yet{% endif %}",
        '<input type="submit" value="Keep">',
        '<p>{% translate "Finds" %} of {{ name }}</p>',
    ],
)
def test_words_beside_what_is_marked_are_found(source: str) -> None:
    assert list(unmarked_in(source)) != []


def test_what_is_marked_and_what_is_no_word_counts_as_said() -> None:
    source = (
        '<p class="soft">{% blocktranslate trimmed with n=n %}{{ n }} finds{% endblocktranslate %} · 5 mm '
        '{# a note #}{% translate "Keep" %}<button name="do" value="keep">{{ word|said }}</button></p>'
    )
    assert list(unmarked_in(source)) == []
