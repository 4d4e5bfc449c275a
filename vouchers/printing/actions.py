"""Items to a PDF with what became of each, compared with what was printed before; and the record of what was printed."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from ledger.languages import of_the_club, page_language
from ledger.people.models import Member
from vouchers.labels.pdf import Batch, render_run
from vouchers.labels.prepare import Label, Lines
from vouchers.labels.refusals import Refusal, of_all, reason_of
from vouchers.labels.sheets import SHEETS
from vouchers.printing.compare import Difference, differences, digest, lines_of
from vouchers.printing.items import Item
from vouchers.printing.models import PrintedLabel
from vouchers.printing.queries import last_prints


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of an item: what is printed of it line by line, or why it is not; and its last print, if any."""

    item: Item
    lines: Lines
    refusal: Refusal | None
    last: PrintedLabel | None

    @property
    def changed(self) -> tuple[Difference, ...]:
        """The lines that differ from the last print."""
        if self.last is None:
            return ()
        return differences(lines_of(self.last.lines), self.lines, exact=self.item.exact)

    @property
    def wanted_again(self) -> bool:
        """Whether to print it again unless somebody says otherwise: a slip lies in its packet, and one is enough."""
        return bool(self.changed) or self.item.kind != "slip"


@dataclass(frozen=True, slots=True)
class Run:
    """One PDF, or None where no label could be printed, and what became of each item, in order."""

    pdf: bytes | None
    paper: str
    outcomes: tuple[Outcome, ...]

    @property
    def refused(self) -> list[Refusal]:
        return [one.refusal for one in self.outcomes if one.refusal is not None]

    @property
    def reasons(self) -> list[str]:
        """Why labels were refused, each reason once, with all that it holds for."""
        alike: dict[str, list[Refusal]] = {}
        for refusal in self.refused:
            alike.setdefault(reason_of(refusal), []).append(refusal)
        return [of_all(these) for these in alike.values()]

    @property
    def printed(self) -> list[Outcome]:
        """Those that are in the PDF."""
        return [one for one in self.outcomes if one.refusal is None]

    @property
    def printed_before(self) -> list[Outcome]:
        return [one for one in self.printed if one.last is not None]

    @property
    def to_be_read(self) -> bool:
        """Whether something must be read before the sheets go to the printer."""
        return bool(self.refused or self.printed_before)


def print_items(
    items: Sequence[Item], *, paper: str, now: datetime, again: Collection[str] | None = None
) -> Run:
    """Make the PDF of the items, each kind on sheets of its own, in the order of the sheets.

    `again`: keys of those to print although they were printed before; None prints all. Nothing is written: `keep_print`
    does that once the PDF goes out.
    """
    before = last_prints([item.key for item in items if item.label is not None])
    chosen = [item for item in items if again is None or item.key not in before or item.key in again]
    pdf, became = _drawn(chosen, paper, now)
    outcomes = tuple(
        Outcome(item, *told, before.get(item.key)) for item, told in zip(chosen, became, strict=True)
    )
    return Run(pdf, paper, outcomes)


def _drawn(
    items: Sequence[Item], paper: str, now: datetime
) -> tuple[bytes | None, list[tuple[Lines, Refusal | None]]]:
    """Draw those that have a label; the PDF, and what became of each item."""
    became: list[tuple[Lines, Refusal | None]] = [((), item.refusal) for item in items]
    at_of: dict[str, list[int]] = {}
    labels: dict[str, list[Label]] = {}
    for at, item in enumerate(items):
        if item.label is not None:
            at_of.setdefault(item.sheet, []).append(at)
            labels.setdefault(item.sheet, []).append(item.label)
    sheets = [sheet for sheet in SHEETS if sheet in labels]
    if not sheets:
        return None, became
    # Labels stay with the specimens: they are in the club's language, whoever prints them.
    with of_the_club():
        batches = [Batch(sheet, labels[sheet]) for sheet in sheets]
        printed = render_run(batches, paper, made_at=now, language=page_language())
    for sheet, row in zip(sheets, printed.became, strict=True):
        for at, one in zip(at_of[sheet], row, strict=True):
            became[at] = ((), one) if isinstance(one, Refusal) else (one, None)
    return printed.pdf, became


@transaction.atomic
def keep_print(run: Run, *, by: Member, now: datetime) -> int:
    """Write down what is on each label of a PDF that goes out, as it is drawn; return how many labels that were."""
    rows = [
        PrintedLabel(
            kind=one.item.kind,
            key=one.item.key,
            number=one.item.number,
            voucher=one.item.voucher,
            lines=[list(line) for line in one.lines],
            digest=digest(one.item.kind, one.lines),
            sheet=one.item.sheet,
            paper=run.paper,
            printed_at=now,
            printed_by=by,
        )
        for one in run.printed
    ]
    PrintedLabel.objects.bulk_create(rows, batch_size=500)
    return len(rows)
