"""The ledger as a WSGI application."""

import os
from collections.abc import Callable, Iterable
from typing import Any

from django.core.wsgi import get_wsgi_application
from django.utils.http import parse_header_parameters

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
_django = get_wsgi_application()
# No codec's name, so that nothing is read by it; the doorkeeper answers.
_ODD = "odd"


def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
    """Answer a request. An encoding other than UTF-8 is taken off it here: Django would read the address by it while it
    makes the request, before anything that answers for errors."""
    try:
        kind, parameters = parse_header_parameters(environ.get("CONTENT_TYPE", ""))
        is_odd = parameters.get("charset", "utf-8").lower() != "utf-8"
    except ValueError:
        kind, is_odd = "", True
    if is_odd:
        environ["CONTENT_TYPE"] = f"{kind}; charset={_ODD}"
    answer: Iterable[bytes] = _django(environ, start_response)
    return answer
