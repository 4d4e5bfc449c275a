"""Sentences in the reader's language, without a catalogue and with one of a few sentences."""

import json
import pickle
from collections.abc import Iterator

import pytest

from ledger import words
from ledger.words import (
    Said,
    capital,
    each_in_english,
    english_of,
    in_english,
    kept_of,
    later,
    lowered,
    say,
    say_again,
    say_n,
    together,
)

GERMAN = {
    "{n} vouchers stand in {place}.": "In {place} stehen {n} Belege.",
    "{n:,} codes": "{n:,} Kennungen",
    "the cold room": "der Kühlraum",
    "{x:.1f} mm": "{x:.1f} mm breit",
    "It is {name}.": "Es ist {nonsense}.",
    "Held": "Zurückgestellt",
    "Cap width": "Hutbreite",
    "{what} is outside.": "{what} liegt außerhalb.",
    "Braces {": "Klammern {",
}


def _many(one: str, many: str, n: int) -> str:
    german = {"{n} find": "{n} Fund", "{n} finds": "{n} Funde"}
    text = one if n == 1 else many
    return german.get(text, text)


@pytest.fixture
def german() -> Iterator[None]:
    before = words._gettext, words._ngettext, words._language
    words.use(lambda message: GERMAN.get(message, message), _many)
    yield
    words.use(*before)


def test_without_a_translation_the_sentence_is_english() -> None:
    assert say("{n} boxes are full.", n=3) == "3 boxes are full."


def test_a_sentence_comes_out_in_the_readers_language(german: None) -> None:
    assert say("{n} vouchers stand in {place}.", n=3, place="A 1") == "In A 1 stehen 3 Belege."


def test_a_sentence_knows_its_english(german: None) -> None:
    assert say("{n} vouchers stand in {place}.", n=3, place="A 1").english == "3 vouchers stand in A 1."


def test_a_said_value_is_said_in_the_same_language_on_both_sides(german: None) -> None:
    said = say("{n} vouchers stand in {place}.", n=3, place=say("the cold room"))
    assert (said, said.english) == (
        "In der Kühlraum stehen 3 Belege.",
        "3 vouchers stand in the cold room.",
    )


def test_a_word_of_a_table_is_said_in_the_sentence_of_the_reader(german: None) -> None:
    said = say("{n} vouchers stand in {place}.", n=3, place=later("the cold room"))
    assert (said, said.english) == (
        "In der Kühlraum stehen 3 Belege.",
        "3 vouchers stand in the cold room.",
    )


def test_kept_texts_are_kept_by_the_words_they_were_said_with(german: None) -> None:
    with in_english():
        english = words.tongue()
        assert words.tongue() == english
    assert words.tongue() == words.tongue() != english


def test_a_count_is_said_by_its_number(german: None) -> None:
    assert [say_n("{n} find", "{n} finds", n) for n in (0, 1, 2)] == ["0 Funde", "1 Fund", "2 Funde"]


def test_a_translation_with_a_placeholder_of_its_own_gives_the_english_sentence(german: None) -> None:
    assert say("It is {name}.", name="Trametes") == "It is Trametes."


def test_a_sentence_without_values_may_hold_a_brace(german: None) -> None:
    assert say("Braces {") == "Klammern {"


