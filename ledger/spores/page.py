"""What the page of a find's spores shows to one member, gathered once; its JSON twin is made from the same."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from ledger.finds import access
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.spores.actions import LENGTH, WIDTH
from ledger.spores.models import SporeSet
from ledger.spores.notation import mean_text, written
from ledger.spores.plot import Bounds, Plot, draw
from ledger.spores.statistics import PERCENTILE_FORMULA, Figures, Summary, remarks, summary
from ledger.taxa.queries import current_reference
from ledger.traits.explain import source_name
from ledger.traits.ranges import DocumentedRange
from ledger.traits.reference import Reference
from ledger.traits.units import number_text
from ledger.words import in_english, say


@dataclass(frozen=True, slots=True)
class Spore:
    number: int
    length: str
    width: str
    quotient: str


@dataclass(frozen=True, slots=True)
class FiguresRow:
    """One line of the table of figures, as text."""

    label: str
    unit: str
    smallest: str
    low: str
    mean: str
    median: str
    high: str
    largest: str
    spread: str


@dataclass(frozen=True, slots=True)
class DocumentedRow:
    """What one source documents of the spores of the named taxon, in its own figures."""

    source: str
    length: str
    width: str


class ShownSet:
    """One set with its figures, its line in the trade's notation, its plot and its spores."""

    def __init__(self, row: SporeSet, documented: Sequence[Bounds], taxon: str, *, tells_note: bool) -> None:
        self.row, self.taxon = row, taxon
        self._documented, self._tells_note = documented, tells_note

    @cached_property
    def summary(self) -> Summary:
        return summary(self.row.spores)

    @property
    def written(self) -> str:
        return written(self.summary, fruit_bodies=self.row.fruit_bodies)

    @property
    def line(self) -> list[str]:
        """The same in pieces that are not broken over two lines; with blanks between them they are the whole."""
        pieces = self.written.replace(" × ", " \n× ").replace("] ", "] \n").replace(", ", ", \n")
        return [piece.strip() for piece in pieces.split("\n")]

    @property
    def remarks(self) -> list[str]:
        return remarks(self.row.spores)

    @cached_property
    def plot(self) -> Plot:
        return draw(self.row.spores, self._documented, taxon=self.taxon)

    @property
    def microscope(self) -> str:
        """Magnification, calibration, and to what the spores were read."""
        row = self.row
        said = [f"×{row.magnification}" if row.magnification else say("magnification not given")]
        if row.um_per_division:
            said.append(say("{um} µm a division", um=f"{row.um_per_division:g}"))
        else:
            said.append(say("calibration not given"))
        if row.resolution_um:
            said.append(say("read to {um} µm", um=f"{row.resolution_um:g}"))
        else:
            said.append(say("to what it was read was not given"))
        return ", ".join(said)

    @property
    def note(self) -> str:
        """People write freely in notes: they go with the exact place."""
        return self.row.note if self._tells_note else ""

    @property
    def spores(self) -> list[Spore]:
        return [
            Spore(number, f"{length:g}", f"{width:g}", f"{length / width:.2f}")
            for number, (length, width) in enumerate(self.row.spores, start=1)
        ]

    @property
    def figures(self) -> list[FiguresRow]:
        found = self.summary
        rows = (
            (say("Length"), "µm", found.length),
            (say("Width"), "µm", found.width),
            ("Q", "", found.quotient),
        )
        return [_figures_row(label, unit, row) for label, unit, row in rows]

    @property
    def quotient_of_means(self) -> str:
        return mean_text(self.summary.quotient_of_means)


class SporesPage:
    """The sets of a find. Made from a find with its foray's leader and its name's taxon at hand."""

    def __init__(self, find: Find, member: Member) -> None:
        self.find, self.member = find, member

    @property
    def may_amend(self) -> bool:
        return access.may_amend(self.find, self.member)

    @cached_property
    def _rows(self) -> list[SporeSet]:
        related = ("length_reading", "width_reading", "made_by", "ended_by")
        return list(self.find.spore_sets.select_related(*related))

    @cached_property
    def _shown(self) -> list[ShownSet]:
        tells_note = access.sees_exact_place(self.find, self.member)
        return [
            ShownSet(row, self.documented_bounds, self.taxon, tells_note=tells_note)
            for row in reversed(self._rows)
        ]

    @property
    def sets(self) -> list[ShownSet]:
        """Those in force: the one that the readings are made of, then the latest."""
        in_force = [shown for shown in self._shown if shown.row.ended_at is None]
        return sorted(in_force, key=lambda shown: not shown.row.is_reading)

    @property
    def earlier(self) -> list[ShownSet]:
        """Those amended or withdrawn, the latest first."""
        return [shown for shown in self._shown if shown.row.ended_at is not None]

    @cached_property
    def taxon(self) -> str:
        named = self.find.current_determination
        return named.taxon.name if named and named.taxon else ""

    @cached_property
    def reference(self) -> Reference:
        return current_reference()

    @cached_property
    def _documented(self) -> dict[str, tuple[list[DocumentedRange], list[DocumentedRange]]]:
        """Rows of length and of width by source, sources in the order of the reference."""
        found: dict[str, tuple[list[DocumentedRange], list[DocumentedRange]]] = {}
        for place, trait in enumerate((LENGTH, WIDTH)):
            for row in self.reference.ranges_for(self.taxon, trait):
                found.setdefault(row.source_id, ([], []))[place].append(row)
        return found

    @property
    def documented_bounds(self) -> list[Bounds]:
        return [
            Bounds(self._name(source), *_bounds(lengths), *_bounds(widths))
            for source, (lengths, widths) in self._documented.items()
        ]

    @property
    def documented(self) -> list[DocumentedRow]:
        return [
            DocumentedRow(self._name(source), _range_text(lengths), _range_text(widths))
            for source, (lengths, widths) in self._documented.items()
        ]

    @property
    def formula(self) -> str:
        return PERCENTILE_FORMULA

    def _name(self, source: str) -> str:
        return source_name(self.reference.sources[source])


