"""The one writer of the club's settings."""

from ledger.club.models import Club


def keep_settings(club: Club) -> None:
    """Keep the settings as given; there is one club."""
    club.save()
