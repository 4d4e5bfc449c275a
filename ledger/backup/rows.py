"""Rows of a table as lines of JSON, the same from either database, and back.

A member holds the names of the columns on its first line and a row on each other. Moments are UTC with microseconds,
identifiers and decimals text, bytes base64. For the digest of a table, numbers are brought to one form: in a JSON column
PostgreSQL keeps decimals, so that 1e16 comes back as a whole number and -0.0 without its sign.
"""

import base64
import json
import sys
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.db import DatabaseError, connections, models, transaction
from django.utils.duration import duration_string

from ledger.backup.errors import BackupError, Damaged
from ledger.backup.tables import fields_of

# Some 4 MB of text a member, read and written as one; a row larger than that has its member alone.
MEMBER_BYTES = 4_000_000
LARGEST_TEXT = 256_000_000
ROWS_AT_ONCE = 500
_SUM = 1 << 256
_ONE_FORM_FROM = 10**16
_LARGEST_FLOAT = int(sys.float_info.max)


@dataclass(slots=True)
class Tally:
    """How many rows, and the sum of their SHA-256 modulo 2^256: the same in whatever order a database gives them."""

    rows: int = 0
    total: int = 0

    def add(self, line: bytes) -> None:
        self.rows += 1
        self.total = (self.total + int.from_bytes(sha256(line).digest(), "big")) % _SUM

    def as_json(self) -> dict[str, Any]:
        return {"rows": self.rows, "digest": f"{self.total:064x}"}


@dataclass(slots=True)
class Rows:
    """The rows of a table on their way out. `tally` is whole once `lines()` is exhausted."""

    model: type[models.Model]
    using: str
    tally: Tally = field(default_factory=Tally)

    def lines(self) -> Iterator[bytes]:
        columns = fields_of(self.model)
        in_json = [isinstance(column, models.JSONField) for column in columns]
        rows = (
            self.model._base_manager.using(self.using)
            .order_by("pk")
            .values_list(*(column.attname for column in columns))
        )
        for row in rows.iterator(chunk_size=2000):
            values = [
                value if is_json else _plain(value) for value, is_json in zip(row, in_json, strict=True)
            ]
            line = _dumps(values)
            self.tally.add(_dumps(_one_form(values)) if any(in_json) and _has_two_forms(values) else line)
            yield line

    def members(self) -> Iterator[bytes]:
        """The same, some 4 MB at a time with the names of the columns before them, compressed."""
        head = _dumps([column.column for column in fields_of(self.model)])
        part, size = [head], 0
        for line in self.lines():
            part.append(line)
            size += len(line)
            if size >= MEMBER_BYTES:
                yield packed(part)
                part, size = [head], 0
        if len(part) > 1:
            yield packed(part)


def _dumps(value: Any) -> bytes:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), sort_keys=True).encode(
        "utf-8", "surrogatepass"
    )


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds")
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, UUID | Decimal):
        return str(value)
    if isinstance(value, timedelta):
        return duration_string(value)
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(value).decode()
    raise BackupError(
        f"A column holds a {type(value).__name__}, which a backup cannot hold. Nothing was written."
    )


def _has_two_forms(value: Any) -> bool:
    """Whether a number in it does not come back from PostgreSQL's JSON as it went in."""
    if isinstance(value, list):
        return any(map(_has_two_forms, value))
    if isinstance(value, dict):
        return any(map(_has_two_forms, value.values()))
    if isinstance(value, float) and value == 0:
        return True
    return isinstance(value, int | float) and abs(value) >= _ONE_FORM_FROM


def _one_form(value: Any) -> Any:
    if isinstance(value, list):
        return [_one_form(one) for one in value]
    if isinstance(value, dict):
        return {key: _one_form(one) for key, one in value.items()}
    if isinstance(value, float) and value == 0:
        return 0.0
    if (
        isinstance(value, int)
        and not isinstance(value, bool)
        and _ONE_FORM_FROM <= abs(value) <= _LARGEST_FLOAT
    ):
        return float(value)
    return value


def packed(lines: list[bytes]) -> bytes:
    """Lines as gzip (RFC 1952), without a date: the same lines give the same bytes."""
    press = zlib.compressobj(4, zlib.DEFLATED, 31)
    return press.compress(b"\n".join(lines) + b"\n") + press.flush()


def unpacked(name: str, data: bytes) -> list[bytes]:
    press = zlib.decompressobj(31)
    try:
        text = press.decompress(data, LARGEST_TEXT)
    except zlib.error:
        raise Damaged(f"{name} cannot be unpacked. Nothing was restored; take another backup.") from None
    if press.unconsumed_tail or not press.eof:
        raise Damaged(f"{name} cannot be unpacked whole. Nothing was restored; take another backup.")
    return text.removesuffix(b"\n").split(b"\n")


def load(model: type[models.Model], using: str, name: str, data: bytes) -> int:
    """Write the rows of one member into its table; return how many. BackupError names the first that does not fit."""
    head, *lines = unpacked(name, data)
    columns = fields_of(model)
    if json.loads(head) != [column.column for column in columns]:
        raise Damaged(
            f"{name} has other columns than its table {model._meta.db_table}. Nothing was restored."
        )
    connection = connections[using]
    quote = connection.ops.quote_name
    statement = (
        f"INSERT INTO {quote(model._meta.db_table)} ({', '.join(quote(column.column) for column in columns)}) "
        f"VALUES ({', '.join(['%s'] * len(columns))})"
    )
    readers = [_reader(column) for column in columns]

    def ready(line: bytes) -> list[Any]:
        return [
            column.get_db_prep_save(read(value), connection=connection)
            for column, read, value in zip(columns, readers, json.loads(line), strict=True)
        ]

    with connection.cursor() as cursor:
        for begin in range(0, len(lines), ROWS_AT_ONCE):
            some = lines[begin : begin + ROWS_AT_ONCE]
            try:
                with transaction.atomic(using=using):
                    cursor.executemany(statement, [ready(line) for line in some])
            except (DatabaseError, ValueError) as problem:
                raise _first_bad(statement, ready, some, using, model, name, problem) from problem
    return len(lines)


def _reader(column: Any) -> Any:
    """From JSON to the value. What is a JSON column, text or number already is taken as it is."""
    if isinstance(column, models.JSONField):
        return lambda value: value
    return lambda value: None if value is None else column.to_python(value)


def _first_bad(
    statement: str, ready: Any, lines: list[bytes], using: str, model: Any, name: str, problem: Exception
) -> BackupError:
    for line in lines:
        try:
            with transaction.atomic(using=using), connections[using].cursor() as cursor:
                cursor.execute(statement, ready(line))
        except (DatabaseError, ValueError) as of_this:
            shown = line[:60].decode(errors="replace")
            why = str(of_this).splitlines()[0]
            return BackupError(
                f"A row of {model._meta.db_table} ({name}) does not fit into this database: {why}. It begins {shown} "
                "Nothing was restored; restore on the database it came from, and put the row right there."
            )
    return BackupError(f"Rows of {name} could not be written: {problem}. Nothing was restored.")
