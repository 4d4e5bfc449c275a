"""Typed text without the signs that no eye can see. Pure; the one home of what is let in and what is left out.

Such signs come along when a text is copied from a page or a message, and some of them turn the direction of writing: what
is read on the screen is then not what is stored, searched and printed. Nothing that can be seen is lost with them.
"""

import re
import unicodedata

# Zero width non-joiner and joiner: these scripts write words with them (Unicode Standard, chapters 9, 12, 13 and 16).
# Told by their blocks, so that the phone's twin (static/js/rules/visible.js) tells them alike.
_JOINERS = "\u200c\u200d"
_JOINED = re.compile(
    "[\u0600-\u08ff\u0900-\u0dff\u0f00-\u109f\u1780-\u18af\u1b00-\u1bbf"  # Arabic to Sinhala, Tibetan to Balinese
    "\ua840-\ua87f\ua980-\ua9df\uaa60-\uaa7f\ufb50-\ufdff\ufe70-\ufefc\U00011000-\U0001137f]"
)
# A joiner behind one of these may end a word, such as an old Malayalam chillu.
_VIRAMAS = frozenset(
    "\u094d\u09cd\u0a4d\u0acd\u0b4d\u0bcd\u0c4d\u0ccd\u0d4d\u0dca\u1039\u103a\u17d2\u1b44\ua9c0"
)
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


def one_line(text: str, most: int | None = None) -> str:
    """The visible text as one line, blanks drawn together, cut after `most` characters.

    >>> one_line(" seen  on\\na log ", 7)
    'seen on'
    """
    return " ".join(visible(text).split())[:most]


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
    return bool(_JOINED.match(before)) and (before in _VIRAMAS or bool(_JOINED.match(after)))


def as_read(text: str) -> str:
    """A name as the eye takes it, to hold two against each other: letters of one look and of either size are one."""
    drawn = (sign for sign in visible(unicodedata.normalize("NFKC", text)) if sign not in _JOINERS)
    return " ".join("".join(sign for sign in drawn if not _chooses_a_form(sign)).casefold().split())


def _chooses_a_form(sign: str) -> bool:
    """A variation selector: it picks a drawing of the sign before it."""
    return (
        "\ufe00" <= sign <= "\ufe0f" or "\U000e0100" <= sign <= "\U000e01ef" or "\u180b" <= sign <= "\u180d"
    )
