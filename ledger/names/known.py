"""The names a typed name is held against: accepted names, their synonyms and English names, compiled once."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Protocol

from ledger.names.english import EnglishNames
from ledger.names.errors import TaxonNameError
from ledger.names.parse import parse_name


class Taxon(Protocol):
    """What is asked of a taxon; `ledger.traits.ranges.TaxonEntry` answers it."""

    @property
    def name(self) -> str: ...
    @property
    def authority(self) -> str: ...
    @property
    def family(self) -> str: ...
    @property
    def order(self) -> str: ...
    @property
    def synonyms(self) -> tuple[str, ...]: ...
    @property
    def vernacular(self) -> tuple[str, ...]: ...
    @property
    def local(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True)
class KnownTaxon:
    """A plain Taxon for those who have none."""

    name: str
    authority: str = ""
    family: str = ""
    order: str = ""
    synonyms: tuple[str, ...] = ()
    vernacular: tuple[str, ...] = ()
    local: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Entry:
    """One name in the index: `text` as the reference writes it, pointing at the accepted name."""

    text: str
    canonical: str
    genus: str
    epithet: str
    accepted: str
    authority: str
    kind: str  # "exact" for the accepted name itself, "synonym", or "misapplied" (sensu, auct.)


@dataclass(frozen=True, slots=True)
class KnownNames:
    """The index. `skipped` are names of the reference that could not be read, with the reason: none is lost unseen."""

    entries: tuple[Entry, ...]
    higher: frozenset[str] = frozenset()
    skipped: tuple[str, ...] = ()
    by_canonical: dict[str, tuple[Entry, ...]] = field(default_factory=dict, repr=False)
    english: EnglishNames = field(default_factory=EnglishNames, repr=False)

    @classmethod
    def build(cls, taxa: Iterable[Taxon]) -> "KnownNames":
        """Compile; some 500 names take a few hundredths of a second, so keep the result."""
        entries: list[Entry] = []
        skipped: list[str] = []
        higher: set[str] = set()
        english: list[tuple[str, str, str]] = []
        local: list[tuple[str, str, str]] = []
        for taxon in taxa:
            english += [(text, taxon.name, taxon.authority) for text in taxon.vernacular]
            local += [(text, taxon.name, taxon.authority) for text in taxon.local]
            higher |= {taxon.family, taxon.order} - {""}
            synonyms = sorted(
                taxon.synonyms
            )  # so that a match does not depend on the order they were entered in
            for text, kind in [(taxon.name, "exact"), *((synonym, "synonym") for synonym in synonyms)]:
                try:
                    name = parse_name(text)
                except TaxonNameError as error:
                    skipped.append(str(error))
                    continue
                if name.unnamed:
                    continue
                kind = "misapplied" if kind == "synonym" and name.sense not in ("", "s.str.") else kind
                entries.append(
                    Entry(
                        text=text,
                        canonical=name.canonical,
                        genus=name.genus or "",
                        epithet=name.infra or name.epithet or "",
                        accepted=taxon.name,
                        authority=taxon.authority,
                        kind=kind,
                    )
                )
        index: dict[str, list[Entry]] = {}
        for entry in entries:
            index.setdefault(entry.canonical.casefold(), []).append(entry)
        order = ("exact", "synonym", "misapplied")
        return cls(
            entries=tuple(entries),
            higher=frozenset(higher),
            skipped=tuple(skipped),
            by_canonical={
                key: tuple(sorted(found, key=lambda entry: order.index(entry.kind)))
                for key, found in index.items()
            },
            english=EnglishNames.build(english, local),
        )
