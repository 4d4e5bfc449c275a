"""Parts of the sentences that the list of finds tells of a search."""

from types import SimpleNamespace

import pytest
from django.utils import translation

from ledger.templatetags.phrases import phrases_told, ways_offered, words_quoted


@pytest.mark.parametrize(
    ("phrases", "said"),
    [(["a"], "[a]"), (["a", "b"], "[a], and [b]"), (["a", "b", "c"], "[a], [b], and [c]")],
)
def test_phrases_stand_one_after_another_each_kept_together(phrases: list[str], said: str) -> None:
    told = phrases_told(phrases)
    assert told.replace('<span class="list-of__phrase">', "[").replace("</span>", "]") == said


def test_what_was_typed_is_no_html() -> None:
    assert "<b>" not in phrases_told(["<b>"]) + ways_offered([("q", "<b>", False)])


def test_words_stand_in_quotes_of_the_language() -> None:
    terms = [SimpleNamespace(word="birch"), SimpleNamespace(word="Hollin")]
    assert words_quoted(terms) == "“birch”, “Hollin”"
    with translation.override("de"):
        assert words_quoted(terms) == "„birch“, „Hollin“"


def test_a_way_to_a_name_is_in_italics_and_to_a_word_in_quotes() -> None:
    ways = [("q=1&show=held", "Stereum", True), ("q=2", "birch", False)]
    assert (
        ways_offered(ways) == '<a href="?q=1&amp;show=held"><i>Stereum</i></a> or <a href="?q=2">“birch”</a>'
    )
