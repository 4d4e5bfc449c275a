"""Words as they are compared: without capitals, accents and apostrophes, the same on every database. Pure."""

import re
import unicodedata
from functools import lru_cache

LONGEST_WORD = 40
MOST_WORDS = 60

# Letters that no decomposition takes apart (Unicode 15, UnicodeData.txt): a stroke or a ligature is no accent there.
_LETTERS = str.maketrans(
    {
        "ł": "l",
        "ø": "o",
        "đ": "d",
        "ð": "d",
        "ħ": "h",
        "ı": "i",
        "ŋ": "n",
        "ŧ": "t",
        "þ": "th",
        "æ": "ae",
        "œ": "oe",
        "ĸ": "k",
        "ə": "e",
    }
)
_APOSTROPHES = dict.fromkeys(map(ord, "'’‘ʼ`´"), None)
_WORD = re.compile(r"[^\W_]+")


def fold(text: str) -> str:
    """The text in small letters without accents.

    >>> fold("Łódź, Bædé’s Øre")
    'lodz, baedes ore'
    """
    small = unicodedata.normalize("NFKD", text.translate(_APOSTROPHES)).casefold()
    bare = "".join(letter for letter in small if not unicodedata.combining(letter))
    # A capital may fall apart into a small letter with an accent only now.
    return unicodedata.normalize("NFKC", bare.translate(_LETTERS))


def words_of(text: str) -> list[str]:
    """The folded words in their order; what is too long for a word is cut.

    >>> words_of("Hollin Wood, below the quarry-edge")
    ['hollin', 'wood', 'below', 'the', 'quarry', 'edge']
    """
    return list(_words(text))


@lru_cache(maxsize=4096)
def _words(text: str) -> tuple[str, ...]:
    # Kept, since the names of people and flags are asked for again with each search.
    return tuple(word[:LONGEST_WORD] for word in _WORD.findall(fold(text)))


def distinct_words(*texts: str) -> list[str]:
    """The folded words of several texts, each once, at most MOST_WORDS: a find does not become a book."""
    return list(dict.fromkeys(word for text in texts for word in words_of(text)))[:MOST_WORDS]
