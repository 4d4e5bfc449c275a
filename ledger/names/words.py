"""A typed name as clean words. Only spacing, odd characters and the writing of abbreviations are touched."""

import re
import unicodedata

from ledger.names.errors import TaxonNameError
from ledger.words import say

LONGEST = 200

_INVISIBLE = dict.fromkeys(map(ord, "\u200b\u200c\u200d\u2060\ufeff\u200e\u200f\u00ad"), None)
_PLAIN = str.maketrans({**dict.fromkeys("‐‑–—−", "-"), **dict.fromkeys("’‘ʼ`´", "'"), "✕": "×", "✖": "×"})

# Each abbreviation by the ways people write it; the whole word must match, point or not.
_ABBREVIATIONS = {
    "cf.": r"c\.?f(?:r)?|conf|confer",
    "aff.": r"aff|affinis",
    "nr.": r"nr|near",
    "prox.": r"prox",
    "indet.": r"indet",
    "stet.": r"stet",
    "sp.": r"sp|spec|species",
    "spp.": r"spp",
    "agg.": r"agg|aggr|aggregate",
    "group": r"group|grp|gr|gp",
    "complex": r"complex",
    "s.l.": r"s\.?\s?l|s\.?\s?lat|sensu\slato",
    "s.str.": r"s\.?\s?s|s\.?\s?str|sensu\sstricto",
    "var.": r"var|varietas",
    "subsp.": r"subsp|ssp|subspecies",
    "nov.": r"nov",
    "auct.": r"auct|auctt",
}
_BY_SHAPE = {short: re.compile(rf"(?:{shape})\.?", re.IGNORECASE) for short, shape in _ABBREVIATIONS.items()}
_CAPITAL_FIRST = frozenset({"Cf.", "Cf", "Aff.", "Aff", "Indet.", "Indet", "Sp.", "Sp"})
# Abbreviations of two words are joined first, so that a blank or a point between them does not part them.
_TWO_WORDS = (
    # Lower case only: S.L. may be somebody's initials.
    (re.compile(r"(?<![\w.])(?:s\.\s*l\.?|s\.?\s*lat\.?|sensu\s+lato)(?![\w.])"), "s.l."),
    (re.compile(r"(?<![\w.])(?:s\.\s*s\.?|s\.?\s*str\.?|sensu\s+stricto)(?![\w.])"), "s.str."),
    (re.compile(r"(?<!\w)ex\s+gr\.?(?!\w)", re.IGNORECASE), "group"),
    (re.compile(r"(?<!\w)species\s+(?=(?:group|complex|aggregate)\b)", re.IGNORECASE), ""),
)
# "cf.versicolor", "?caesia", "aff.lucidum": the mark is parted from its word.
_GLUED = re.compile(
    r"(?<!\w)(cf\.|aff\.|nr\.|prox\.|var\.|subsp\.|ssp\.|sp\.|\?)(?=[^\W\d_]|\d)", re.IGNORECASE
)
# "T.versicolor"
_GLUED_GENUS = re.compile(r"^(\W*[^\W\d_]{1,2}\.)(?=[^\W\d_]{3})")
# "Trametes (versicolor group)", "Trametes versicolor (agg.)": brackets that hold no author.
_BRACKETED_GROUP = re.compile(
    r"\(\s*((?:[a-z-]+\s+)?(?:group|complex|agg\.?|aggregate|s\.l\.))\s*\)", re.IGNORECASE
)
_ALLOWED = re.compile(r"[^\W_]|[ .,;:&()\[\]'?×-]")


def tidy(text: str) -> str:
    """One line of composed characters with single blanks. TaxonNameError for what no name holds."""
    if not isinstance(text, str):
        raise TaxonNameError(f"A name is typed as text; {type(text).__name__} was given.")
    if len(text) > LONGEST:
        raise TaxonNameError(
            say("A name has at most {most} characters; this has {n}.", most=LONGEST, n=len(text))
        )
    line = unicodedata.normalize("NFKC", text.translate(_INVISIBLE)).translate(_PLAIN)
    line = re.sub(r"\s+", " ", line).strip(" ,;")
    for ch in line:
        # Accents that have no composed form stay behind as marks of their own.
        if not (_ALLOWED.fullmatch(ch) or unicodedata.category(ch) == "Mn"):
            raise TaxonNameError(
                say(
                    "{typed}: the character {sign} does not belong in a name. Remove it, or leave the name empty.",
                    typed=repr(text.strip()),
                    sign=repr(ch),
                )
            )
    return line


def words_of(line: str) -> list[str]:
    """The words of a tidy line, abbreviations in one writing each."""
    for shape, short in _TWO_WORDS:
        line = shape.sub(f" {short} " if short else " ", line)
    line = _BRACKETED_GROUP.sub(r" \1 ", line)
    line = _GLUED_GENUS.sub(r"\1 ", _GLUED.sub(r"\1 ", line))
    line = re.sub(r"×(?=\S)", "× ", line)
    line = re.sub(r"\s*\)\s*", ") ", re.sub(r"\s*\(\s*", " (", line))
    capitals = line.isupper()
    return [_short(word, capitals) for word in line.split()]


def _short(word: str, capitals: bool) -> str:
    # Abbreviations are lower case, save that a first word has a capital (Cf. Ganoderma) and whole lines may be in
    # capitals; "Near" or "S.L." behind a name is an author.
    if not (word.islower() or capitals or word in _CAPITAL_FIRST):
        return word
    for short, shape in _BY_SHAPE.items():
        if shape.fullmatch(word):
            return short
    return word
