"""What a page was asked for, out of its address: a taxon, a year, a foray. What cannot be is told and left out."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode

from ledger.forays.models import Foray
from ledger.taxa.models import Taxon
from ledger.words import say
from ledger.year.cells import ALL

MOST_FORAYS_OFFERED = 200


@dataclass(slots=True)
class Asked:
    taxon: Taxon | None = None
    year: int | None = None
    foray: Foray | None = None
    troubles: list[str] = field(default_factory=list)

    @property
    def taxon_key(self) -> int:
        return self.taxon.pk if self.taxon else ALL

    @property
    def year_key(self) -> int:
        return self.year or ALL

    def query(self, **other: str | int | None) -> str:
        """As the end of an address, with or without some of it."""
        said: dict[str, str | int | None] = {
            "taxon": self.taxon.slug if self.taxon else None,
            "year": self.year,
            "foray": self.foray.pk if self.foray else None,
        }
        return urlencode({name: value for name, value in {**said, **other}.items() if value is not None})


def asked_of(given: Mapping[str, str]) -> Asked:
    """Read an address. A taxon is named by its slug or its name."""
    asked = Asked()
    named = given.get("taxon", "").strip()[:130]
    if named:
        asked.taxon = (
            Taxon.objects.filter(slug=named).first()
            or Taxon.objects.filter(name__iexact=named).first()
            or Taxon.objects.filter(synonyms__name__iexact=named).first()
        )
        if asked.taxon is None:
            asked.troubles.append(
                say(
                    "The reference has no taxon called “{name}”, so all are shown. Choose one from the list.",
                    name=named,
                )
            )
    typed = given.get("year", "").strip()[:10]
    if typed:
        if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= 9999:
            asked.year = int(typed)
        else:
            asked.troubles.append(
                say("“{typed}” is no year, so all are shown. Write it as 2026.", typed=typed)
            )
    number = given.get("foray", "").strip()[:12]
    if number:
        if number.isascii() and number.isdigit():
            asked.foray = Foray.objects.filter(pk=int(number)).first()
        if asked.foray is None:
            asked.troubles.append(say("That foray is not in the ledger, so the finds of all are shown."))
    return asked


def forays_offered(asked: Asked) -> list[Foray]:
    """The latest forays, and the one that was asked for."""
    rows = list(Foray.objects.order_by("-held_on", "name")[:MOST_FORAYS_OFFERED])
    return rows if asked.foray is None or asked.foray in rows else [asked.foray, *rows]
