"""From the number in an address to its row; a number that was never given has a page that says so."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from vouchers.loans.numbers import PaperNumber, read_paper_number


def numbered(
    letter: str, find: Callable[[PaperNumber], Any], *, what: str, back: str
) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """Give a view whose address holds a number the row itself.

    `what` it is within a sentence, said later; `back`: the URL name of its list.
    """

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def looked_up(request: HttpRequest, number: str, *args: Any, **kwargs: Any) -> HttpResponse:
            read = read_paper_number(number, letter)
            row = find(read) if read else None
            if row is None:
                shown = {"typed": str(read) if read else number[:40], "what": what, "back": back}
                return render(request, "vouchers/loans/no_such.html", shown, status=404)
            return view(request, row, *args, **kwargs)

        return looked_up

    return decorate
