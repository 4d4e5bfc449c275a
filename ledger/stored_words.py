"""What is stored is English, whoever's screen it was said on: the database drivers write a said sentence as its English one.

A sentence that was put together with `+` or `join` has lost its English: join with `words.together`.
"""

import sqlite3

from ledger.words import Later, Said, english_of


def keep_english() -> None:
    """Tell the drivers, once for the process."""
    for kind in (Said, Later):
        sqlite3.register_adapter(kind, english_of)
    _tell_postgres()


def _tell_postgres() -> None:
    try:
        import psycopg
        from psycopg.types.string import StrDumper
    except ImportError:
        return

    class EnglishDumper(StrDumper):
        def dump(self, obj: str) -> bytes | bytearray | memoryview | None:
            return super().dump(str.__str__(english_of(obj)))

    for kind in (Said, Later):
        psycopg.adapters.register_dumper(kind, EnglishDumper)
