"""Words as they are compared."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.search.fold import LONGEST_WORD, fold, words_of


@pytest.mark.parametrize(
    ("text", "folded"),
    [("Łódź", "lodz"), ("łąka", "laka"), ("Søren", "soren"), ("Straße", "strasse"), ("Œuvre", "oeuvre"), ("İzmir", "izmir"),
     ("dryad’s", "dryads"), ("Đorđe", "dorde"), ("Ǿ", "o"), ("ﬁr", "fir"), ("Þór", "thor")],
)  # fmt: skip
def test_letters_lose_stroke_and_accent(text: str, folded: str) -> None:
    assert fold(text) == folded


@given(st.text())
def test_folding_twice_changes_nothing(text: str) -> None:
    assert fold(fold(text)) == fold(text)


@given(st.text())
def test_capitals_make_no_difference_to_latin_words(text: str) -> None:
    plain = "".join(letter for letter in text if letter.isascii())
    assert words_of(plain.upper()) == words_of(plain.lower())


@given(st.text())
def test_a_word_is_short_and_holds_no_blank(text: str) -> None:
    assert all(0 < len(word) <= LONGEST_WORD and not word.isspace() for word in words_of(text))
