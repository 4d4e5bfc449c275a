"""Which role opens which page: decorators for views. A page that is not yours to see answers 404, one you may
see but not change 403."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

View = Callable[..., HttpResponse]


def at_least(role: str) -> Callable[[View], View]:
    """Let only members of *role* or higher in; others get the 403 page, the signed-out the sign-in page."""

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if not request.user.at_least(role):  # type: ignore[union-attr]
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return guarded

    return decorate
