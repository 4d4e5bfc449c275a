"""Keys of rows, as addresses and forms carry them."""

from uuid import UUID


def key_of(text: str | None) -> int:
    """Return the key of a row as an address or a form carries it; 0, which no row has, for anything else.

    Digits of other scripts and numbers that no database column holds are such anything.
    """
    return int(text) if text and text.isascii() and text.isdecimal() and len(text) < 16 else 0


def uuid_of(text: object) -> UUID | None:
    """Return the identity that an address, form or message carries; None for anything else."""
    try:
        return UUID(text) if isinstance(text, str) else None
    except ValueError:
        return None
