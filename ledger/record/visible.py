"""Typed text without the signs that no eye can see. Pure; the one home of what is let in and what is left out.

Such signs come along when a text is copied from a page or a message, and some of them turn the direction of writing: what
is read on the screen is then not what is stored, searched and printed. Nothing that can be seen is lost with them.
"""

import unicodedata

# Zero width non-joiner and joiner: these scripts write words with them (Unicode Standard, chapters 9, 12, 13 and 16).
_JOINERS = "\u200c\u200d"
_JOINED_SCRIPTS = frozenset(
    (
        *("ARABIC", "SYRIAC", "MANDAIC", "NKO", "MONGOLIAN", "PHAGS-PA"),
        *(
            "DEVANAGARI",
            "BENGALI",
            "GURMUKHI",
            "GUJARATI",
            "ORIYA",
            "TAMIL",
            "TELUGU",
            "KANNADA",
            "MALAYALAM",
        ),
        *("SINHALA", "MYANMAR", "KHMER", "TIBETAN", "BALINESE", "JAVANESE", "SUNDANESE", "BRAHMI", "GRANTHA"),
    )
)
_VIRAMA = 9  # canonical combining class
# Format characters that are drawn: signs that stand before or around Arabic, Syriac and Kaithi figures.
_DRAWN = frozenset("\u0600\u0601\u0602\u0603\u0604\u0605\u06dd\u070f\u0890\u0891\u08e2\U000110bd\U000110cd")
# Letters and marks that are drawn as nothing (Default_Ignorable_Code_Point of the Unicode Character Database).
_BLANK = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0")
_BREAKS = frozenset("\u2028\u2029\x0b\x0c\x85")


def visible(text: str, *, lines: bool = False) -> str:
    """The text without controls, format characters and blank letters; with `lines` its line breaks and tabs stay.

    >>> visible("Hol\\u200blin\\u202e Wood\\x07")
    'Hollin Wood'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_seen(text, place, lines) for place in range(len(text)))


def _seen(text: str, place: int, lines: bool) -> str:
    sign = text[place]
    if sign in "\n\r\t":
        return sign if lines else " "
    if sign in _BREAKS:
        return "\n" if lines else " "
    if sign in _JOINERS:
        return sign if _joins(text, place) else ""
    hidden = unicodedata.category(sign) in ("Cc", "Cf", "Cs") and sign not in _DRAWN
    return "" if hidden or sign in _BLANK else sign


def _joins(text: str, place: int) -> bool:
    """Whether the joiner stands inside a word of a script that needs it, or ends one behind a virama."""
    before, after = text[place - 1 : place], text[place + 1 : place + 2]
    if not _is_joined(before):
        return False
    return _is_joined(after) or unicodedata.combining(before) == _VIRAMA


def _is_joined(sign: str) -> bool:
    return bool(sign) and unicodedata.name(sign, "").partition(" ")[0] in _JOINED_SCRIPTS


def as_read(text: str) -> str:
    """A name as the eye takes it, to hold two against each other: letters of one look and of either size are one."""
    drawn = (sign for sign in visible(unicodedata.normalize("NFKC", text)) if sign not in _JOINERS)
    return " ".join("".join(sign for sign in drawn if not _chooses_a_form(sign)).casefold().split())


def _chooses_a_form(sign: str) -> bool:
    """A variation selector: it picks a drawing of the sign before it."""
    return (
        "\ufe00" <= sign <= "\ufe0f" or "\U000e0100" <= sign <= "\U000e01ef" or "\u180b" <= sign <= "\u180d"
    )