def as_json(page: SporesPage) -> dict[str, Any]:
    """The sets for programs: raw pairs, how they were read, and the figures with the name of their formula; in English."""
    with in_english():
        return {
            "find": str(page.find.pk),
            "number": page.find.collecting_number,
            "taxon": page.taxon or None,
            "percentile_formula": str(PERCENTILE_FORMULA),
            "sets": [set_json(shown) for shown in page.sets],
            "earlier": [set_json(shown) for shown in page.earlier],
        }


def set_json(shown: ShownSet) -> dict[str, Any]:
    row, found = shown.row, shown.summary
    return {
        "id": str(row.pk),
        "pairs": row.pairs,
        "unit": "um",
        "n": found.n,
        "mount": row.mount,
        "material": row.material,
        "fruit_bodies": row.fruit_bodies,
        "magnification": row.magnification,
        "um_per_division": row.um_per_division,
        "resolution_um": row.resolution_um,
        "measured_on": row.measured_on.isoformat() if row.measured_on else None,
        "measured_by": row.measured_by,
        "note": shown.note,
        "written": shown.written,
        "length": _figures_json(found.length),
        "width": _figures_json(found.width),
        "q": _figures_json(found.quotient),
        "q_of_means": round(found.quotient_of_means, 4),
        "remarks": shown.remarks,
        "is_reading": row.ended_at is None and row.is_reading,
        "replaces": str(row.replaces_id) if row.replaces_id else None,
        "made_by": row.made_by.full_name,
        "made_at": row.made_at.isoformat(),
        "ended_at": row.ended_at.isoformat() if row.ended_at else None,
    }


def _figures_json(row: Figures) -> dict[str, float | None]:
    given = {
        "min": row.smallest,
        "p5": row.low if row.has_percentiles else None,
        "mean": row.mean,
        "median": row.median,
        "p95": row.high if row.has_percentiles else None,
        "max": row.largest,
        "sd": row.sd,
        "cv_percent": row.spread_percent,
        "se": row.error_of_mean,
    }
    return {name: None if value is None else round(value, 6) for name, value in given.items()}


def _figures_row(label: str, unit: str, row: Figures) -> FiguresRow:
    no_percentiles = "–"
    return FiguresRow(
        label,
        unit,
        mean_text(row.smallest),
        mean_text(row.low) if row.has_percentiles else no_percentiles,
        mean_text(row.mean),
        mean_text(row.median),
        mean_text(row.high) if row.has_percentiles else no_percentiles,
        mean_text(row.largest),
        "–" if row.sd is None else f"{row.sd:.2f} ({row.spread_percent:.1f} %)",
    )


def _bounds(rows: Sequence[DocumentedRange]) -> tuple[float | None, float | None]:
    """The usual range of one source, its extremes where it gives no other; None where it leaves a side open."""
    lows = [row.lowest if row.low is None else row.low for row in rows]
    highs = [row.highest if row.high is None else row.high for row in rows]
    low = min((value for value in lows if value is not None), default=None)
    return low, max((value for value in highs if value is not None), default=None)


def _range_text(rows: Sequence[DocumentedRange]) -> str:
    return "; ".join(_one_range(row) for row in rows) or "–"


def _one_range(row: DocumentedRange) -> str:
    before = f"({number_text(row.low_extreme)}–)" if row.low_extreme is not None else ""
    after = f"(–{number_text(row.high_extreme)})" if row.high_extreme is not None else ""
    if row.low is not None and row.high is not None:
        middle = f"{number_text(row.low)}–{number_text(row.high)}"
    elif row.low is not None:
        middle = say("from {value}", value=number_text(row.low))
    else:
        middle = say("to {value}", value=number_text(row.high or 0))
    return f"{before}{middle}{after}" + ("" if row.condition == "any" else f", {say(row.condition)}")