def test_what_was_kept_as_json_is_said_again_in_another_language(
    german: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    with in_english():
        said = say("{n} vouchers stand in {place}.", n=3, place=say("the cold room"))
    kept = json.loads(json.dumps(said.kept()))
    assert (said, say_again(kept)) == (
        "3 vouchers stand in the cold room.",
        "In der Kühlraum stehen 3 Belege.",
    )


def test_an_error_in_a_sentence_is_kept_in_english_too(german: None) -> None:
    said = say("{n} vouchers stand in {place}.", n=3, place=ValueError(say("the cold room")))
    assert said == "In der Kühlraum stehen 3 Belege."
    assert said.english == "3 vouchers stand in the cold room."
    assert say_again(json.loads(json.dumps(said.kept()))) == said


def test_an_error_of_the_system_is_told_the_same_in_both_languages(german: None) -> None:
    said = say("{n} vouchers stand in {place}.", n=3, place=OSError(2, "no such file"))
    assert said == "In [Errno 2] no such file stehen 3 Belege."
    assert said.english == "3 vouchers stand in [Errno 2] no such file."


def test_a_number_keeps_its_form_when_it_is_said_again(german: None) -> None:
    kept = json.loads(json.dumps(say("{x:.1f} mm", x=2.25).kept()))
    assert say_again(kept) == "2.2 mm breit"


def test_a_count_is_said_again(german: None) -> None:
    assert say_again(json.loads(json.dumps(say_n("{n} find", "{n} finds", 1).kept()))) == "1 Fund"


def test_thousands_stand_apart_by_a_space_where_a_comma_is_a_decimal_one(german: None) -> None:
    said = say("{n:,} codes", n=12_345)
    assert (said, said.english) == ("12\N{NARROW NO-BREAK SPACE}345 Kennungen", "12,345 codes")


def test_several_sentences_are_kept_as_one(german: None) -> None:
    both = together([say("Held"), "by A. Turner", say_n("{n} find", "{n} finds", 2)], ", ")
    assert (both, both.english, say_again(json.loads(json.dumps(both.kept())))) == (
        "Zurückgestellt, by A. Turner, 2 Funde",
        "Held, by A. Turner, 2 finds",
        "Zurückgestellt, by A. Turner, 2 Funde",
    )


def test_a_noun_within_a_sentence_is_small_in_english_alone(german: None) -> None:
    said = lowered("Cap width")
    assert (said, said.english, lowered("Pores")) == ("Hutbreite", "cap width", "pores")


def test_a_noun_that_is_the_same_in_both_languages_keeps_its_capital(german: None) -> None:
    words.use(words._gettext, words._ngettext, lambda: "de")
    assert (lowered("Institution"), lowered("Institution").english) == ("Institution", "institution")


def test_letters_that_were_changed_are_changed_when_it_is_said_again(german: None) -> None:
    with in_english():
        said = capital(say("{what} is outside.", what=lowered("Pores")))
    again = say_again(json.loads(json.dumps(said.kept())))
    assert (said, again, again.english) == (
        "Pores is outside.",
        "Pores liegt außerhalb.",
        "Pores is outside.",
    )


def test_where_nothing_was_kept_the_stored_words_stand() -> None:
    assert say_again({}, "as it was written") == "as it was written"


def test_a_word_for_later_is_said_when_it_is_read(german: None) -> None:
    label = later("Held")
    assert (str(label), f"{label}", f"{label:>16}", label + ".", "%s" % label) == (  # noqa: UP031
        "Zurückgestellt",
        "Zurückgestellt",
        "  Zurückgestellt",
        "Zurückgestellt.",
        "Zurückgestellt",
    )


def test_a_word_for_later_is_compared_by_its_english(german: None) -> None:
    assert later("Held") == "Held" and {later("Held"): 1}["Held"] == 1


def test_within_a_file_that_leaves_everything_is_english(german: None) -> None:
    with in_english():
        said = (say("Held"), str(later("Held")), say_n("{n} find", "{n} finds", 1))
    assert said == ("Held", "Held", "1 find")


def test_the_pieces_of_a_file_are_english_and_what_is_said_between_them_is_not(german: None) -> None:
    pieces = each_in_english(iter_of_held())
    assert [(piece, say("Held")) for piece in pieces] == [("Held", "Zurückgestellt")] * 2


def iter_of_held() -> Iterator[str]:
    for _ in range(2):
        yield say("Held")


def test_the_record_takes_english_of_whatever_it_is_given(german: None) -> None:
    assert [english_of(text) for text in (say("Held"), later("Held"), "typed")] == ["Held", "Held", "typed"]


def test_only_what_was_said_can_be_said_again() -> None:
    assert [kept_of(text) for text in (say("Held"), later("Held"), "typed")] == [
        {"m": "Held"},
        {"m": "Held"},
        {},
    ]


def test_a_sentence_survives_being_pickled(german: None) -> None:
    said = pickle.loads(pickle.dumps(say("{n} vouchers stand in {place}.", n=3, place="A 1")))
    assert (type(said), said, said.english) == (Said, "In A 1 stehen 3 Belege.", "3 vouchers stand in A 1.")


def test_an_english_reader_of_many_sentences_asks_no_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    monkeypatch.setattr(words, "_gettext", lambda message: asked.append(message) or message)
    monkeypatch.setattr(words, "_language", lambda: "en-gb")
    with words.one_reader():
        assert say("Cap width") == "Cap width"
    assert asked == []
    say("Cap width")
    assert asked == ["Cap width"]


def test_a_german_reader_of_many_sentences_reads_german(
    german: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(words, "_language", lambda: "de")
    with words.one_reader():
        assert say_n("{n} find", "{n} finds", 2) == "2 Funde"
