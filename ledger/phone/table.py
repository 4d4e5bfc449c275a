"""The foray's table: what the ledger has of one foray, for the phone that keys in the finds of many."""

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_safe

from ledger.finds import access
from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.phone.refusals import for_phone, wrong
from ledger.words import say

# More finds than any one table takes in a day; the latest are told.
MOST_FINDS = 1000


@for_phone
@require_safe
def table_list(request: HttpRequest, foray_id: int) -> HttpResponse:
    """Finds of a foray, the latest first: {"foray": id, "finds": [{id, number, finder, name, by, logged_at}]}.

    Without those whose foray the asker may not know: to list them here would tell their place. Nothing of a place stands
    in it.
    """
    foray = Foray.objects.filter(pk=foray_id).first()
    if foray is None:
        return wrong(
            404,
            "no foray",
            say("This foray is not in the ledger."),
            todo=say("Choose another for the table."),
        )
    finds = access.with_foray_shown(foray.finds.all(), request.user)
    finds = finds.select_related("finder", "logged_by", "current_determination").order_by("-logged_at")
    return JsonResponse({"foray": foray.pk, "finds": [_row(find) for find in finds[:MOST_FINDS]]})


def _row(find: Find) -> dict[str, Any]:
    name = find.current_determination
    return {
        "id": str(find.pk),
        "number": find.collecting_number,
        "finder": find.found_by or find.finder.full_name,
        "name": name.name_typed if name else "",
        "by": find.logged_by.full_name,
        "logged_at": find.logged_at.isoformat(),
    }
