"""What every command of the house shares: a help text that keeps its lines, so that its example stands as written."""

from argparse import RawDescriptionHelpFormatter
from typing import Any

from django.core.management.base import BaseCommand


class HouseCommand(BaseCommand):
    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> Any:
        return super().create_parser(
            prog_name, subcommand, formatter_class=RawDescriptionHelpFormatter, **kwargs
        )
