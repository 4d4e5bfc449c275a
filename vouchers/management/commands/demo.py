"""Make the demo club, once; or tell who can sign in to it."""

import time
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.db import transaction
from django.utils import timezone

from ledger.club.models import Club
from ledger.demo.pictures import drawn_prints, plain_prints
from ledger.demo.plan import plan_demo
from ledger.demo.questionable import HELD
from ledger.demo.scene import Scene
from ledger.demo.story import Teller, read_scene
from ledger.finds.models import Find, Status
from ledger.management.house import HouseCommand
from ledger.people.models import Member, Role
from ledger.taxa.queries import NoReference, current_reference
from vouchers.demo_collection import keep_collection
from vouchers.register.demo import take_in
from vouchers.register.models import Voucher

LEAST_FINDS = 30
ROLES = ("keeper", "curator", "leader", "member")


class Command(HouseCommand):
    help = (
        "Make an invented club with two years of finds, photographs drawn by the program, held finds that show\n"
        "each kind of flag, and vouchers. It takes a minute or two and needs the reference. Made once, it is left\n"
        "as it is; a ledger that holds another club is not touched.\n\n"
        "Example:  python manage.py demo\n"
        "          python manage.py demo --who --address http://127.0.0.1:8000"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--who", action="store_true", help="print the address and who can sign in; make nothing"
        )
        parser.add_argument("--address", default="http://127.0.0.1:8000", help="where the ledger is reached")
        parser.add_argument(
            "--finds", type=int, default=300, help=f"how many finds, {LEAST_FINDS} or more (default: 300)"
        )
        parser.add_argument(
            "--plain-photos",
            action="store_true",
            help="small pictures of one colour in place of drawn ones (quick, for tests)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        scene = read_scene()
        if options["who"]:
            self._who(scene, options["address"].rstrip("/"))
            return
        if self._is_there(scene):
            self.stdout.write(
                f"The demo club is there already: {scene.club['name']}, {Find.objects.count()} finds. Nothing was changed."
            )
            return
        if options["finds"] < LEAST_FINDS:
            raise CommandError(
                f"--finds {options['finds']} is too few: {len(HELD)} are held on purpose, and something must stand "
                f"beside them. Nothing was made. Ask for {LEAST_FINDS} or more."
            )
        try:
            reference = current_reference()
        except NoReference as problem:
            raise CommandError(f"{problem} Nothing was made.") from problem
        self._make(scene, reference, options["finds"], plain=options["plain_photos"])

    def _is_there(self, scene: Scene) -> bool:
        """Whether the demo was made here; a ledger with anything of another club in it is refused."""
        if Club.objects.filter(name=scene.club["name"]).exists():
            return True
        club = Club.objects.order_by("id").first()
        counts = {"members": Member.objects.count(), "finds": Find.objects.count()}
        if club is None and not any(counts.values()):
            return False
        held = ", ".join(f"{number} {what}" for what, number in counts.items())
        raise CommandError(
            f"This ledger is not empty: it holds {club.name if club else 'a club without a name'} ({held}). "
            "Nothing was made or changed. Give the demo a folder of its own, for example "
            "LEDGER_VAR=var/demo python manage.py migrate, then load_reference, then demo, each with that LEDGER_VAR; "
            "or type make demo."
        )

    def _make(self, scene: Scene, reference: Any, finds: int, *, plain: bool) -> None:
        started = time.monotonic()
        plan = plan_demo(scene, reference, finds)
        prints = plain_prints(plan.finds) if plain else drawn_prints(plan.finds)
        teller = Teller(
            scene=scene,
            plan=plan,
            prints=prints,
            accession=take_in,
            say=self._say,
        )
        # All or nothing: a run that is broken off leaves no half club behind.
        try:
            with transaction.atomic():
                teller.tell()
                curator = Member.objects.filter(role=Role.CURATOR).order_by("pk").first()
                if curator is not None:
                    keep_collection(by=curator, now=timezone.now())
        except KeyboardInterrupt:
            raise CommandError(
                f"Broken off after {teller.logged} of {finds} finds. Nothing was kept in the ledger; run demo again."
            ) from None
        waiting = Find.objects.filter(status=Status.HELD).count()
        self.stdout.write(
            f"{scene.club['name']}: {Member.objects.count()} members, {Find.objects.count()} finds, {waiting} held, "
            f"{Voucher.objects.count()} vouchers, in {time.monotonic() - started:.0f} s."
        )

    def _say(self, done: int, of: int) -> None:
        """One line that counts on a terminal; a line now and then in a file."""
        if self.stdout.isatty():
            self.stdout.write(
                f"\rDrawing and logging: {done} of {of} finds", ending="\n" if done == of else ""
            )
            self.stdout.flush()
        elif done % 50 == 0 or done == of:
            self.stdout.write(f"Drawing and logging: {done} of {of} finds")

    def _who(self, scene: Scene, address: str) -> None:
        if not Club.objects.filter(name=scene.club["name"]).exists():
            raise CommandError("There is no demo club in this ledger. Type: python manage.py demo")
        self.stdout.write(f"The demo club is at {address}/")
        self.stdout.write("One of each role; everybody signs in with the same pass phrase:")
        self.stdout.write(f"  {'role':<10}{'name':<20}{'sign-in name':<15}password")
        for role in ROLES:
            member = Member.objects.filter(role=role, is_active=True).order_by("id").first()
            if member is not None:
                self.stdout.write(
                    f"  {role:<10}{member.full_name:<20}{member.sign_in_name:<15}{scene.password}"
                )
        self.stdout.write("People, places and finds are invented. Stop the ledger with Ctrl-C.")
