"""What every page's frame needs: the club and, for curators, how many finds are held."""

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from ledger.club.queries import the_club
from ledger.finds.models import Find, Status


def house(request: HttpRequest) -> dict[str, Any]:
    # Lazy: a page that shows neither pays for neither, and the error pages need no database.
    return {
        "club": SimpleLazyObject(the_club),
        "held_count": SimpleLazyObject(lambda: Find.objects.filter(status=Status.HELD).count()),
    }
