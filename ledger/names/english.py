"""English names. One that stands for one taxon is read as its Latin name; one that stands for several is only offered."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from ledger.names.edits import allowance, edits
from ledger.names.errors import TaxonNameError
from ledger.names.words import tidy


@dataclass(frozen=True, slots=True)
class EnglishName:
    """`text` as the reference writes it, without a remark in brackets, for the taxon `accepted`.

    `is_wide`: the remark says that it is used for more than this taxon, as in "red-belted conk (broad sense)"; `is_local`:
    the club has entered it, in whatever language.
    """

    text: str
    accepted: str
    authority: str
    is_wide: bool = False
    is_local: bool = False


@dataclass(frozen=True, slots=True)
class EnglishNames:
    """The index, compiled once. No name in it is ever part of a Latin one."""

    by_key: dict[str, tuple[EnglishName, ...]] = field(default_factory=dict, repr=False)

    @classmethod
    def build(
        cls, names: Iterable[tuple[str, str, str]], local: Iterable[tuple[str, str, str]] = ()
    ) -> "EnglishNames":
        """From (English name, accepted name, its authority), and the same of the club's own names."""
        found: dict[str, list[EnglishName]] = {}
        for is_local, (text, accepted, authority) in (
            *((False, name) for name in names),
            *((True, name) for name in local),
        ):
            bare, bracket, _ = text.partition("(")
            entry = EnglishName(bare.strip(), accepted, authority, is_wide=bool(bracket), is_local=is_local)
            found.setdefault(key_of(bare), []).append(entry)
        found.pop("", None)
        return cls({key: tuple(entries) for key, entries in found.items()})

    def meant_by(self, typed: str) -> tuple[EnglishName, ...]:
        """The taxa that the typed words are an English name of, word for word."""
        return self.by_key.get(key_of(typed), ())

    def near_to(self, typed: str) -> list[tuple[EnglishName, int]]:
        """English names that may be meant, each with the slips of the finger that part it from what was typed."""
        key = key_of(typed)
        return [
            (entry, slips)
            for each, entries in self.by_key.items()
            if (slips := edits(key, each, allowance(each))) is not None
            for entry in entries
        ]


def key_of(text: str) -> str:
    """The words alone: no capitals, no apostrophes, and no matter whether hyphens or blanks part them.

    >>> key_of("Hen-of-the-Woods"), key_of("Dryad’s saddle")
    ('hen of the woods', 'dryads saddle')
    """
    try:
        line = tidy(text)
    except TaxonNameError:
        return ""
    plain = line.casefold().replace("'", "").replace(".", "").replace("-", " ")
    return " ".join(plain.split())
