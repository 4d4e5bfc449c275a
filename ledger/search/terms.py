"""What a word of the search box can mean. Each says itself in words that the person sees. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.search.days import When
from ledger.words import later, say

# The kinds of things a plain word is looked for in, see `search.models.SearchWord`.
EVERYWHERE = ("place", "name", "guest", "host")
_IN = {
    EVERYWHERE: later("in a place, a name, a finder or a host"),
    ("place",): later("in the words of a place"),
    ("name",): later("in a name"),
    ("host",): later("in a host"),
    ("guest",): later("in the name of a finder"),
}


def either(said: Sequence[str], more: int = 0) -> str:
    """What was said, with "or" between; `more`: how many are left out behind them."""
    joined, *others = said
    for other in others:
        joined = say("{first} or {last}", first=joined, last=other)
    return say("{first} or {n} more", first=joined, n=more) if more > 0 else joined


@dataclass(frozen=True, slots=True)
class NumberTerm:
    """A collecting number; without a suffix every share of a split collection."""

    code: str
    serial: int
    suffix: str = ""

    @property
    def said(self) -> str:
        return say("collecting number {number}", number=f"{self.code} {self.serial}{self.suffix}")


@dataclass(frozen=True, slots=True)
class NumberRangeTerm:
    """Collecting numbers of one collector, from `first` to `last`."""

    code: str
    first: int
    last: int

    @property
    def said(self) -> str:
        return say(
            "collecting numbers {code} {first} to {last}", code=self.code, first=self.first, last=self.last
        )


@dataclass(frozen=True, slots=True)
class BareSerialTerm:
    """A number alone: the serial of anybody's collecting number."""

    serial: int

    @property
    def said(self) -> str:
        return say("number {serial} of any collector", serial=self.serial)


@dataclass(frozen=True, slots=True)
class AccessionTerm:
    """An accession number, whichever of its parts was named."""

    prefix: str
    year: int
    serial: int

    @property
    def number(self) -> str:
        return f"{self.prefix} {self.year}-{self.serial:04d}"

    @property
    def said(self) -> str:
        return say("accession number {number}", number=self.number)


@dataclass(frozen=True, slots=True)
class AnyNumberTerm:
    """One of several numbers, since no find has two of a kind."""

    numbers: "tuple[NumberTerm | NumberRangeTerm | BareSerialTerm | AccessionTerm, ...]"

    @property
    def said(self) -> str:
        return either([one.said for one in self.numbers])


@dataclass(frozen=True, slots=True)
class WhenTerm:
    when: When

    @property
    def said(self) -> str:
        return self.when.said


@dataclass(frozen=True, slots=True)
class NameTerm:
    """Named as one of these accepted taxa now. `bare`: the names alone, as they stand behind "named"."""

    taxa: tuple[str, ...]
    said: str
    bare: str = ""


@dataclass(frozen=True, slots=True)
class PersonTerm:
    """Found by one of these members, or by a guest in whose name the words stand."""

    members: tuple[int, ...]
    said: str
    guest_words: tuple[str, ...] = ()
    bare: str = ""  # the people alone


@dataclass(frozen=True, slots=True)
class FlagTerm:
    codes: tuple[str, ...]
    said: str


@dataclass(frozen=True, slots=True)
class StateTerm:
    """held, settled, sent back, logged; or mine, unnamed, voucher, undated, flagged."""

    state: str
    said: str


@dataclass(frozen=True, slots=True)
class Tree:
    """A genus of trees and the folded words for it: hosts are typed as Quercus, as oak and as Eiche."""

    genus: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WordTerm:
    """A word that begins like this, in things of these kinds; or a finder who is called so.

    `tree`: the one that it names, where hosts are among the kinds; a host is met by any word for it.
    """

    word: str
    kinds: tuple[str, ...]
    members: tuple[int, ...] = ()
    tree: Tree | None = None

    @property
    def where(self) -> str:
        """Where it is looked for."""
        return _IN[self.kinds]

    @property
    def said(self) -> str:
        if self.tree is not None and self.tree.names[0] != self.word:
            return say("“{word}” ({tree}) {where}", word=self.word, tree=self.tree.genus, where=self.where)
        return say("“{word}” {where}", word=self.word, where=self.where)


Term = (
    NumberTerm
    | NumberRangeTerm
    | BareSerialTerm
    | AccessionTerm
    | AnyNumberTerm
    | WhenTerm
    | NameTerm
    | PersonTerm
    | FlagTerm
    | StateTerm
    | WordTerm
)
