"""A typed name taken apart: genus, epithet, rank, author, doubt, group.

What cannot be placed is refused by the word that stands in the way; nothing is dropped in silence. Open nomenclature
after Sigovini, Keppel & Tagliapietra 2016 (secondary); author citation after ICN Art. 46 to 50 (Shenzhen Code).
"""

import re
from dataclasses import replace

from ledger.names.errors import TaxonNameError
from ledger.names.name import MARK_OF_RANK, Name
from ledger.names.words import tidy, words_of
from ledger.words import say

QUALIFIERS = ("cf.", "aff.", "?", "nr.", "prox.", "indet.", "stet.")
_GROUPS = ("agg.", "group", "complex", "s.l.")
_SENSES = ("sensu", "auct.", "non", "nec")
_RANK_OF_MARK = {mark: rank for rank, mark in MARK_OF_RANK.items()} | {"fo.": "form", "forma": "form"}
_UNNAMED = frozenset(
    {
        "",
        "?",
        "indet.",
        "sp.",
        "spp.",
        "unnamed",
        "unknown",
        "unidentified",
        "undetermined",
        "not named",
        "no name",
    }
)
# Endings of higher ranks (ICN Art. 16 to 18; the numbers from memory).
_ENDINGS = (("mycota", "phylum"), ("mycetes", "class"), ("aceae", "family"), ("ales", "order"))
# Lower-case words that authors' names are made of. "f." is filius here.
_PARTICLE_WORDS = """
    ex in et al al. and de da do dos del della di du la le van von vom zu zur der den ter ten f. fil. nom. sanct.
    cons. emend. ined. comb. prov. bis y e st d'
"""
_PARTICLES = frozenset(_PARTICLE_WORDS.split())
_NO_GENUS = frozenset([*_SENSES, *_GROUPS, *_RANK_OF_MARK, *_PARTICLES, "sp.", "spp.", "nov.", "fr."])
_WORD = r"[^\W\d_]+"
_GENUS = re.compile(rf"{_WORD}(?:-{_WORD})?")
_SHORT_GENUS = re.compile(r"[^\W\d_]{1,2}\.")
_EPITHET = re.compile(rf"{_WORD}(?:-{_WORD})*")
_SANCTIONED = re.compile(r"\s*:\s*[^():,&]*?(?=[):,&]|$)")


def parse_name(text: str) -> Name:
    """The parts of a typed name; an empty text is an unnamed find. TaxonNameError with the reason otherwise."""
    line = tidy(text)
    words = words_of(line)
    if line.casefold() in _UNNAMED or (len(words) == 1 and words[0].casefold() in _UNNAMED):
        return Name(unnamed=True, typed=text)
    if not _brackets_close(line):
        raise TaxonNameError(
            say(
                "{typed}: a bracket is not closed. Authors stand as in (L.) Lloyd.",
                typed=repr(text.strip()),
            )
        )
    return _Reader(text, words, capitals=line.isupper()).read()


def _brackets_close(line: str) -> bool:
    depth = 0
    for ch in line:
        depth += (ch in "([") - (ch in ")]")
        if depth < 0:
            return False
    return depth == 0


