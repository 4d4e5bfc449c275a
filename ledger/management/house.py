"""What every command of the house shares: a help text that keeps its lines, so that its example stands as written, and
English, whatever the language of the club."""

from argparse import RawDescriptionHelpFormatter
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import translation


class HouseCommand(BaseCommand):
    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> Any:
        return super().create_parser(
            prog_name, subcommand, formatter_class=RawDescriptionHelpFormatter, **kwargs
        )

    def execute(self, *args: Any, **options: Any) -> Any:
        with translation.override(settings.LANGUAGES[0][0]):
            return super().execute(*args, **options)
