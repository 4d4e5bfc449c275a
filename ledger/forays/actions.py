"""The one writer of forays."""

from django.db import transaction

from ledger.forays.models import Foray
from ledger.search import keeping


@transaction.atomic
def keep_foray(foray: Foray) -> Foray:
    """Enter a foray, or keep what was changed of it. Its finds are met by its name and place."""
    before = Foray.objects.filter(pk=foray.pk).values_list("name", "place").first() if foray.pk else None
    foray.save()
    if before is not None and before != (foray.name, foray.place):
        keeping.keep_finds_of_foray(foray.pk)
    return foray
