"""The whole database as it was at one moment, while members go on writing."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connections, transaction

ALIAS = "snapshot"


@contextmanager
def snapshot() -> Iterator[str]:
    """Give the name of a connection of its own that sees one moment until the block ends, and that writes nothing.

    SQLite: a transaction that takes no lock for writing; in WAL mode it reads what was there at its first statement.
    PostgreSQL: REPEATABLE READ, read only.
    """
    entry = {**connections["default"].settings_dict}
    sqlite = connections["default"].vendor == "sqlite"
    options = dict(entry.get("OPTIONS", {}))
    if sqlite:
        # IMMEDIATE, as the ledger writes, would make everybody wait for the backup.
        options["transaction_mode"] = "DEFERRED"
        options["init_command"] = "PRAGMA query_only=ON;"
    else:
        from psycopg import IsolationLevel

        options["isolation_level"] = IsolationLevel.REPEATABLE_READ
    # Of this thread alone, and in no list of databases: nothing else of the program ever meets it.
    default = connections["default"]
    connections[ALIAS] = type(default)({**entry, "OPTIONS": options, "CONN_MAX_AGE": 0}, alias=ALIAS)
    try:
        with transaction.atomic(using=ALIAS), connections[ALIAS].cursor() as cursor:
            if not sqlite:
                cursor.execute("SET TRANSACTION READ ONLY")
            # The moment is that of the first statement that reads.
            cursor.execute("SELECT count(*) FROM django_migrations")
            cursor.fetchall()
            yield ALIAS
    finally:
        connections[ALIAS].close()
        del connections[ALIAS]
