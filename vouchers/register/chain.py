"""The chain of the register: each entry carries the hash of the one before. Pure.

An entry's body is canonical JSON: keys sorted, no blanks, ASCII only, so that no database and no form of a letter can
change its bytes. Its digest is SHA-256 (FIPS 180-4) over the digest of the entry before, 64 hexadecimal digits, and the
body. The first entry follows 64 zeros.

The chain proves that nothing was altered or removed between two entries. Somebody who can write the database can make a
whole new chain; against that stands the digest of the last entry on paper, in each printed register book.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

BEGINNING = "0" * 64


@dataclass(frozen=True, slots=True)
class Row:
    """An entry as it is stored. `kind` and `accession_number` stand in the body too."""

    number: int
    kind: str
    accession_number: str
    body: str
    before: str
    digest: str


@dataclass(frozen=True, slots=True)
class Head:
    """How many entries were ever written, and the digest of the last."""

    count: int
    digest: str


@dataclass(frozen=True, slots=True)
class Trouble:
    """The first bad entry: its number, the accession number it is of ("" where it is not known), and why."""

    number: int
    accession_number: str
    why: str


def canonical(facts: Mapping[str, Any]) -> str:
    """Return the facts as the text that is hashed. Texts, whole numbers, lists and None only; NaN is refused."""
    return json.dumps(facts, sort_keys=True, ensure_ascii=True, separators=(",", ":"), allow_nan=False)


def digest_of(before: str, body: str) -> str:
    """Return the digest of an entry with that body, following the entry with the digest `before`."""
    # A stored body may hold anything once somebody has altered it; it is hashed all the same.
    return sha256((before + body).encode("utf-8", "surrogatepass")).hexdigest()


def next_row(head: Head, *, kind: str, accession_number: str, facts: Mapping[str, Any]) -> Row:
    """Return the entry that follows *head*. Its number, kind and accession number go into the body with the facts."""
    own = {"entry": head.count + 1, "kind": kind, "accession number": accession_number}
    if clash := own.keys() & facts.keys():
        raise ValueError(f"An entry says {', '.join(sorted(clash))} by itself.")
    body = canonical({**facts, **own})
    return Row(head.count + 1, kind, accession_number, body, head.digest, digest_of(head.digest, body))


def facts_of(row: Row) -> dict[str, Any]:
    """Return what the body says; an empty dict where it is no JSON object any more."""
    try:
        facts = json.loads(row.body)
    except ValueError:
        return {}
    return facts if isinstance(facts, dict) else {}


def verify(rows: Iterable[Row], head: Head) -> Trouble | None:
    """Return the first entry that is altered, removed or out of place, or None.

    `rows` come in the order of their numbers. The head is what the last row is held against, so that a last row that
    was removed is missed.
    """
    before = Head(0, BEGINNING)
    for row in rows:
        if row.number != before.count + 1:
            return _out_of_order(row, before.count + 1)
        if why := _wrong_with(row, before.digest):
            return Trouble(row.number, row.accession_number, why)
        before = Head(row.number, row.digest)
    if before.count < head.count:
        left = head.count - before.count
        return Trouble(
            before.count + 1,
            "",
            f"It is missing, and so {'is' if left == 1 else 'are'} all after {before.count}: "
            f"the head of the register counts {head.count}.",
        )
    if before.count > head.count:
        return Trouble(
            head.count + 1, "", f"It was not written by the ledger: the head counts {head.count} entries."
        )
    if before.digest != head.digest:
        return Trouble(before.count, "", "The head of the register holds another digest for the last entry.")
    return None


def _out_of_order(row: Row, due: int) -> Trouble:
    if row.number > due:
        return Trouble(due, "", f"It is missing: after {due - 1} comes {row.number}.")
    return Trouble(row.number, row.accession_number, f"It stands where {due} is due.")


def _wrong_with(row: Row, before: str) -> str:
    facts = facts_of(row)
    stands_in = facts.get("entry")
    if (
        isinstance(stands_in, int)
        and stands_in != row.number
        and digest_of(row.before, row.body) == row.digest
    ):
        return f"It holds what was written as entry {stands_in}."
    if row.before != before:
        return "It does not follow the entry before it: that one, or this one, was altered."
    if digest_of(before, row.body) != row.digest:
        return "Its text and its digest do not agree: one of them was altered."
    if stands_in != row.number:
        return "Its text does not say which entry it is."
    for what, stored in (("kind", row.kind), ("accession number", row.accession_number)):
        if facts.get(what) != stored:
            return f"Its {what} reads {stored!r} where its text says {facts.get(what)!r}."
    return ""
