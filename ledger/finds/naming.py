"""How a typed name is understood: which known taxon it means, or which ones it might. Never silently replaced."""

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.names.known import KnownNames
from ledger.names.match import Candidate, match_name
from ledger.names.name import Name
from ledger.taxa.models import Taxon
from ledger.taxa.queries import current_reference
from ledger.traits.reference import Reference

PROPOSALS_SHOWN = 4
_SURE = ("exact", "synonym", "vernacular")


@dataclass(frozen=True, slots=True)
class Named:
    """A typed name as it was understood.

    `kind`: empty (unnamed), `exact`, `synonym`, `vernacular` (an English name of one taxon), `near` (only proposals),
    `rank` (a known genus, family or order) or `none`. `taxon` is the known taxon the check compares with, or None.
    `proposals` are known names that may be meant: they are offered, and taken only when somebody chooses one. `note` is
    what a person should know. `english` is the English name that was typed, as the reference writes it.
    """

    typed: str = ""
    kind: str = ""
    taxon: str | None = None
    authority: str = ""
    qualifier: str = ""
    proposals: Sequence[str] = ()
    note: str = ""
    english: str = ""

    @property
    def written(self) -> str:
        """The name that is kept: as it was typed, but the Latin one where an English one was typed."""
        return self.taxon if self.kind == "vernacular" and self.taxon else self.typed

    @property
    def vernacular_typed(self) -> str:
        """What was typed, where another name is kept for it."""
        return self.typed if self.written != self.typed else ""

    @property
    def row(self) -> Taxon | None:
        """The known taxon as it stands in the database; one query."""
        return Taxon.objects.filter(name=self.taxon).first() if self.taxon else None


def read(typed: str, reference: Reference | None = None) -> Named:
    """Match a typed name to the known names and synonyms. Whatever comes of it, the name stays as it was typed."""
    typed = " ".join(typed.split())
    if not typed:
        return Named()
    reference = reference or current_reference()
    match = match_name(typed, known_names(reference))
    if match.name is not None and match.name.unnamed:
        return Named(typed, note=match.why)
    qualifier = _qualifier(match.name)
    best = match.candidates[0] if match.candidates else None
    if best is not None and match.kind in _SURE and _is_sure(match.candidates, reference):
        authority = reference.taxa[best.name].authority
        return Named(
            typed, match.kind, best.name, authority, qualifier, note=best.note, english=match.english
        )
    proposals = [one.name for one in match.candidates if one.name in reference.taxa][:PROPOSALS_SHOWN]
    if best is not None and match.kind == "exact":
        return Named(typed, "rank", qualifier=qualifier, note=best.note)
    if proposals:
        note = best.note if best else ""
        return Named(
            typed, "near", qualifier=qualifier, proposals=proposals, note=note, english=match.english
        )
    return Named(typed, "none", qualifier=qualifier, note=match.why)


def offered(reference: Reference) -> list[tuple[str, str]]:
    """Names for the list under a name box: what is written, and the English or own name it is offered by, or ""."""
    return [
        (entry.name, other)
        for entry in reference.taxa.values()
        for other in ("", *entry.vernacular, *entry.local)
    ]


def _qualifier(name: Name | None) -> str:
    return (name.qualifier or name.group_mark or name.species_unnamed)[:10] if name else ""


def _is_sure(candidates: Sequence[Candidate], reference: Reference) -> bool:
    """One accepted species and no other; a name that was misapplied, or means two, is only proposed."""
    best = candidates[0]
    alone = all(one.name == best.name for one in candidates if one.kind == best.kind)
    return best.name in reference.taxa and best.kind in _SURE and alone


def known_names(reference: Reference) -> KnownNames:
    """The index of names, compiled once per reference and kept with it."""
    if "known names" not in reference.memo:
        reference.memo["known names"] = KnownNames.build(reference.taxa.values())
    known: KnownNames = reference.memo["known names"]
    return known
