"""A drawn club written straight into the tables: COPY on PostgreSQL, executemany on SQLite. Minutes for a million finds.

    LEDGER_VAR=var/scale python -m tests.bench.scale_load 100000

Makes the tables where there are none, and refuses a database that holds finds. Foreign keys are not checked row by row.
"""

import argparse
import json
import os
import random
import sys
import time
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection, models, transaction  # noqa: E402

from ledger.bench.models import Determination, Flag, Question  # noqa: E402
from ledger.finds.models import Change, Find, Reading  # noqa: E402
from ledger.forays.models import Foray  # noqa: E402
from ledger.people.models import Member, Role  # noqa: E402
from ledger.search import keeping  # noqa: E402
from ledger.taxa.models import Taxon  # noqa: E402
from tests.bench import scale_rows  # noqa: E402
from tests.bench.scale_rows import Club  # noqa: E402
from vouchers.parts.models import Part  # noqa: E402
from vouchers.register.models import RegisterEntry, RegisterHead, RegisterYear, Voucher  # noqa: E402

SEED = 2026
MODELS: dict[str, type[models.Model]] = {
    "determination": Determination,
    "find": Find,
    "reading": Reading,
    "flag": Flag,
    "question": Question,
    "change": Change,
    "voucher": Voucher,
    "part": Part,
    "entry": RegisterEntry,
}
SENSITIVE = ("Hericium erinaceus", "Ganoderma lucidum")


class Writer:
    """Rows of one table. What a row does not say is the model's default; identities run on where it has none."""

    def __init__(self, model: type[models.Model]) -> None:
        fields = model._meta.concrete_fields
        self.table = model._meta.db_table
        self.columns = [field.column for field in fields]
        self._place = {column: place for place, column in enumerate(self.columns)}
        self._default = [self._plain(field) for field in fields]
        self._numbered = isinstance(model._meta.pk, models.AutoField)
        self._last = 0

    @staticmethod
    def _plain(field: "models.Field[Any, Any]") -> Any:
        value = field.get_default()
        return value if isinstance(value, str | int | float | type(None)) else str(value)

    def values(self, rows: Iterable[dict[str, Any]]) -> Iterable[Sequence[Any]]:
        place, default = self._place, self._default
        for row in rows:
            made = default.copy()
            for name, value in row.items():
                made[place[name]] = value.isoformat(" ") if isinstance(value, datetime) else value
            if self._numbered and "id" not in row:
                self._last += 1
                made[0] = self._last
            yield made

    def write(self, rows: Sequence[dict[str, Any]]) -> None:
        if rows and connection.vendor == "postgresql":
            self._copy(rows)
        elif rows:
            holes = ", ".join(["?"] * len(self.columns))
            columns = ", ".join(f'"{one}"' for one in self.columns)
            raw = connection.connection.cursor()
            raw.executemany(
                f'INSERT INTO "{self.table}" ({columns}) VALUES ({holes})', map(_sqlite, self.values(rows))
            )

    def _copy(self, rows: Sequence[dict[str, Any]]) -> None:
        columns = ", ".join(f'"{one}"' for one in self.columns)
        with (
            connection.cursor() as cursor,
            cursor.copy(f'COPY "{self.table}" ({columns}) FROM STDIN') as copy,
        ):
            for row in self.values(rows):
                copy.write_row(row)


def _sqlite(row: Sequence[Any]) -> list[Any]:
    # As Django writes them: in UTC without saying so.
    return [
        value.isoformat()
        if isinstance(value, date)
        else value.removesuffix("+00:00")
        if isinstance(value, str)
        else value
        for value in row
    ]


