"""The club's own measurements of a taxon against the books, trait by trait."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q

from ledger.finds.models import Reading, Status
from ledger.search.walk import held, rows_to_hold
from ledger.spores.statistics import LEAST_FOR_PERCENTILES, PERCENTILE_FORMULA
from ledger.taxa import range_words
from ledger.taxa.actions import CLUB_SOURCE
from ledger.taxa.models import Taxon
from ledger.taxa.queries import current_reference
from ledger.traits.explain import source_name
from ledger.traits.ranges import DocumentedRange
from ledger.traits.reference import Reference
from ledger.traits.units import factor_to
from ledger.traits.vocabulary import Trait
from ledger.words import say
from ledger.year.against import Against, Bounds, Strip, draw, proposed

# Of a taxon found ten thousand times the latest are enough, and are told to be so many.
MOST_FINDS = 1000


@dataclass(frozen=True, slots=True)
class BookLine:
    source: str
    figures: str
    condition: str
    is_clubs: bool
    strip: Strip


@dataclass(frozen=True, slots=True)
class Values:
    """Values of one trait in its own unit, and of how many finds they are; `left_out`: finds not read fresh."""

    trait: Trait
    values: tuple[float, ...]
    finds: int
    left_out: int

    @property
    def decimals(self) -> int:
        return 0 if (self.trait.resolution or 0) >= 1 else 1

    @property
    def condition(self) -> str:
        return "fresh" if self.trait.fresh_only else "any"


class TraitLine:
    """One trait: figures, drawing, sources, and the range that would be made of the values."""

    def __init__(self, measured: Values, rows: Sequence[DocumentedRange], reference: Reference) -> None:
        self.trait, self.measured = measured.trait, measured
        bounds = [Bounds(row.low_extreme, row.low, row.high, row.high_extreme) for row in rows]
        self.drawn: Against = draw(measured.values, bounds)
        self.found = self.drawn.found
        self.unit = range_words.unit_words(self.trait)
        self.proposed = proposed(self.found, measured.decimals)
        self.books = [
            BookLine(
                source_name(reference.sources[row.source_id]),
                self._said(bound),
                "" if row.condition == "any" else row.condition,
                row.source_id.startswith(CLUB_SOURCE),
                strip,
            )
            for row, bound, strip in zip(rows, bounds, self.drawn.strips, strict=True)
        ]

    @property
    def own(self) -> str:
        """The values in the trade's notation."""
        found = self.found
        if self.proposed is not None:
            return self._said(self.proposed)
        return self._said(Bounds(None, found.smallest, found.largest, None))

    @property
    def mean(self) -> str:
        return f"{self.found.mean:.{self.measured.decimals + 1}f}"

    @property
    def inside(self) -> int:
        """How many of the values lie within the outermost bounds of at least one book."""
        books = [
            (row.strip.rare_x, row.strip.rare_x + row.strip.rare_width)
            for row in self.books
            if not row.is_clubs
        ]
        low, high = self._ends()
        return sum(
            any(first - 1e-6 <= (value - low) / (high - low) * 100 <= last + 1e-6 for first, last in books)
            for value in self.measured.values
        )

    @property
    def has_books(self) -> bool:
        return any(not row.is_clubs for row in self.books)

    @property
    def mark(self) -> str:
        """The figures that a curator saw, so that no others are adopted."""
        return f"{self.own} n={self.found.n}"

    def _ends(self) -> tuple[float, float]:
        """The values at both ends of the frame, out of two ticks."""
        first, last = self.drawn.ticks[0], self.drawn.ticks[-1]
        per = (float(last.text) - float(first.text)) / (last.at - first.at)
        low = float(first.text) - first.at * per
        return low, low + 100 * per

    def _said(self, one: Bounds) -> str:
        def text(value: float) -> str:
            return f"{round(value, self.measured.decimals):g}"

        before = f"({text(one.low_extreme)}–)" if one.low_extreme is not None else ""
        after = f"(–{text(one.high_extreme)})" if one.high_extreme is not None else ""
        if one.low is not None and one.high is not None:
            middle = text(one.low) if one.low == one.high else f"{text(one.low)}–{text(one.high)}"
        elif one.high is not None:
            middle = say("up to {value}", value=text(one.high))
        else:
            middle = say("from {value}", value=text(one.low)) if one.low is not None else ""
        return f"{before}{middle}{after}"


class MeasuredPage:
    formula = PERCENTILE_FORMULA
    least = LEAST_FOR_PERCENTILES
    most_finds = MOST_FINDS

    def __init__(self, taxon: Taxon, *, settled_only: bool) -> None:
        self.taxon, self.settled_only = taxon, settled_only
        reference = current_reference()
        self.is_cut, values = values_of(taxon, settled_only=settled_only)
        self.lines = [
            TraitLine(one, _documented(reference, taxon, one.trait), reference)
            for one in sorted(values, key=lambda one: one.trait.order)
        ]

    def line(self, trait: str) -> TraitLine | None:
        return next((line for line in self.lines if line.trait.code == trait), None)


def values_of(taxon: Taxon, *, settled_only: bool) -> tuple[bool, list[Values]]:
    """Values by trait of the latest finds so named, and whether there are more finds than were read."""
    rows = rows_to_hold().filter(taxon=taxon)
    if settled_only:
        # Held against each find of the taxon; by its own index all that ever was settled would be read.
        rows = rows.filter(held(Q(status=Status.SETTLED)))
    finds = list(rows.order_by("-latest", "-id").values_list("find_id", flat=True)[: MOST_FINDS + 1])
    is_cut, finds = len(finds) > MOST_FINDS, finds[:MOST_FINDS]
    traits = {
        code: trait for code, trait in current_reference().vocabulary.traits.items() if trait.kind == "number"
    }
    found: dict[str, list[float]] = defaultdict(list)
    of: dict[str, set[object]] = defaultdict(set)
    left_out: dict[str, set[object]] = defaultdict(set)
    for start in range(0, len(finds), 500):
        readings = Reading.objects.filter(
            find__in=finds[start : start + 500], trait__in=traits, ended_at__isnull=True, looked="read"
        ).order_by("find_id", "id")
        for find, code, values, low, high, unit, state, of_find in readings.values_list(
            "find_id", "trait", "values", "low", "high", "unit", "state", "find__specimen_state"
        ):
            trait = traits[code]
            factor = factor_to(trait.unit or "", unit) if unit and unit != trait.unit else 1.0
            given = values or [end for end in (low, high) if end is not None]
            if factor is None or not given or (trait.fresh_only and (state or of_find) != "fresh"):
                left_out[code].add(find)
                continue
            found[code] += [value * factor for value in given]
            of[code].add(find)
    return is_cut, [
        Values(traits[code], tuple(values), len(of[code]), len(left_out[code]))
        for code, values in found.items()
    ]


def _documented(reference: Reference, taxon: Taxon, trait: Trait) -> list[DocumentedRange]:
    rows = [
        row for row in reference.ranges_for(taxon.name, trait.code) if (row.low, row.high) != (None, None)
    ]
    return sorted(rows, key=lambda row: (row.source_id.startswith(CLUB_SOURCE), row.source_id))
