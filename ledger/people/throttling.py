"""How wrong passwords are counted: for a name from an address, and for an address whatever the names."""

from typing import Any

from axes.attempts import get_cool_off_threshold
from axes.handlers.database import AxesDatabaseHandler
from axes.models import AccessAttempt
from django.conf import settings
from django.db.models import Sum
from django.http import HttpRequest


class NameAndAddress(AxesDatabaseHandler):  # type: ignore[misc]
    """Rests a name from one address after AXES_FAILURE_LIMIT wrong passwords, an address after MOST_WRONG_OF_AN_ADDRESS:
    a whole foray behind one line may mistype, somebody who tries name after name may not go on.
    """

    def get_failures(self, request: HttpRequest, credentials: dict[str, Any] | None = None) -> int:
        """In wrong passwords of one name: those of the address count by as much less as more of them are allowed."""
        of_name: int = super().get_failures(request, credentials)
        tried = AccessAttempt.objects.filter(
            ip_address=request.axes_ip_address, attempt_time__gte=get_cool_off_threshold(request)
        )
        of_address = tried.aggregate(many=Sum("failures_since_start"))["many"] or 0
        return max(of_name, of_address * settings.AXES_FAILURE_LIMIT // settings.MOST_WRONG_OF_AN_ADDRESS)
