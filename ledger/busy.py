"""What is answered where a request failed: that too many were writing at one moment, or that the program stumbled."""

import sys

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.views.defaults import server_error

# Seconds after which it is worth while to press again; a phone's outbox waits as long.
AGAIN_AFTER_S = 10


def failed(request: HttpRequest) -> HttpResponse:
    """The handler of errors. A database that gave up waiting for others (SQLite's lock, a deadlock of PostgreSQL) or that
    does not answer has written nothing of the step: that is no fault of the program, and pressing again is what helps."""
    if isinstance(sys.exc_info()[1], OperationalError):
        page = render_to_string("503.html")
        return HttpResponse(page, status=503, headers={"Retry-After": str(AGAIN_AFTER_S)})
    return server_error(request)
