"""Which taxa a pocket sheet is asked for: by their addresses, or by names as people type them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ledger.finds import naming
from ledger.paper.company import company_of
from ledger.paper.pocket import MOST_TAXA
from ledger.taxa.models import Taxon
from ledger.traits.reference import Reference
from ledger.traits.reference_files import LookAlikePair
from ledger.words import Said, say, together


@dataclass(frozen=True, slots=True)
class TypedName:
    """One box of the list: what was typed, the taxon it means, or why it means none."""

    typed: str = ""
    taxon: str = ""
    trouble: str = ""


def taxa_of(
    slugs: Sequence[str], reference: Reference, pairs: Iterable[LookAlikePair]
) -> tuple[str, ...] | None:
    """Return the names of the taxa of these addresses: one alone brings its company. None where one is unknown."""
    slugs = list(dict.fromkeys(slugs))[:MOST_TAXA]
    names = dict(Taxon.objects.filter(slug__in=slugs).values_list("slug", "name"))
    found = [names.get(slug, "") for slug in slugs]
    if not found or any(name not in reference.taxa for name in found):
        return None
    return company_of(reference, found[0], pairs) if len(found) == 1 else tuple(found)


def slugs_of(names: Sequence[str]) -> list[str]:
    """Return the addresses of these taxa, in their order."""
    slugs = dict(Taxon.objects.filter(name__in=names).values_list("name", "slug"))
    return [slugs[name] for name in names if name in slugs]


def read_names(typed: Iterable[str], reference: Reference) -> list[TypedName]:
    """Read each typed name; an empty box stays empty. A near name is proposed, never taken."""
    return [_read(" ".join(text.split())[:200], reference) for text in list(typed)[:MOST_TAXA]]


def _read(typed: str, reference: Reference) -> TypedName:
    if not typed:
        return TypedName()
    named = naming.read(typed, reference)
    if named.taxon:
        return TypedName(typed, named.taxon)
    none = say("The reference holds no single taxon of this name. It was kept as typed.")
    return TypedName(typed, trouble=together((none, _meant(named.proposals[:3]))))


def _meant(proposals: Sequence[str]) -> Said:
    match list(proposals):
        case []:
            return say("Look it up among the taxa.")
        case [one]:
            return say("Did you mean {name}?", name=one)
        case [one, other]:
            return say("Did you mean {one} or {other}?", one=one, other=other)
        case [one, other, third, *_]:
            return say("Did you mean {one} or {other} or {third}?", one=one, other=other, third=third)
