"""What the search box knows of the club when it reads words: numbers, people, names of fungi, flags. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from ledger.names.known import KnownNames, Taxon
from ledger.search.fold import fold, words_of
from ledger.search.terms import Tree


@dataclass(frozen=True, slots=True)
class Person:
    """A member: their identity, full name and collector's code."""

    id: int
    name: str
    code: str


@dataclass(frozen=True, slots=True)
class Fungi:
    """The names of the reference as the box looks them up; compiled once for each reference.

    `wider`: a folded family, order or genus of old names to the accepted names it stands for. `first_words`: the folded
    words with which a name of two words can begin.
    """

    names: KnownNames = field(default_factory=lambda: KnownNames(()))
    wider: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    first_words: frozenset[str] = frozenset()

    @classmethod
    def build(cls, names: KnownNames, taxa: Iterable[Taxon]) -> "Fungi":
        wider: dict[str, set[str]] = {}
        for taxon in taxa:
            for word in (taxon.family, taxon.order):
                wider.setdefault(fold(word), set()).add(taxon.name)
        for entry in names.entries:
            if entry.kind == "synonym":
                wider.setdefault(fold(entry.genus), set()).add(entry.accepted)
        # A genus that is in use is a word like any other: every name of today holds it.
        for entry in names.entries:
            if entry.kind == "exact":
                wider.pop(fold(entry.genus), None)
        wider.pop("", None)
        return cls(
            names,
            {word: tuple(sorted(found)) for word, found in wider.items()},
            frozenset(fold(entry.genus) for entry in names.entries),
        )


@dataclass(frozen=True, slots=True)
class Known:
    """`flags`: the code of each kind of flag to what it is called. `southern`: autumn is in March there. `trees`: each
    folded word for a tree to it.
    """

    today: date
    prefix: str = ""
    people: tuple[Person, ...] = ()
    fungi: Fungi = field(default_factory=Fungi)
    flags: Mapping[str, str] = field(default_factory=dict)
    southern: bool = False
    trees: Mapping[str, Tree] = field(default_factory=dict)

    def coded(self, code: str) -> Person | None:
        return next((one for one in self.people if one.code == code.upper()), None)

    def called(self, words: list[str]) -> tuple[Person, ...]:
        """Those in whose name each of the folded words begins a word of its own."""
        return tuple(one for one in self.people if begin_words_of(words, words_of(one.name)))

    def flagged(self, words: list[str]) -> dict[str, str]:
        """The kinds of flag in whose label each of the folded words begins a word."""
        return {code: label for code, label in self.flags.items() if begin_words_of(words, words_of(label))}


def trees_of(names: Mapping[str, Iterable[str]]) -> dict[str, Tree]:
    """Each folded word for a tree, and its plural in -s, to the genus with all of them. `names`: words by genus."""
    trees: dict[str, Tree] = {}
    for genus, words in names.items():
        folded = {fold(genus), *(fold(word) for word in words)}
        told = tuple(
            sorted(folded | {f"{word}s" for word in folded}, key=lambda word: (word != fold(genus), word))
        )
        trees |= dict.fromkeys(told, Tree(genus, told))
    return trees


def begin_words_of(typed: Iterable[str], words: Iterable[str]) -> bool:
    """Whether every typed word begins one of the words, no word taken twice."""
    left = list(words)
    typed = sorted(typed, key=len, reverse=True)
    for word in typed:
        met = next((one for one in left if one.startswith(word)), None)
        if met is None:
            return False
        left.remove(met)
    return bool(typed)
