"""What a text that is no pair of coordinates most likely is, so that the refusal helps: words, a national grid, a slip."""

import re

from ledger.words import say

_WORD = re.compile(r"[^\W\d_]")
# Two letters and an even run of figures: ST 758 482, ST758482. Latitude and longitude never stand so.
_NATIONAL_GRID = re.compile(r"[A-Z]{2}\s*[,:]?\s*\d{1,5}\s*,?\s*\d{1,5}", re.IGNORECASE | re.ASCII)
# A letter O, l or I among figures: 5o.5, 51.2o4, l51.2. An O that closes a number may also be Ost or ouest.
_AMONG_FIGURES = re.compile(r"(?<![^\W\d_])[\doOlI]*[.,]?[\doOlI]+(?![^\W\d_])", re.ASCII)
# Runs of letters that may stand in a place; a longer run that is none of them is a word.
_OF_COORDINATES = re.compile(
    r"north|south|east|west|lat(itude)?|lon(g|gitude)?|lng|deg(ree)?s?|min(ute)?s?|sec(ond)?s?|utm|mgrs|zone",
    re.IGNORECASE,
)
_TO_FIGURE = str.maketrans("oOlI", "0011")
_NORTH_OR_SOUTH = re.compile(r"(?<![^\W\d_])[NS](?![^\W\d_])|north|south", re.IGNORECASE)


def likely_meant(text: str) -> str | None:
    """A sentence for the reader of a refusal; None where nothing better than the refusal itself is known.

    Ask it only of a text that could not be read: `51 N 2 O` is a place to some, and refused for another reason.
    """
    if _WORD.search(text) and not re.search(r"\d", text):
        return say("These are words, not coordinates: put them in Place in words.")
    if _NATIONAL_GRID.fullmatch(text):
        return say(
            "Grid letters of a country are not read here; use the phone's position, decimal degrees, or UTM/MGRS."
        )
    for word in re.findall(r"[^\W\d_]{3,}", text):
        if not _OF_COORDINATES.fullmatch(word) and not word.isupper():
            return say(
                "{word} is a word, not a coordinate: put words in Place in words, and leave the numbers here.",
                word=repr(word),
            )
    return _letter_for_figure(text)


def _letter_for_figure(text: str) -> str | None:
    for match in _AMONG_FIGURES.finditer(text):
        number = match[0]
        letter = re.search(r"[oOlI]", number)
        if letter is None or not re.search(r"\d", number):
            continue
        if letter[0] in "oO" and letter.end() == len(number) and _NORTH_OR_SOUTH.search(text):
            continue
        figure = letter[0].translate(_TO_FIGURE)
        return say(
            "{number} has the letter {letter} where a figure belongs. If {figure} is meant, type {meant}.",
            number=repr(number),
            letter=letter[0],
            figure=figure,
            meant=number.translate(_TO_FIGURE),
        )
    return None
