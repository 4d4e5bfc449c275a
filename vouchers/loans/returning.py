"""The page on which parts of a loan are ticked or scanned as they come back: what was typed stays, whatever is refused."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from vouchers.loans.models import Loan, LoanItem, Moment


@dataclass(frozen=True, slots=True)
class ReturnRow:
    """One item that is out, as the page shows it: its boxes have the names `back-<id>` and `condition-<id>`.

    `left`: how it looked as it left, in words; empty where nobody noted it.
    """

    item: LoanItem
    is_ticked: bool
    words: str
    left: str


class ReturnPage:
    """The items that are out, and what was posted of them."""

    def __init__(self, loan: Loan, posted: Mapping[str, str] | None) -> None:
        typed = posted or {}
        self.rows = [
            ReturnRow(
                item,
                f"back-{item.pk}" in typed,
                typed.get(f"condition-{item.pk}", "")[:1000],
                "; ".join(one.words for one in item.conditions.all() if one.moment == Moment.OUT),
            )
            for item in loan.items.with_part().out().prefetch_related("conditions")
        ]

    def conditions(self, cleaned: Mapping[str, Any]) -> dict[int, str]:
        """Part -> words on its condition, of all that were ticked or scanned: its own words, or else the common ones."""
        own = {row.item.part_id: row.words.strip() for row in self.rows}
        parts = [row.item.part_id for row in self.rows if row.is_ticked]
        parts += [part.pk for part in cleaned["codes"] or ()]
        return {part: own.get(part) or cleaned["condition"] for part in parts}
