"""Answers for one ledger: reads the name of a question and a round from its input, a line each, and says the milliseconds.

Started by tests.bench.scale with LEDGER_VAR, and DATABASE_URL on PostgreSQL.
"""

import os
import sys
import time

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
        # On a busy machine the time of the processor is steadier; that of a PostgreSQL is not in it.
        clock = time.process_time if os.environ.get("SCALE_CPU") else time.perf_counter
        start = clock()
        questions[name].ask(int(number))
        say(f"{(clock() - start) * 1000:.3f}")
        if os.environ.get("SCALE_SLOW"):
            for query in list(connection.queries_log):
                if float(query["time"]) * 1000 > float(os.environ["SCALE_SLOW"]):
                    sys.stderr.write(
                        f"{name}: {query['time']} {query['sql'][:200]} ... {query['sql'][-700:]}\n"
                    )


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    if os.environ.get("SCALE_SLOW"):
        connection.force_debug_cursor = True
    main()
