"""Print the link by which the first keeper of an empty club signs up."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.urls import reverse
from django.utils import timezone

from ledger.people.actions import invite
from ledger.people.models import Invitation, Member, Role


class Command(BaseCommand):
    help = (
        "Where the club has no keeper yet, print a link that lets the first one sign up, once. "
        "Any such link printed before is taken back. With a keeper there, it says so and makes none. "
        "Example: python manage.py first_keeper --address https://ledger.example.org"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--address", default="http://127.0.0.1:8000", help="where the ledger is reached")

    def handle(self, *args: Any, **options: Any) -> None:
        address = options["address"].rstrip("/")
        if Member.objects.filter(role=Role.KEEPER, is_active=True).exists():
            self.stdout.write(
                f"The ledger has a keeper. It is at {address}/ ; new members come by invitation."
            )
            return
        now = timezone.now()
        Invitation.objects.filter(made_by__isnull=True, used_at__isnull=True, ended_at__isnull=True).update(
            ended_at=now
        )
        _, token = invite(role=Role.KEEPER, now=now, note="the first keeper")
        self.stdout.write("The club is empty. Its first keeper signs up here, once, within two weeks:")
        self.stdout.write(f"  {address}{reverse('join', args=[token])}")
