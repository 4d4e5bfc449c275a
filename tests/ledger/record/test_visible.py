"""What no eye can see is left out; words of every script stay as they are written."""

import pytest

from ledger.record.visible import as_read, visible


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("Hol\u200blin Wood", "Hollin Wood"),
        ("\u202edooW nilloH", "dooW nilloH"),
        ("\u2066Ada\u2069 Thorne", "Ada Thorne"),
        ("\ufeffBelow the bridge", "Below the bridge"),
        ("co\u00adop", "coop"),
        ("bell\x07 and \x1b[31mred", "bell and [31mred"),
        ("NUL\x00", "NUL"),
        ("\U000e0041\U000e0042hidden", "hidden"),
        ("\u3164", ""),
        ("a\u200cb and 1\u200d2", "ab and 12"),
        ("half \ud83c of a pair", "half  of a pair"),
    ],
)
def test_signs_that_cannot_be_seen_are_left_out(typed: str, stored: str) -> None:
    assert visible(typed) == stored


@pytest.mark.parametrize(
    "text",
    [
        "Ada Thorne",
        "Žofie Ångström-Ó Briain, Ödön Ğül",
        "Грибное болото",
        "山田 太郎, 김철수",
        "می\u200cخواهم",  # a joiner's opposite, inside a Persian word
        "क्\u200dष and क्\u200cष",  # both, behind a virama
        "ക്\u200d",  # one that ends a Malayalam word
        "\u0600١٢",  # an Arabic sign before figures: a format character that is drawn
        "e\u0301 and 葛\U000e0100",  # a mark on its letter, a chosen drawing of a character
        "≥ 12 µm × 3 ½ 🍂",
        "two\u00a0words",
    ],
)
def test_words_of_every_script_stay_as_they_are(text: str) -> None:
    assert visible(text) == text


def test_lines_stay_where_there_are_lines_and_are_spaces_elsewhere() -> None:
    assert visible("one\r\ntwo\tthree\u2028four", lines=True) == "one\r\ntwo\tthree\nfour"
    assert visible("one\ntwo\tthree\u2028four") == "one two three four"


@pytest.mark.parametrize(
    "other", ["ada thorne", "Ada\u200b Thorne", "Ａda Thorne", "Ada\ufe0f  Thorne", "\u202aAda Thorne"]
)
def test_names_that_look_the_same_are_one(other: str) -> None:
    assert as_read(other) == as_read("Ada Thorne")


def test_names_that_look_otherwise_are_two() -> None:
    assert as_read("Ada Thorn") != as_read("Ada Thorne")