class _Reader:
    """Walks the words once, from the genus to the author."""

    def __init__(self, text: str, words: list[str], *, capitals: bool) -> None:
        self.text = text
        self.words = words
        self.capitals = capitals
        self.name = Name(typed=text)
        self.author: list[str] = []

    def read(self) -> Name:
        self._genus()
        self._epithet()
        while self.words:
            self._next()
        self._set(authority=self._authority())
        if self.name.infra and not self.name.epithet:
            raise self._error(say("a third word is named but no epithet"))
        return self.name

    def _genus(self) -> None:
        if self._peek() in ("×", "x") and len(self.words) > 1:
            self.words.pop(0)
            self._set(hybrid="genus")
        if self._peek() in QUALIFIERS:
            self._set(qualifier=self.words.pop(0), qualified="genus")
        if not self.words:
            raise self._error(say("there is a sign of doubt but no name"))
        word = self._undoubted(self.words.pop(0), "genus")
        short = _SHORT_GENUS.fullmatch(word) is not None
        if word.casefold() in _NO_GENUS or (not short and (_GENUS.fullmatch(word) is None or len(word) < 2)):
            raise self._error(
                say(
                    "{word} is no genus. A name begins with the genus, family or order",
                    word=repr(word),
                )
            )
        genus = word[0].upper() + word[1:].lower()
        followed = self._is_epithet(0) or self._peek() in ("×", "x")
        higher = next(
            (rank for ending, rank in _ENDINGS if genus.endswith(ending) and len(genus) > len(ending) + 2),
            None,
        )
        self._set(genus=genus, rank="genus" if followed or higher is None else higher)

    def _epithet(self) -> None:
        if re.fullmatch(rf"\({_WORD}\)", self._peek()) and self._is_epithet(1) and self._peek()[1].isupper():
            self.words.pop(0)  # a subgenus in brackets is no part of the name; it stays in `typed`
        if self._peek() in ("×", "x") and (
            self._is_epithet(1) or self.words[1:2] in ([q] for q in QUALIFIERS)
        ):
            self.words.pop(0)
            self._set(hybrid="epithet")
        if self._peek() == "group" and self._is_epithet(1):  # ex gr. versicolor
            self._set(group=True, group_mark=self.words.pop(0))
        if self._peek() in ("sp.", "spp."):
            self._set(species_unnamed=self.words.pop(0))
            if self._peek() not in QUALIFIERS:
                self._provisional()
                return
        if self._peek() in QUALIFIERS:
            doubt = self.words.pop(0)
            self._doubt(doubt, "epithet" if self._is_epithet(0) else "")
        if self._is_epithet(0):
            epithet = self._undoubted(self.words.pop(0), "epithet").lower()
            self._set(epithet=epithet, rank="species", species_unnamed="")
            self._refuse_third_word()

    def _provisional(self) -> None:
        """What distinguishes one unnamed species from the next: sp. 1, sp. A, sp. nov."""
        if self.words and re.fullmatch(r"nov\.|[A-Z]|[A-Za-z]*-?\d+[A-Za-z]?", self.words[0]):
            self._set(provisional=self.words.pop(0))

    def _next(self) -> None:
        word = self.words.pop(0)
        if word in _GROUPS:
            self._set(group=True, group_mark=word)
        elif word == "s.str.":
            self._set(sense=word)
        elif word in _SENSES:
            self._set(sense=" ".join([word, *self.words]))
            self.words.clear()
        elif self._is_mark(word):
            self._infra(word)
        elif word in QUALIFIERS and self._is_mark(self._peek(), 1):
            self._doubt(word, "infra")
        elif word in QUALIFIERS and not self._is_epithet(0):
            self._doubt(word, "")
        elif word == "×" or word in QUALIFIERS:
            raise self._error(
                say(
                    "{word} stands where no name follows it. Name one fungus, and doubt it once",
                    word=repr(word),
                )
            )
        else:
            self._author_word(word)

    def _infra(self, mark: str) -> None:
        if self.name.infra:
            raise self._error(say("more than three words are named"))
        epithet = self._undoubted(self.words.pop(0), "infra").lower()
        self._set(
            infra=epithet,
            rank=_RANK_OF_MARK.get(mark, "form"),
            species_authority=self._authority(),
        )
        self.author = []

    def _author_word(self, word: str) -> None:
        bare = word.strip("(),[]")
        known = bare.casefold() in _PARTICLES or bare in ("&", ":", "") or not bare.islower()
        if not known and not re.fullmatch(r"d'.+|\d{4}", bare):
            raise self._error(
                say(
                    "{word} is neither part of the name nor of its author. Put remarks elsewhere",
                    word=repr(word),
                )
            )
        if bare.isdigit() and len(bare) != 4:
            raise self._error(say("the number {word} is no part of a name", word=repr(word)))
        if word.endswith("?"):
            self._doubt("?", "epithet" if self.name.epithet else "genus")
            word = word.rstrip("?")
        self.author.append(word)

    def _refuse_third_word(self) -> None:
        if self.words and self._is_epithet(0) and not self._is_mark(self.words[0], 1) and not self.capitals:
            third = self.words[0]
            raise self._error(
                say(
                    "the third word {word} has no rank. Write var., subsp. or f. before it, or put remarks elsewhere",
                    word=repr(third),
                )
            )

    def _is_mark(self, word: str, ahead: int = 0) -> bool:
        """Whether a word is var., subsp. or f. with a third word behind it; L. f. is the younger Linnaeus."""
        return (word in _RANK_OF_MARK or word == "f.") and self._is_epithet(ahead)

    def _is_epithet(self, at: int) -> bool:
        if at >= len(self.words):
            return False
        word = self.words[at].rstrip("?")
        if _EPITHET.fullmatch(word) is None or len(word) < 2:
            return False
        if word in _PARTICLES or word in _SENSES or word in _GROUPS or word in _RANK_OF_MARK:
            return False
        return word.islower() or (self.capitals and len(word) > 2)

    def _undoubted(self, word: str, part: str) -> str:
        if word.endswith("?") and len(word) > 1:
            self._doubt("?", part)
        return word.rstrip("?") or word

    def _doubt(self, qualifier: str, part: str) -> None:
        if self.name.qualifier is not None:
            raise self._error(
                say(
                    "it is doubted twice, by {one} and {other}. Keep one",
                    one=self.name.qualifier,
                    other=qualifier,
                )
            )
        self._set(qualifier=qualifier, qualified=part)

    def _authority(self) -> str:
        """The author as typed, without the colon of sanctioned names (San Juan Chapter F 2018: no longer written)."""
        author = " ".join(self.author).strip(" ,;")
        author = re.sub(r"\s+([),])", r"\1", _SANCTIONED.sub(" ", author))
        author = re.sub(r",?\s*nom\. sanct\.", "", author)
        return re.sub(r"\s+", " ", author).strip(" ,;:")

    def _peek(self) -> str:
        return self.words[0] if self.words else ""

    def _set(self, **parts: object) -> None:
        self.name = replace(self.name, **parts)  # type: ignore[arg-type]

    def _error(self, what: str) -> TaxonNameError:
        return TaxonNameError(
            say("{typed}: {wrong}. The text is kept as typed.", typed=repr(self.text.strip()), wrong=what)
        )
