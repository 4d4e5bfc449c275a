"""Invitations as values: the token a person is sent, and the digest that is kept of it."""

import hashlib
import secrets
from datetime import timedelta

GOOD_FOR = timedelta(days=14)


def new_token() -> str:
    """Return 32 random bytes as text for an address; it is shown once and never kept."""
    return secrets.token_urlsafe(32)


def digest_of(token: str) -> str:
    """Return the SHA-256 of *token* in hexadecimal: what the ledger keeps of an invitation."""
    return hashlib.sha256(token.encode()).hexdigest()
