"""Collecting numbers: none twice, none left out without a word."""

from collections.abc import Iterable, Iterator

from ledger.record.facts import Limits, RecordFacts
from ledger.record.flags import Flag, FlagTable, Value
from ledger.words import say, together


def number_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """A repeat stops the packet; a void number asks for a look; a gap is noted on the first find after it."""
    serial = facts.collecting_serial
    if serial is None:
        return
    number = f"{facts.collecting_code} {serial}"
    if facts.same_number_finds > 0:
        yield table.flag("number_repeated", {"number": number, "others": facts.same_number_finds})
    if facts.number_void_on is not None:
        yield table.flag("number_void", {"number": number, "voided_on": facts.number_void_on.isoformat()})
    if facts.number_waits is not None:
        waits = facts.number_waits
        told_of: dict[str, Value] = {"number": number, "first": waits.first, "last": waits.last}
        yield table.flag("number_on_a_phone", told_of, context={"whose": waits.whose})
    if facts.earlier_serial is None or facts.earlier_serial >= serial:
        return
    missing = _left_out(facts.earlier_serial, serial, facts.accounted_serials)
    if missing:
        told: dict[str, Value] = {
            "count": sum(last - first + 1 for first, last in missing),
            "earlier": f"{facts.collecting_code} {facts.earlier_serial}",
            "number": number,
            "missing": spans(missing),
        }
        yield table.flag("number_gap", told)


def _left_out(earlier: int, serial: int, accounted: Iterable[int]) -> list[tuple[int, int]]:
    """Runs of serials between the two that nothing accounts for; a slip of the pen may leave out millions."""
    runs = []
    start = earlier + 1
    for known in (*sorted(n for n in accounted if earlier < n < serial), serial):
        if known > start:
            runs.append((start, known - 1))
        start = known + 1
    return runs


def spans(runs: Iterable[tuple[int, int]]) -> str:
    """Runs of serials in words: `13`, `13 to 16`, `13, 15 to 17`."""
    return together(
        [
            str(first) if first == last else say("{first} to {last}", first=first, last=last)
            for first, last in runs
        ],
        ", ",
    )
