"""From where a request comes, behind a known number of proxies."""

import ipaddress

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str:
    """Return the address by which sign-in is throttled; the setting LEDGER_PROXIES says how many proxies to trust."""
    return address_behind(
        request.META.get("REMOTE_ADDR", ""), request.META.get("HTTP_X_FORWARDED_FOR", ""), settings.PROXIES
    )


def address_behind(remote: str, forwarded: str, proxies: int) -> str:
    """Return the address that the outermost of *proxies* saw: that many from the right of X-Forwarded-For.

    What stands farther left was written by the client itself and proves nothing. With too few entries, or none that
    is an address, the peer's own address serves.
    """
    seen = [part.strip() for part in forwarded.split(",") if part.strip()]
    if proxies < 1 or len(seen) < proxies:
        return remote
    try:
        return str(ipaddress.ip_address(seen[-proxies]))
    except ValueError:
        return remote
