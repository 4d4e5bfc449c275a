"""The collection under many writers whose processes are killed at random statements: nothing is lost, doubled or half done.

An ordinary run is a sample. The whole is 1,000 vouchers, 64 writers and 50 kills: `make soak`. A run prints its seed;
SOAK_SEED draws the same kills again, though not the same order of the writers.

**Writers.** Half of them are people before browsers, each with a session of their own: they sign in to the ledger as
gunicorn serves it (`ledger.serving`), read its pages, fill in and send its forms. One of them has a real Chromium, and
clicks. The other half sit in processes of `manage.py shell` and call the actions, since the house has no command that writes
the collection.

**Which step goes which way.** Every find goes its whole way: accession, drier, freezer, packet, slide and duplicate, labels,
store, exchange, loan with its form, return, freezer and store again; some are split, some deaccessioned. Some finds are
carried by the pages alone, and half of these by two people at once; a quarter by the shells alone, by one in each at once;
the others by whoever comes first. So each step is done both ways, at one moment and in turn. Chromium has finds of its own.
Boxes are taken stock of meanwhile, by the shells, by the pages as a phone sends it, and by Chromium on the page of the walk.

**Kills.** Half of the kills end a worker of gunicorn, half a shell, just before or just after a statement or a commit that
was drawn. Who gets no answer looks how things stand and does what is missing.
"""

import os
import random
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.db import connection
from django.utils import timezone

from ledger import serving
from ledger.club.models import Club
from ledger.people.models import Role
from ledger.taxa.actions import load_reference
from ledger.traits.reference_files import read_reference
from tests.factories import FindFactory, MemberFactory
from tests.people import PASSWORD
from tests.vouchers.soak import holds, plan
from tests.vouchers.soak.running import CHROMIUM_WAY, SHELL_WAY, WEB_WAY, Size, run
from vouchers.store.actions import make_places

WHOLE = Size(
    vouchers=1000,
    by_chromium=5,
    boxes=13,
    people=31,
    shells=2,
    in_a_shell=16,
    served_kills=25,
    shell_kills=25,
)
SAMPLE = Size(
    vouchers=13, by_chromium=1, boxes=5, people=6, shells=2, in_a_shell=3, served_kills=2, shell_kills=2
)
SIZE = WHOLE if os.environ.get("SOAK") == "whole" else SAMPLE
SEED = int(os.environ.get("SOAK_SEED") or random.SystemRandom().randrange(10**9))


@pytest.mark.django_db(transaction=True)
def test_many_writers_killed_at_random_leave_a_whole_register_and_each_packet_in_one_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Written to the rows: the writers are processes of their own, and ask it what only fresh material shows.
    load_reference(read_reference(Path(settings.FIXTURES)))
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    hasher = Argon2PasswordHasher()  # tests have another, which is none to gunicorn
    key = hasher.encode(PASSWORD, hasher.salt())
    many = {WEB_WAY: SIZE.people, SHELL_WAY: SIZE.shells * SIZE.in_a_shell, CHROMIUM_WAY: 1}
    people = {way: MemberFactory.create_batch(n, role=Role.CURATOR, password=key) for way, n in many.items()}
    finds = [str(find.pk) for find in FindFactory.create_batch(SIZE.vouchers, finder=people[WEB_WAY][0])]
    (room,) = make_places("room", "Herbarium", None)
    (cabinet,) = make_places("cabinet", "Cabinet", room)
    boxes = make_places("box", "Box", cabinet, count=SIZE.boxes)
    jobs = plan.jobs_of(finds, [box.number for box in boxes], by_chromium=SIZE.by_chromium)
    (tmp_path / "papers").mkdir()
    asked = {
        "database": str(connection.settings_dict["NAME"]),
        "people": {way: [(one.pk, one.sign_in_name) for one in these] for way, these in people.items()},
        "password": PASSWORD,
        "began": timezone.localtime().isoformat(),
        "jobs": [{name: getattr(job, name) for name in job.__slots__} for job in jobs],
        "boxes": [box.number for box in boxes],
        "names": {box.name: box.number for box in boxes},
        "papers": str(tmp_path / "papers"),
    }
    connection.close()
    ends = run(SIZE, SEED, tmp_path, asked)
    with capsys.disabled():
        sys.stdout.write(f"\nSoak: SOAK_SEED={SEED} {SIZE}\n{ends}\n")
    assert ends.errors == []
    assert (ends.served_killed, ends.shell_killed) == (SIZE.served_kills, SIZE.shell_kills)
    for way in (WEB_WAY, SHELL_WAY):
        holds.each_step_was_taken_by(people[way])
    holds.the_register_is_whole(jobs)
    holds.every_packet_is_in_exactly_one_place()
    holds.each_lies_in_its_own_box(jobs)
    holds.each_was_dried_once_and_lies_in_its_packet(jobs)
    holds.what_was_lent_came_back(jobs)
    holds.what_was_sent_has_ended(jobs)
    holds.no_label_was_lost(
        ends.papers,
        tmp_path / "papers",
        served_lost=SIZE.served_kills * serving.threads,
        shells_lost=SIZE.shell_kills * SIZE.in_a_shell,
    )
    holds.the_stocktakes_add_up(boxes)
    holds.the_whole_room_is_as_it_stands_on_record(room, people[WEB_WAY][0])
