"""Answers for one ledger: reads the name of a question and a round from its input, a line each, and says how long it took.

Two figures in ms: by the clock on the wall, and the processor's time of this process and of the one that served it on a
PostgreSQL of the same machine, which is steadier where others are at work.

Started by tests.bench.scale with LEDGER_VAR, and DATABASE_URL on PostgreSQL.
"""

import os
import sys
import time
from pathlib import Path

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")

import django

django.setup()

from django.conf import settings  # noqa: E402
from django.db import connection  # noqa: E402

settings.ALLOWED_HOSTS = ["testserver", *settings.ALLOWED_HOSTS]

from tests.bench.scale_questions import Asker, make_ready  # noqa: E402


def main() -> None:
    make_ready()
    asker = Asker()
    questions = {question.name: question for question in asker.questions()}
    say("\t".join(f"{question.group}:{name}" for name, question in questions.items()))
    for line in sys.stdin:
        name, _, number = line.rstrip("\n").partition("\t")
        spent, start = processor_s(), time.perf_counter()
        questions[name].ask(int(number))
        took = time.perf_counter() - start
        say(f"{took * 1000:.3f}\t{(processor_s() - spent) * 1000:.3f}")
        if os.environ.get("SCALE_SLOW"):
            for query in list(connection.queries_log):
                if float(query["time"]) * 1000 > float(os.environ["SCALE_SLOW"]):
                    sys.stderr.write(
                        f"{name}: {query['time']} {query['sql'][:200]} ... {query['sql'][-700:]}\n"
                    )


def processor_s() -> float:
    """Seconds of the processor so far. A PostgreSQL on another machine is not in it."""
    spent = time.process_time()
    if connection.vendor == "postgresql" and connection.connection is not None:
        told = Path(f"/proc/{connection.connection.info.backend_pid}/schedstat")
        if told.exists():
            spent += int(told.read_text().split()[0]) / 1e9
    return spent


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    if os.environ.get("SCALE_SLOW"):
        connection.force_debug_cursor = True
    main()
