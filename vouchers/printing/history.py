"""What a find was named before, and whether its last name has a slip to give. Reads rows already fetched."""

from ledger.bench.models import Determination
from ledger.finds.models import Find
from ledger.names.authority import cite
from ledger.words import say


def earlier_name(find: Find) -> Determination | None:
    """Return the last determination before the current one that gave another name, or None."""
    current = find.current_determination
    if current is None:
        return None
    before = [row for row in _before(find) if row.name_typed and _bare(row) != _bare(current)]
    return before[-1] if before else None


def later_determination(find: Find) -> Determination | None:
    """Return the current determination if it is a later one that gives a name: that is what a slip carries."""
    current = find.current_determination
    return current if current is not None and current.name_typed and _before(find) else None


def later_determinations(find: Find) -> list[Determination]:
    """Return every determination after the first that gives a name, the oldest first: each has a slip of its own."""
    rows = sorted(find.determinations.all(), key=lambda row: (row.made_at, row.pk))
    return [row for row in rows[1:] if row.name_typed]


def slip_refusal(find: Find, number: str) -> str:
    """Return why there is no slip for the packet of that number and what to do, or an empty text."""
    current = find.current_determination
    if current is None or not (current.name_typed or _before(find)):
        return say(
            "{number} has no slip: it was never named. Print its packet label, or name it at the bench first.",
            number=number,
        )
    if not current.name_typed:
        return say(
            "{number} has no slip: its last determination takes the name back, and a slip carries a name. Name it at the "
            "bench first.",
            number=number,
        )
    if not _before(find):
        return say(
            "{number} has no slip: it was determined once, and its packet label says so. A slip is for a determination "
            "after the first; print the packet label.",
            number=number,
        )
    return ""


def _before(find: Find) -> list[Determination]:
    """Determinations made before the current one, the oldest first."""
    current = find.current_determination
    if current is None:
        return []
    made = (current.made_at, current.pk)
    return [row for row in find.determinations.all() if (row.made_at, row.pk) < made]


def _bare(row: Determination) -> str:
    return "".join(part.text for part in cite(row.name_typed).parts)
