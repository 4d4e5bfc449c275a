"""The reports of a ledger in which every find is of one year, one foray and one member: their time and their memory.

    LEDGER_VAR=var/bench/reports python -m tests.bench.scale_load 10000
    LEDGER_VAR=var/bench/reports python manage.py collectstatic --noinput
    LEDGER_VAR=var/bench/reports python -m tests.bench.scale_reports

It changes the finds of the ledger of LEDGER_VAR, which is for nothing else. Prints a line for each answer: seconds, seconds
of the processor, the most memory until then of this process and of those that print, bytes. Each PDF is asked for part by
part, as a browser does.
"""

import os
import resource
import sys
import time

import django

YEAR, HOST = 2015, "127.0.0.1"


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
    django.setup()
    from django.test import Client

    from ledger.forays.models import Foray
    from ledger.people.models import Member
    from ledger.reports.sheet import ROWS_IN_A_PART

    finds, member, foray = _one_of_each()
    desk = Client(SERVER_NAME=HOST)
    desk.force_login(
        Member.objects.filter(role="curator")[0], backend="django.contrib.auth.backends.ModelBackend"
    )
    sys.stdout.write(f"{finds} finds of {YEAR}, of one member; {Foray.objects.get(pk=foray)}\n")

    def ask(what: str, address: str) -> None:
        began, used = time.perf_counter(), _processor_s()
        answer = desk.get(address)
        took, used = time.perf_counter() - began, _processor_s() - used
        assert answer.status_code == 200, (address, answer.status_code)
        most = [
            resource.getrusage(who).ru_maxrss / 1024
            for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
        ]
        sys.stdout.write(
            f"{what:<38}{took:7.2f} s {used:7.2f} s {most[0]:6.0f} MB {most[1]:6.0f} MB {len(answer.content):>10,} bytes\n"
        )
        sys.stdout.flush()

    ask("year, page", f"/reports/year/?year={YEAR}")
    ask("year, PDF", f"/reports/year/print.pdf?year={YEAR}")
    ask("owner's report, page", f"/reports/foray/{foray}/")
    ask("owner's report, page, find by find", f"/reports/foray/{foray}/?list=finds")
    ask("own list, page", f"/reports/member/{member}/")
    parts = -(-finds // ROWS_IN_A_PART)
    for part in range(1, parts + 1):
        ask(
            f"own list, PDF, part {part} of {parts}",
            f"/reports/member/{member}/print.pdf?part={part}&order=name",
        )
    for part in range(1, 4):
        ask(f"owner's report, PDF, part {part}", f"/reports/foray/{foray}/print.pdf?list=finds&part={part}")


def _processor_s() -> float:
    """Seconds of the processor that this process and the ended ones it began have used."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def _one_of_each() -> tuple[int, int, int]:
    """Put every find into one year, one foray, one member's hands; none is kept back."""
    from datetime import date

    from django.db import transaction

    from ledger.finds.models import Find
    from ledger.forays.models import Foray
    from ledger.people.models import Member
    from ledger.search import keeping
    from ledger.taxa.models import Taxon

    member = Member.objects.order_by("pk")[0]
    foray = Foray.objects.get_or_create(name="Everything", held_on=date(YEAR, 10, 3), leader=member)[0]
    with transaction.atomic():
        Taxon.objects.update(blur_step_deg=None)
        Find.objects.update(finder=member, foray=foray, own_blur_step_deg=None, named_blur_step_deg=None)
        for at, find in enumerate(Find.objects.only("pk").iterator()):
            Find.objects.filter(pk=find.pk).update(
                found_on=date.fromordinal(date(YEAR, 1, 1).toordinal() + at % 365)
            )
    keeping.rebuild_all()
    return Find.objects.count(), member.pk, foray.pk


if __name__ == "__main__":
    main()
