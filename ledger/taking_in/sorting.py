"""Which finds of a file are new, and what the report says of the others."""

import uuid
from collections.abc import Collection, Iterator, Sequence

from ledger.finds.models import Find
from ledger.taking_in.drafts import Draft, WrongLine
from ledger.taking_in.models import TakenFind
from ledger.taking_in.report import HERE, NEW, WRONG, Line, Report
from ledger.words import say

_AT_ONCE = 500


def sorted_out(rows: Iterator[Draft | WrongLine], report: Report) -> list[Draft]:
    """The finds that are new; of the others the line of the report says why they are not taken in."""
    drafts: list[Draft] = []
    seen: dict[uuid.UUID, Draft] = {}
    for row in rows:
        if isinstance(row, WrongLine):
            report.lines.append(Line(row.line, WRONG, says=list(row.why)))
            continue
        first = seen.get(row.id)
        if first is None:
            seen[row.id] = row
            drafts.append(row)
        elif first.digest == row.digest:
            report.lines.append(
                Line(
                    row.line,
                    HERE,
                    row.label,
                    _name_of(row),
                    [say("The same as line {line}; taken in once.", line=first.line)],
                )
            )
        else:
            why = say(
                "It has the same identity as line {line}, “{identity}”, and says something else. Give each record an "
                "identity of its own.",
                line=first.line,
                identity=row.identity[:60],
            )
            report.lines.append(Line(row.line, WRONG, row.label, _name_of(row), [why]))
    here = in_ledger(list(seen))
    known = _taken(here)
    new = []
    for draft in drafts:
        if draft.id not in here:
            new.append(draft)
            continue
        says = [say("It is in the ledger; nothing is changed.")]
        if draft.id in known and known[draft.id] != draft.digest:
            says = [
                say(
                    "It is in the ledger, taken in from a line that said something else. The find is left as it is."
                )
            ]
        report.lines.append(Line(draft.line, HERE, draft.label, _name_of(draft), says, find=str(draft.id)))
    return new


def in_ledger(keys: Sequence[uuid.UUID]) -> set[uuid.UUID]:
    found: set[uuid.UUID] = set()
    for start in range(0, len(keys), _AT_ONCE):
        found |= set(
            Find.objects.filter(pk__in=keys[start : start + _AT_ONCE]).order_by().values_list("pk", flat=True)
        )
    return found


def taken_in_before(keys: Sequence[uuid.UUID]) -> set[uuid.UUID]:
    """Those of *keys* that came by a file."""
    return set(_taken(keys))


def _taken(keys: Collection[uuid.UUID]) -> dict[uuid.UUID, str]:
    wanted, found = list(keys), {}
    for start in range(0, len(wanted), _AT_ONCE):
        rows = TakenFind.objects.filter(find__in=wanted[start : start + _AT_ONCE]).order_by()
        found.update(rows.values_list("find_id", "digest"))
    return found


def line_of(draft: Draft, report: Report) -> Line:
    line = Line(draft.line, NEW, draft.label, _name_of(draft), list(draft.says))
    report.lines.append(line)
    return line


def _name_of(draft: Draft) -> str:
    return next((one.given.typed for one in draft.names if one.is_current), "")