def load(many: int) -> dict[str, float]:
    """Fill an empty database; returns the seconds that the rows and the index took."""
    call_command("migrate", verbosity=0)
    call_command("load_reference", verbosity=0)
    if Find.objects.exists():
        raise SystemExit("This database holds finds. Nothing was written; name an empty one.")
    draw = random.Random(SEED)
    club = _people_and_forays(draw)
    writers = {name: Writer(model) for name, model in MODELS.items()}
    start = time.monotonic()
    _loose()
    with transaction.atomic():
        for number, rows in enumerate(scale_rows.chunks(many, club, draw), start=1):
            for name, writer in writers.items():
                writer.write(rows[name])
            if not number * scale_rows.AT_ONCE % 50_000:
                sys.stderr.write(f"{number * scale_rows.AT_ONCE:,} finds, {time.monotonic() - start:.0f} s\n")
        _counters(club)
    _strict()
    rows_s = time.monotonic() - start
    for name in SENSITIVE:
        Taxon.objects.filter(name=name).update(blur_step_deg=0.1)
    named = Find.objects.filter(current_determination__taxon__name__in=SENSITIVE).order_by()
    named.update(named_blur_step_deg=0.1)
    start = time.monotonic()
    for done in keeping.rebuild():
        if not done % 50_000:
            sys.stderr.write(f"{done:,} finds in the index, {time.monotonic() - start:.0f} s\n")
    index_s = time.monotonic() - start
    _known()
    return {"rows_s": rows_s, "index_s": index_s}


def _people_and_forays(draw: random.Random) -> Club:
    roles = {0: Role.KEEPER, 1: Role.CURATOR, 2: Role.LEADER}
    members = [
        Member(
            sign_in_name=f"m{number}",
            full_name=name,
            collector_code=code,
            role=roles.get(number, Role.MEMBER),
            password="!",
        )
        for number, (name, code) in enumerate(scale_rows.member_names(draw))
    ]
    Member.objects.bulk_create(members)
    club = Club(taxa=list(Taxon.objects.order_by("pk").values_list("pk", "name")))
    draw.shuffle(club.taxa)
    club.members = list(Member.objects.order_by("pk").values_list("pk", "collector_code"))
    Foray.objects.bulk_create(
        Foray(name=row["name"], held_on=row["held_on"], place=row["place"], leader_id=row["leader"])
        for row in scale_rows.foray_rows(club, draw)
    )
    club.forays = list(Foray.objects.order_by("pk").values_list("pk", "held_on", "leader_id"))
    return club


def _counters(club: Club) -> None:
    RegisterYear.objects.bulk_create(
        RegisterYear(prefix="BL", year=year, last_serial=last) for year, last in club.years.items()
    )
    RegisterHead.objects.update_or_create(
        pk=1, defaults={"count": club.head.count, "digest": club.head.digest}
    )
    for member_id, last in club.serials.items():
        Member.objects.filter(pk=member_id).update(next_serial=last + 1)


def _loose() -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET session_replication_role = replica")
        else:
            for said in (
                "foreign_keys = OFF",
                "synchronous = OFF",
                "journal_mode = OFF",
                "cache_size = -1500000",
            ):
                cursor.execute(f"PRAGMA {said}")


def _strict() -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET session_replication_role = DEFAULT")
            for model in MODELS.values():
                if isinstance(model._meta.pk, models.AutoField):
                    table = model._meta.db_table
                    cursor.execute(
                        f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), (SELECT max(id) FROM {table}))"
                    )
        else:
            cursor.execute("PRAGMA foreign_keys = ON")


def _known() -> None:
    """What a PostgreSQL learns of its tables by itself. An SQLite is told nothing, as in a ledger that runs."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("VACUUM (ANALYZE)")
        else:
            cursor.execute("PRAGMA journal_mode = WAL")


def main() -> None:
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("finds", type=int)
    given.add_argument("--took", type=Path, help="where the seconds are kept, as JSON")
    asked = given.parse_args()
    took = load(asked.finds)
    sys.stdout.write(f"rows {took['rows_s']:.0f} s, index {took['index_s']:.0f} s\n")
    if asked.took:
        asked.took.write_text(json.dumps(took))


if __name__ == "__main__":
    main()
