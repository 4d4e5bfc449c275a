"""Run in a process of its own that nobody kills: many people, each with a session, before a ledger that is killed.

What to do comes as JSON on standard input; what was done goes out as the last line.
"""

import json
import queue
import random
import sys
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from tests.vouchers.soak.carrying import carry, take_stock
from tests.vouchers.soak.http_browser import HttpBrowser
from tests.vouchers.soak.plan import EITHER, WEB, Job
from tests.vouchers.soak.web_hands import WebHands


def main() -> None:
    asked = json.load(sys.stdin)
    jobs: list[Any] = [Job(**job) for job in asked["jobs"] if job["turn"] in (WEB, EITHER)]
    drawn = random.Random(asked["order"])
    # Two people at every other of them: what only the pages do has its rivals too.
    doubled = [job for job in jobs if job.turn == WEB][::2]
    jobs += asked["boxes"][:-1][1::2]
    drawn.shuffle(jobs)
    waiting: queue.SimpleQueue[Any] = queue.SimpleQueue()
    for job in jobs:
        waiting.put(job)
        if job in doubled:
            waiting.put(job)
    done: Counter[str] = Counter()
    told: Counter[str] = Counter()
    papers: Counter[str] = Counter()

    def person(by: tuple[int, str]) -> None:
        hands = WebHands(HttpBrowser(asked["port"]), asked["names"], asked["began"])
        hands.sign_in(by[1], asked["password"])
        while True:
            try:
                job = waiting.get_nowait()
            except queue.Empty:
                break
            if isinstance(job, Job):
                carry(job, hands, done, told)
            elif not take_stock(job, hands, done, told):
                time.sleep(0.2)
                waiting.put(job)
        papers.update(hands.papers)

    with ThreadPoolExecutor(len(asked["people"])) as pool:
        for _ in pool.map(person, asked["people"]):
            pass
    json.dump({"done": done, "told": told, "papers": papers}, sys.stdout)


if __name__ == "__main__":
    main()
