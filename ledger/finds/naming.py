"""How a typed name is understood: which known taxon it means, or which ones it might. Never silently replaced."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ledger.taxa.models import Taxon
from ledger.taxa.queries import current_reference


@dataclass(frozen=True, slots=True)
class Named:
    """A typed name as it was understood. `taxon` is the known taxon the check compares with, or None.

    `kind`: empty (unnamed), exact, synonym, near or none. `proposals` are known names the member may take instead.
    """

    typed: str = ""
    kind: str = ""
    taxon: str | None = None
    authority: str = ""
    qualifier: str = ""
    proposals: Sequence[str] = ()
    parts: Sequence[tuple[str, bool]] = ()

    @property
    def taxon_id(self) -> int | None:
        if self.taxon is None:
            return None
        return Taxon.objects.filter(name=self.taxon).values_list("pk", flat=True).first()


@dataclass(frozen=True, slots=True)
class _Known:
    names: Sequence[str]
    synonyms: Mapping[str, Sequence[str]] = field(default_factory=dict)


def read(typed: str) -> Named:
    """Match a typed name to the known names. Without one, or with several, the name stays as it was typed."""
    from ledger.names.match import match_name
    from ledger.names.parse import parse_name

    typed = " ".join(typed.split())
    if not typed:
        return Named()
    raise NotImplementedError(match_name, parse_name)
