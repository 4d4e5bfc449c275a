"""Run by `manage.py shell -c` in a process of its own: many writers at the prompt, that may be killed at any statement.

What to do comes as JSON on standard input; what was done goes out as the last line.
"""

import json
import random
import sys
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection

from tests.vouchers.soak.carrying import carry, take_stock
from tests.vouchers.soak.fate import Fate
from tests.vouchers.soak.plan import EITHER, SHELL, Job
from tests.vouchers.soak.shell_hands import ShellHands


def main() -> None:
    asked = json.load(sys.stdin)
    settings.DATABASES["default"]["NAME"] = asked["database"]
    connection.settings_dict["NAME"] = asked["database"]
    fate = Fate(asked["dies_at"], before=asked["before"])
    jobs: list[Any] = [Job(**job) for job in asked["jobs"] if job["turn"] in (SHELL, EITHER)]
    # Every other box is for a shell to take stock of.
    jobs += asked["boxes"][:-1][::2]
    random.Random(asked["order"]).shuffle(jobs)
    done: Counter[str] = Counter()
    told: Counter[str] = Counter()

    def watched(by: int, job: Any) -> Any:
        fate.watch(connection)
        hands = ShellHands(by, datetime.fromisoformat(asked["began"]), Path(asked["papers"]))
        try:
            if isinstance(job, Job):
                carry(job, hands, done, told)
                return None
            if take_stock(job, hands, done, told):
                return None
            time.sleep(0.2)  # nothing lies in it yet
            return job
        finally:
            connection.close()

    people = [key for key, _ in asked["people"]]
    with ThreadPoolExecutor(len(people)) as pool:
        while jobs:
            jobs = [
                one for one in pool.map(watched, (people * len(jobs))[: len(jobs)], jobs) if one is not None
            ]
    json.dump({"done": done, "told": told}, sys.stdout)
