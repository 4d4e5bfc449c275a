"""Saving a find with 12 readings, its check and flags included, against bare ORM inserts of the same rows.

    python tests/bench/bench_log_find.py [rounds]

Prints the medians of alternating runs on a fresh SQLite database and their ratio. Not a test: it asserts nothing.
"""

import os
import statistics
import sys
import tempfile
import time
import uuid
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
os.environ["LEDGER_VAR"] = tempfile.mkdtemp(prefix="ledger-bench-")

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import transaction  # noqa: E402

from ledger.bench.models import Determination, Flag  # noqa: E402
from ledger.finds import actions  # noqa: E402
from ledger.finds.models import Change, Find, Reading  # noqa: E402
from ledger.people.models import Member  # noqa: E402
from tests.ledger.finds.making import TWELVE, entry  # noqa: E402


def copies(find: Find) -> list[list[object]]:
    """The same rows as the action wrote, under a new identity and not yet stored."""
    rows = [[find], *([list(m.objects.filter(find=find)) for m in (Reading, Flag, Determination, Change)])]
    new = uuid.uuid4()
    for group in rows:
        for row in group:
            row._state.adding = True
            if isinstance(row, Find):
                row.pk = new
                row.current_determination = None
            else:
                row.pk, row.find_id = None, new
    return rows


def bare(rows: list[list[object]]) -> None:
    """The rows with as few statements as the ORM needs: one insert per table."""
    with transaction.atomic():
        (find,), readings, flags, (determination,), changes = rows
        determination.save(force_insert=True)
        find.current_determination = determination
        find.save(force_insert=True)
        for group in (readings, flags, changes):
            if group:
                type(group[0]).objects.bulk_create(group)


def one_by_one(rows: list[list[object]]) -> None:
    """The same rows, each by a save of its own, as the ORM's tutorial does it."""
    with transaction.atomic():
        (find,), readings, flags, (determination,), changes = rows
        determination.save(force_insert=True)
        find.current_determination = determination
        find.save(force_insert=True)
        for row in (*readings, *flags, *changes):
            row.save(force_insert=True)


def main(rounds: int) -> None:
    call_command("migrate", verbosity=0)
    call_command("load_reference", verbosity=0)
    member = Member.objects.create_member("bench", "unused-pass-41", full_name="Bench", collector_code="BN")
    made = entry(*TWELVE)
    ours, theirs, plain = [], [], []
    for round_number in range(rounds + 3):
        start = time.perf_counter()
        find = actions.log_find(made, by=member)
        middle = time.perf_counter()
        rows = copies(Find.objects.get(pk=find.pk))
        begin = time.perf_counter()
        bare(rows)
        end = time.perf_counter()
        rows = copies(Find.objects.get(pk=find.pk))
        start_plain = time.perf_counter()
        one_by_one(rows)
        end_plain = time.perf_counter()
        if round_number >= 3:  # the first ones compile and cache
            ours.append(middle - start)
            theirs.append(end - begin)
            plain.append(end_plain - start_plain)
    one, other, third = (statistics.median(times) * 1000 for times in (ours, theirs, plain))
    sys.stdout.write(
        f"log_find, 12 readings, check and flags included: {one:.1f} ms; bare inserts, one statement per table: "
        f"{other:.1f} ms, ratio {one / other:.2f}; bare inserts, one save per row: {third:.1f} ms, ratio "
        f"{one / third:.2f}\n"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
